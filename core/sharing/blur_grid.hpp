// Why: a place that may not be told exactly is told as the middle of a grid cell. The grid is the same for every survey
// and never depends on what is in it. It halves: cells of a smaller size lie wholly in those of a larger one, so that two
// files blurred differently tell together no more than the finer of them alone.
// Use: const BlurCell cell = blur_cell({-30.0, 50.01}, 1000);  cell.centre, cell.uncertainty_m
//
// Rows halve the meridian from pole to pole, and each row is cut by halving its parallel, down to the smallest pieces that
// are still at least as wide and as high as asked for (on the sphere of 6,371 km; common practice, no source). A cell is
// therefore once to twice as large as asked for in each direction.
#pragma once

#include "core/base/geometry.hpp"

namespace brookmark::core {

inline constexpr double kLeastCellM = 10, kMostCellM = 1'000'000, kUsualCellM = 1000;

struct BlurCell {
  LonLat centre;
  BoundingBox box;  // degrees
  double uncertainty_m =
      0;  // from the centre to the farthest corner on the ellipsoid, rounded up to whole metres
};

// Throws Error(kBadUse) for a size outside kLeastCellM to kMostCellM, or a position that is no place on the Earth.
BlurCell blur_cell(LonLat position, double cell_m);

bool overlap(const BoundingBox& a, const BoundingBox& b);  // a shared border is enough

}  // namespace brookmark::core
