// Why: a click, and the labels of what is in view, must not look at a hundred thousand sites one by one.
// Use: PointGrid grid(points);  grid.visit(box, [&](std::uint32_t i) { ... });
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "core/base/geometry.hpp"
#include "viewer/state/viewport.hpp"

namespace brookmark::viewer {

// Points that are not finite are left out.
class PointGrid {
 public:
  PointGrid() = default;
  explicit PointGrid(std::span<const core::PlanePoint> points);

  // The points inside the box (edges included), in rising order of index.
  std::vector<std::uint32_t> inside(const PlaneBox& box) const;
  // How many there are inside, counted by cells: a little too many at the edges, but quick.
  std::size_t count_about(const PlaneBox& box) const;

 private:
  struct CellRange {
    std::int64_t x0, y0, x1, y1;
    bool empty;
  };
  CellRange cells(const PlaneBox& box) const;

  PlaneBox bounds_;
  std::int64_t columns_ = 0, rows_ = 0;
  double cell_w_ = 1, cell_h_ = 1;
  std::vector<std::uint32_t> begin_, members_;
  std::vector<core::PlanePoint> points_;
};

}  // namespace brookmark::viewer
