#include "geodata/terrain/hillshade.hpp"

#include <cmath>
#include <numbers>

namespace brookmark::geodata {

void hillshade_row(const float* up, const float* row, const float* down, std::size_t cols,
                   const RowMetric& metric, const Sun& sun, std::uint8_t* out) {
  constexpr double kRadian = std::numbers::pi / 180;
  const double level = std::cos(sun.altitude_deg * kRadian);
  const double to_east = std::sin(sun.azimuth_deg * kRadian) * level;
  const double to_north = std::cos(sun.azimuth_deg * kRadian) * level;
  const double upwards = std::sin(sun.altitude_deg * kRadian);
  for (std::size_t c = 0; c < cols; ++c) {
    if (std::isnan(row[c])) {
      out[c] = 0;
      continue;
    }
    const auto at = [&](const float* line, std::size_t column) {
      if (line == nullptr || column >= cols || std::isnan(line[column])) return double{row[c]};
      return double{line[column]};
    };
    const double nw = at(up, c - 1), n = at(up, c), ne = at(up, c + 1), w = at(row, c - 1),
                 e = at(row, c + 1), sw = at(down, c - 1), s = at(down, c), se = at(down, c + 1);
    const double rise_east = (ne + 2 * e + se - nw - 2 * w - sw) / (8 * metric.width_m);
    const double rise_north = (nw + 2 * n + ne - sw - 2 * s - se) / (8 * metric.height_m);
    // The angle between the light and the normal (-rise_east, -rise_north, 1) of the surface.
    const double light = (upwards - rise_east * to_east - rise_north * to_north) /
                         std::sqrt(1 + rise_east * rise_east + rise_north * rise_north);
    out[c] = static_cast<std::uint8_t>(1 + std::lround(254 * std::max(0.0, light)));
  }
}

Raster<std::uint8_t> hillshade(const Raster<float>& heights, std::span<const RowMetric> rows,
                               const Sun& sun) {
  const GridSize size = heights.size();
  Raster<std::uint8_t> shade(size);
  for (std::size_t r = 0; r < size.rows; ++r)
    hillshade_row(r == 0 ? nullptr : heights.row(r - 1), heights.row(r),
                  r + 1 == size.rows ? nullptr : heights.row(r + 1), size.cols, rows[r], sun, shade.row(r));
  return shade;
}

}  // namespace brookmark::geodata
