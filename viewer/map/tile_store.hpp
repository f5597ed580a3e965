// Why: reading a background may take seconds, and the window must not wait. One thread of its own opens the file and reads
// the pieces that are wanted now; the newest wish counts, and what has come is kept within a bound.
// Use: TileStore store([] { glfwPostEmptyEvent(); });  store.open(file, options);  store.want(keys);
//      if (auto image = store.find(key)) ...
#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <span>
#include <string>

#include "geodata/basemap/basemap.hpp"
#include "viewer/map/tiles.hpp"

namespace brookmark::viewer {

struct BackgroundStatus {
  enum class What : std::uint8_t { kNone, kOpening, kReady, kFailed };
  What what = What::kNone;
  std::string trouble = {};        // a sentence; also beside kReady, where a part of the file cannot be read
  geodata::BasemapInfo info = {};  // once it is ready
  bool busy = false;               // pieces that are wanted have not come yet
};

class TileStore {
 public:
  using Image = std::shared_ptr<const geodata::TileImage>;
  static constexpr std::size_t kMostKept = 320;  // pieces of 256 KiB: 80 MiB

  // `wake` is called on the store's thread whenever something has come.
  explicit TileStore(std::function<void()> wake = {});
  ~TileStore();  // gives up what is being read, and waits for the thread
  TileStore(const TileStore&) = delete;
  TileStore& operator=(const TileStore&) = delete;

  void set_wake(std::function<void()> wake);
  // Returns at once; what was kept of another file is let go.
  void open(const std::filesystem::path& file, const geodata::BasemapOptions& options);
  void close();
  BackgroundStatus status() const;
  // The most wanted first; earlier wishes that are not among them are forgotten.
  void want(std::span<const TileKey> keys);
  // Null: not there. Kept longer than what nobody asks for.
  Image find(const TileKey& key);
  // Counts whatever arrives: a view drawn from an older one may be drawn anew.
  std::uint64_t version() const;
  // Counts the files opened: pieces of an older one are no longer of use.
  std::uint64_t generation() const;
  std::size_t kept() const;
  // For pictures and tests: until nothing that is wanted is missing, or the time is over. Whether all is there.
  bool wait(double seconds) const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace brookmark::viewer
