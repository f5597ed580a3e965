#include "viewer/map/tiles.hpp"

#include <algorithm>
#include <cmath>
#include <set>

namespace brookmark::viewer {
namespace {

constexpr std::size_t kMostTiles = 400;
constexpr std::int32_t kLevelsAhead = 3;  // how much coarser the first, quick pieces are
constexpr std::int32_t kLevelsBack = 10;  // how far up a stand-in is looked for
constexpr double kFarthestTile = 1e9;     // of an index; beyond there is no Earth

PlaneBox box_of(const TileKey& key) {
  const geodata::PlaneSquare s = geodata::tile_square(key);
  return {s.x, s.y, s.x + s.side, s.y + s.side};
}

PlaneBox common(const PlaneBox& a, const PlaneBox& b) {
  return {std::max(a.min_x, b.min_x), std::max(a.min_y, b.min_y), std::min(a.max_x, b.max_x),
          std::min(a.max_y, b.max_y)};
}
bool is_empty(const PlaneBox& box) {
  return !(box.max_x > box.min_x && box.max_y > box.min_y);
}

// Of one level over a box, the nearest to `middle` first.
std::vector<TileKey> over(const PlaneBox& box, std::int32_t level, core::PlanePoint middle) {
  std::vector<TileKey> keys;
  if (is_empty(box)) return keys;
  const double side = geodata::pixel_m(level) * geodata::kTilePixels;
  const auto index = [&](double v) {
    return static_cast<std::int32_t>(std::clamp(std::floor(v / side), -kFarthestTile, kFarthestTile));
  };
  const std::int32_t x0 = index(box.min_x), x1 = index(box.max_x), y0 = index(box.min_y),
                     y1 = index(box.max_y);
  if (static_cast<double>(x1 - x0 + 1) * static_cast<double>(y1 - y0 + 1) > static_cast<double>(kMostTiles))
    return keys;
  for (std::int32_t y = y0; y <= y1; ++y)
    for (std::int32_t x = x0; x <= x1; ++x) keys.push_back({level, x, y});
  const auto distance = [&](const TileKey& key) {
    return std::hypot((key.x + 0.5) * side - middle.x, (key.y + 0.5) * side - middle.y);
  };
  std::stable_sort(keys.begin(), keys.end(),
                   [&](const TileKey& a, const TileKey& b) { return distance(a) < distance(b); });
  return keys;
}

TileDraw part(const TileKey& from, const PlaneBox& place) {
  const geodata::PlaneSquare s = geodata::tile_square(from);
  const auto share = [&](double v) { return static_cast<float>(v / s.side); };
  return {from,
          place,
          share(place.min_x - s.x),
          share(s.y + s.side - place.max_y),
          share(place.max_x - s.x),
          share(s.y + s.side - place.min_y)};
}

}  // namespace

std::int32_t tile_level(double metres_per_pixel, double pixel_ratio, const TileExtent& extent) {
  const double wish = std::log2(metres_per_pixel / std::max(pixel_ratio, 0.1));
  const auto level =
      std::isfinite(wish) ? static_cast<std::int32_t>(std::lround(std::clamp(wish, -20.0, 30.0))) : 0;
  return std::clamp(std::max(level, extent.finest_level), geodata::kFinestLevel, geodata::kCoarsestLevel);
}

std::vector<TileKey> wanted_tiles(const Viewport& view, double pixel_ratio, const TileExtent& extent) {
  const PlaneBox box = common(view.shown(), extent.box);
  const std::int32_t level = tile_level(view.metres_per_pixel, pixel_ratio, extent);
  std::vector<TileKey> keys;
  if (level + kLevelsAhead <= geodata::kCoarsestLevel) keys = over(box, level + kLevelsAhead, view.centre);
  const std::vector<TileKey> own = over(box, level, view.centre);
  keys.insert(keys.end(), own.begin(), own.end());
  return keys;
}

std::vector<TileDraw> tiles_to_draw(const Viewport& view, double pixel_ratio, const TileExtent& extent,
                                    const std::function<bool(const TileKey&)>& has) {
  const PlaneBox box = common(view.shown(), extent.box);
  const std::int32_t level = tile_level(view.metres_per_pixel, pixel_ratio, extent);
  std::vector<TileDraw> draws;
  std::set<TileKey> drawn;
  for (const TileKey& key : over(box, level, view.centre)) {
    const PlaneBox place = box_of(key);
    if (has(key)) {
      draws.push_back(part(key, place));
      continue;
    }
    TileKey up = key;
    for (std::int32_t i = 0; i < kLevelsBack; ++i) {
      up = up.parent();
      if (!has(up)) continue;
      draws.push_back(part(up, place));
      break;
    }
    // What was seen from nearer lies over it.
    for (std::int32_t down = 1; down <= 2; ++down) {
      const std::int32_t n = 1 << down;
      for (std::int32_t y = 0; y < n; ++y)
        for (std::int32_t x = 0; x < n; ++x) {
          const TileKey child{key.level - down, key.x * n + x, key.y * n + y};
          if (has(child) && drawn.insert(child).second) draws.push_back(part(child, box_of(child)));
        }
    }
  }
  std::stable_sort(draws.begin(), draws.end(),
                   [](const TileDraw& a, const TileDraw& b) { return a.key.level > b.key.level; });
  return draws;
}

}  // namespace brookmark::viewer
