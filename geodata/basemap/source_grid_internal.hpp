// Why: where each pixel of a piece lies in the file. The exact way there (plane, WGS 84, the file's system) is walked for
// a few pixels only; between them it is straight to a fraction of a pixel.
// Use: SourceGrid grid(square, 256, 0, width / 2, way);  auto at = grid.at(10.5, 20.5);
#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "core/base/geometry.hpp"
#include "geodata/basemap/tile.hpp"

namespace brookmark::geodata {

// From a place in the plane to column and row of the file, 0 at its north-western corner; nothing where there is no way.
using WayToSource = std::function<std::optional<core::PlanePoint>(core::PlanePoint)>;

class SourceGrid {
 public:
  // `margin` pixels more on every side. The grid is made finer until it is right to a quarter of a tile's pixel, as far
  // as every eighth pixel.
  // Neighbours more than `jump` of the file's pixels apart lie on two sides of the world: nothing is between them.
  SourceGrid(const PlaneSquare& square, int pixels, int margin, double jump, const WayToSource& way);

  // Of a place in the tile, in its pixels from the north-western corner; nothing where any corner around has no place.
  std::optional<core::PlanePoint> at(double column, double row) const;
  // Around all of it, in the file's pixels; min > max where nothing has a place.
  double min_x = 0, min_y = 0, max_x = -1, max_y = -1;
  // How many of the file's pixels one of the tile's is wide, about; above 0.
  double source_pixels = 1;

 private:
  void walk(const PlaneSquare& square, int pixels, const WayToSource& way);
  bool is_straight(const PlaneSquare& square, int pixels, const WayToSource& way) const;
  core::PlanePoint plane_of(const PlaneSquare& square, int pixels, double column, double row) const;
  int margin_ = 0, steps_ = 8;
  double jump_ = 0;
  double span_ = 1;                        // pixels from one corner of the grid to the next
  std::vector<core::PlanePoint> corners_;  // NaN: no place
};

}  // namespace brookmark::geodata
