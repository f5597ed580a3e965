#include "viewer/map/tile_store.hpp"

#include <algorithm>
#include <chrono>
#include <condition_variable>
#include <map>
#include <mutex>
#include <optional>
#include <thread>
#include <utility>
#include <vector>

#include "core/base/error.hpp"

namespace brookmark::viewer {

// Whatever stands below `mutex` is read and written under it; the file itself belongs to the thread.
struct TileStore::Impl {
  struct Kept {
    Image image;
    std::uint64_t used = 0;
  };
  struct Wish {
    std::filesystem::path file;
    geodata::BasemapOptions options;
  };

  mutable std::mutex mutex;
  mutable std::condition_variable_any changed;
  std::function<void()> wake;
  std::optional<Wish> to_open;
  bool to_close = false;
  BackgroundStatus status;
  std::vector<TileKey> wanted;
  std::map<TileKey, Kept> tiles;
  std::uint64_t clock = 0, version = 0, generation = 0;
  std::jthread thread;  // last: it goes first

  bool has_work() const { return to_open || to_close || next(); }
  std::optional<TileKey> next() const {
    if (status.what != BackgroundStatus::What::kReady) return std::nullopt;
    for (const TileKey& key : wanted)
      if (!tiles.contains(key)) return key;
    return std::nullopt;
  }
  bool still_wanted(const TileKey& key, std::uint64_t of) const {
    const std::lock_guard lock(mutex);
    return of == generation && !to_close && std::find(wanted.begin(), wanted.end(), key) != wanted.end();
  }

  void tell(const std::function<void()>& change) {
    std::function<void()> call;
    {
      const std::lock_guard lock(mutex);
      change();
      ++version;
      call = wake;
    }
    changed.notify_all();
    if (call) call();
  }

  void drop_oldest() {
    while (tiles.size() > kMostKept) {
      const auto is_wanted = [&](const TileKey& key) {
        return std::find(wanted.begin(), wanted.end(), key) != wanted.end();
      };
      auto oldest = tiles.end();
      for (auto i = tiles.begin(); i != tiles.end(); ++i)
        if (!is_wanted(i->first) && (oldest == tiles.end() || i->second.used < oldest->second.used))
          oldest = i;
      if (oldest == tiles.end()) return;
      tiles.erase(oldest);
    }
  }

  void run(const std::stop_token& stop) {
    std::optional<geodata::Basemap> map;
    while (true) {
      std::optional<Wish> open;
      std::optional<TileKey> key;
      std::uint64_t of = 0;
      {
        std::unique_lock lock(mutex);
        // A stop ends the waiting, and says so only where there is no work left.
        if (!changed.wait(lock, stop, [&] { return has_work(); }) || stop.stop_requested()) return;
        open = std::exchange(to_open, {});
        if (std::exchange(to_close, false) || open) map.reset();
        if (!open) key = next();
        of = generation;
      }
      if (open)
        open_file(*open, of, map);
      else if (key && map)
        read(*key, of, *map, stop);
    }
  }

  void open_file(const Wish& wish, std::uint64_t of, std::optional<geodata::Basemap>& map) {
    BackgroundStatus opened;
    try {
      map.emplace(wish.file, wish.options);
      opened.what = BackgroundStatus::What::kReady;
      opened.info = map->info();
    } catch (const std::exception& error) {
      opened.what = BackgroundStatus::What::kFailed;
      opened.trouble = std::string("The background is not drawn. ") + error.what();
    }
    tell([&] {
      if (of == generation) status = opened;
    });
  }

  void read(const TileKey& key, std::uint64_t of, const geodata::Basemap& map, const std::stop_token& stop) {
    auto image = std::make_shared<geodata::TileImage>();
    std::string trouble;
    bool given_up = false;
    try {
      *image = map.read(key, [&] {
        given_up = stop.stop_requested() || !still_wanted(key, of);
        return !given_up;
      });
    } catch (const std::exception& error) {  // an empty piece stands for it: it is not asked for again
      trouble = error.what();
    }
    if (given_up) return;
    tell([&] {
      if (of != generation) return;
      tiles[key] = {std::move(image), ++clock};
      if (!trouble.empty()) status.trouble = "A part of the background is missing. " + trouble;
      drop_oldest();
    });
  }
};

TileStore::TileStore(std::function<void()> wake) : impl_(std::make_unique<Impl>()) {
  impl_->wake = std::move(wake);
  impl_->thread = std::jthread([impl = impl_.get()](const std::stop_token& stop) { impl->run(stop); });
}

TileStore::~TileStore() {
  set_wake({});
  impl_->thread.request_stop();
  impl_->changed.notify_all();
  impl_->thread.join();
}

void TileStore::set_wake(std::function<void()> wake) {
  const std::lock_guard lock(impl_->mutex);
  impl_->wake = std::move(wake);
}

void TileStore::open(const std::filesystem::path& file, const geodata::BasemapOptions& options) {
  {
    const std::lock_guard lock(impl_->mutex);
    impl_->to_open = Impl::Wish{file, options};
    impl_->tiles.clear();
    impl_->wanted.clear();
    impl_->status = {.what = BackgroundStatus::What::kOpening};
    ++impl_->generation;
    ++impl_->version;
  }
  impl_->changed.notify_all();
}

void TileStore::close() {
  {
    const std::lock_guard lock(impl_->mutex);
    impl_->to_open.reset();
    impl_->to_close = true;
    impl_->tiles.clear();
    impl_->wanted.clear();
    impl_->status = {};
    ++impl_->generation;
    ++impl_->version;
  }
  impl_->changed.notify_all();
}

BackgroundStatus TileStore::status() const {
  const std::lock_guard lock(impl_->mutex);
  BackgroundStatus status = impl_->status;
  status.busy = status.what == BackgroundStatus::What::kOpening || impl_->next().has_value();
  return status;
}

void TileStore::want(std::span<const TileKey> keys) {
  {
    const std::lock_guard lock(impl_->mutex);
    if (std::equal(keys.begin(), keys.end(), impl_->wanted.begin(), impl_->wanted.end())) return;
    impl_->wanted.assign(keys.begin(), keys.end());
  }
  impl_->changed.notify_all();
}

TileStore::Image TileStore::find(const TileKey& key) {
  const std::lock_guard lock(impl_->mutex);
  const auto at = impl_->tiles.find(key);
  if (at == impl_->tiles.end()) return nullptr;
  at->second.used = ++impl_->clock;
  return at->second.image;
}

std::uint64_t TileStore::version() const {
  const std::lock_guard lock(impl_->mutex);
  return impl_->version;
}
std::uint64_t TileStore::generation() const {
  const std::lock_guard lock(impl_->mutex);
  return impl_->generation;
}
std::size_t TileStore::kept() const {
  const std::lock_guard lock(impl_->mutex);
  return impl_->tiles.size();
}

bool TileStore::wait(double seconds) const {
  std::unique_lock lock(impl_->mutex);
  return impl_->changed.wait_for(lock, std::chrono::duration<double>(seconds), [&] {
    return !impl_->to_open && impl_->status.what != BackgroundStatus::What::kOpening && !impl_->next();
  });
}

}  // namespace brookmark::viewer
