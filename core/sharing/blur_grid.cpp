#include "core/sharing/blur_grid.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "core/base/error.hpp"

namespace brookmark::core {

namespace {

constexpr double kEarthRadiusM = 6'371'000;

// How often `whole_m` can be halved so that the pieces are still at least `least_m` long.
double pieces(double whole_m, double least_m) {
  return std::exp2(std::max(0.0, std::floor(std::log2(whole_m / least_m))));
}

}  // namespace

BlurCell blur_cell(LonLat position, double cell_m) {
  if (!(cell_m >= kLeastCellM && cell_m <= kMostCellM))
    throw Error(ErrorCode::kBadUse, "a grid cell has 10 m to 1000 km; give another size");
  if (!is_valid(position)) throw Error(ErrorCode::kBadUse, "only a place on the Earth lies in a grid cell");
  BlurCell cell;
  const double rows = pieces(std::numbers::pi * kEarthRadiusM, cell_m);
  const double high = 180 / rows;
  const double row = std::clamp(std::floor((position.lat + 90) / high), 0.0, rows - 1);
  cell.box.min_lat = -90 + row * high;
  cell.box.max_lat = cell.box.min_lat + high;
  // The shorter parallel of the row decides, so that no cell is too narrow.
  const double farthest = std::max(std::abs(cell.box.min_lat), std::abs(cell.box.max_lat));
  const double around_m =
      2 * std::numbers::pi * kEarthRadiusM * std::cos(std::min(farthest, 89.9999) * std::numbers::pi / 180);
  const double columns = pieces(around_m, cell_m);
  const double wide = 360 / columns;
  const double column = std::clamp(std::floor((position.lon + 180) / wide), 0.0, columns - 1);
  cell.box.min_lon = -180 + column * wide;
  cell.box.max_lon = cell.box.min_lon + wide;
  cell.centre = {(cell.box.min_lon + cell.box.max_lon) / 2, (cell.box.min_lat + cell.box.max_lat) / 2};
  for (const double lat : {cell.box.min_lat, cell.box.max_lat})
    cell.uncertainty_m = std::max(cell.uncertainty_m, geodesic_m(cell.centre, {cell.box.min_lon, lat}));
  cell.uncertainty_m = std::ceil(cell.uncertainty_m);
  return cell;
}

bool overlap(const BoundingBox& a, const BoundingBox& b) {
  return a.min_lon <= b.max_lon && b.min_lon <= a.max_lon && a.min_lat <= b.max_lat && b.min_lat <= a.max_lat;
}

}  // namespace brookmark::core
