// Why: which pieces of the background a view needs, and what to draw where a piece has not come yet: the part of a coarser
// one that lies there, so that the map never turns white.
// Use: for (TileKey key : wanted_tiles(view, 1, extent)) ...;  auto draws = tiles_to_draw(view, 1, extent, has);
#pragma once

#include <functional>
#include <vector>

#include "geodata/basemap/tile.hpp"
#include "viewer/state/viewport.hpp"

namespace brookmark::viewer {

using geodata::TileKey;

// Where a background has something to show.
struct TileExtent {
  PlaneBox box;
  std::int32_t finest_level = 0;
};

// A piece, or a part of it, in the plane: u from its west, v from its north, 0 to 1.
struct TileDraw {
  TileKey key;
  PlaneBox box;
  float u0 = 0, v0 = 0, u1 = 1, v1 = 1;
  bool operator==(const TileDraw&) const = default;
};

// The level whose pixels come nearest to those of the screen; `pixel_ratio`: framebuffer pixels in a logical one.
std::int32_t tile_level(double metres_per_pixel, double pixel_ratio, const TileExtent& extent);
// First a few coarse pieces that cover the view, then those of its level from the middle outwards. Bounded: 400 at most.
std::vector<TileKey> wanted_tiles(const Viewport& view, double pixel_ratio, const TileExtent& extent);
// Coarse pieces first, so that finer ones lie over them. `has`: the piece is there to be drawn.
std::vector<TileDraw> tiles_to_draw(const Viewport& view, double pixel_ratio, const TileExtent& extent,
                                    const std::function<bool(const TileKey&)>& has);

}  // namespace brookmark::viewer
