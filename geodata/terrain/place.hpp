// Why: where the cells of a grid lie in the coordinate system of its file.
// Use: GridPlace place{500000, 4500000, 10, 10};  place.centre(r, c)  place.cell_at({500005, 4499995}, size)
#pragma once

#include <cmath>
#include <optional>

#include "core/base/geometry.hpp"
#include "geodata/terrain/grid.hpp"

namespace brookmark::geodata {

// Units are those of the coordinate system: metres, feet or degrees. North is up, never turned.
struct GridPlace {
  double west = 0, north = 0;    // outer corner of cell (0, 0)
  double width = 1, height = 1;  // of a cell, both above 0

  core::PlanePoint corner(double row, double col) const { return {west + col * width, north - row * height}; }
  core::PlanePoint centre(std::size_t row, std::size_t col) const {
    return corner(static_cast<double>(row) + 0.5, static_cast<double>(col) + 0.5);
  }
  double row_at(double y) const { return (north - y) / height; }  // 0 at the northern edge
  double col_at(double x) const { return (x - west) / width; }
  std::optional<CellIndex> cell_at(core::PlanePoint point, GridSize size) const {
    const double row = row_at(point.y), col = col_at(point.x);
    if (!(row >= 0 && col >= 0 && row < size.rows && col < size.cols)) return std::nullopt;
    return static_cast<CellIndex>(row) * size.cols + static_cast<CellIndex>(col);
  }
};

}  // namespace brookmark::geodata
