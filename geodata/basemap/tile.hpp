// Why: a background is drawn in square pieces of the survey's own plane, so that a piece fits wherever the map moves and
// stays right at every nearness. A piece of level n has 256 pixels a side, each 2^n metres.
// Use: for (TileKey key : ...) { PlaneSquare s = tile_square(key); ... }
#pragma once

#include <cmath>
#include <compare>
#include <cstdint>
#include <vector>

namespace brookmark::geodata {

inline constexpr int kTilePixels = 256;
inline constexpr int kFinestLevel = -8, kCoarsestLevel = 16;

struct TileKey {
  std::int32_t level = 0, x = 0,
               y = 0;  // x grows to the east and y to the north; (0, 0) lies north-east of the centre
  auto operator<=>(const TileKey&) const = default;
  // The piece one level coarser that holds this one.
  TileKey parent() const { return {level + 1, x >> 1, y >> 1}; }
};

// Metres in the plane: lower left corner and side.
struct PlaneSquare {
  double x = 0, y = 0, side = 0;
};
inline double pixel_m(std::int32_t level) {
  return std::ldexp(1.0, level);
}
inline PlaneSquare tile_square(const TileKey& key) {
  const double side = pixel_m(key.level) * kTilePixels;
  return {key.x * side, key.y * side, side};
}

// Four bytes a pixel (red, green, blue, how opaque), rows from the north.
struct TileImage {
  std::vector<std::uint8_t> rgba;  // empty: nothing of the background lies here
};

}  // namespace brookmark::geodata
