// Why: what may take longer than a frame is worked out on a thread of its own, and asked for again in the next frame.
// Use: Deferred<Key, Value> sure;  if (const Value* v = sure.get(key, [=] { return work(key); })) draw(*v);
#pragma once

#include <chrono>
#include <exception>
#include <functional>
#include <future>
#include <optional>
#include <utility>

namespace brookmark::viewer {

// The answer to the newest question. One thread at most; questions that were left meanwhile are never begun. What `work`
// reads must stay as it is until settle() or the destructor has returned.
template <class Key, class Value>
class Deferred {
 public:
  Deferred() = default;
  ~Deferred() { settle(); }
  Deferred(const Deferred&) = delete;
  Deferred& operator=(const Deferred&) = delete;

  // Null while it is being worked out. Work that throws gives Value().
  const Value* get(const Key& key, const std::function<Value()>& work) {
    collect(false);
    if (known_ == key) return &value_;
    if (!future_.valid()) {
      asked_ = key;
      future_ = std::async(std::launch::async, work);
    }
    return nullptr;
  }
  // As get(), but nothing is begun.
  const Value* find(const Key& key) {
    collect(false);
    return known_ == key ? &value_ : nullptr;
  }
  bool pending() const { return future_.valid(); }
  // Waits for what is being worked out.
  void settle() { collect(true); }

 private:
  void collect(bool wait) {
    if (!future_.valid()) return;
    if (!wait && future_.wait_for(std::chrono::seconds(0)) != std::future_status::ready) return;
    try {
      value_ = future_.get();
    } catch (const std::exception&) {
      value_ = Value();
    }
    known_ = std::move(asked_);
    asked_.reset();
  }

  std::optional<Key> known_, asked_;
  Value value_{};
  std::future<Value> future_;
};

}  // namespace brookmark::viewer
