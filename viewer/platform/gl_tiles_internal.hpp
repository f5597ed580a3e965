// Why: pieces of the ground become textures once and stay until others need the room.
// Use: tiles.begin(generation);  for (...) tiles.texture(key, image)
#pragma once

#include <cstdint>
#include <map>

#include "viewer/map/background.hpp"

namespace brookmark::viewer {

class TileTextures {
 public:
  static constexpr std::size_t kMostKept = 320;  // 80 MiB of graphics memory

  TileTextures() = default;
  ~TileTextures();
  TileTextures(const TileTextures&) = delete;
  TileTextures& operator=(const TileTextures&) = delete;

  // A new frame; textures of another file are let go.
  void begin(std::uint64_t generation);
  // The texture's name, made at the first call.
  unsigned texture(const TileKey& key, const TileStore::Image& image);
  std::size_t kept() const { return textures_.size(); }

 private:
  struct Kept {
    unsigned name = 0;
    std::uint64_t frame = 0;
    TileStore::Image image;  // made from this one
  };
  void drop(std::map<TileKey, Kept>::iterator at);
  std::map<TileKey, Kept> textures_;
  std::uint64_t generation_ = 0, frame_ = 0;
};

}  // namespace brookmark::viewer
