#include <cmath>
#include <vector>

#include "geodata/terrain/directions_internal.hpp"

namespace brookmark::geodata {

namespace {

struct Falls {
  float across, down, slant;  // 1 / metres
};

// NaN is lower than nothing and nothing is lower than NaN: comparisons with it are false.
inline void steeper(float z, float other, float per_metre, int direction, float& best, int& code) {
  const float fall = (z - other) * per_metre;
  const bool is_steeper = fall > best;
  best = is_steeper ? fall : best;
  code = is_steeper ? direction : code;
}

inline int steepest(const float* up, const float* row, const float* down, std::size_t c, const Falls& per) {
  const std::size_t west = c - 1, east = c + 1;
  const float z = row[c];
  float best = 0;
  int code = kNothingLower;
  steeper(z, row[east], per.across, kEast, best, code);
  steeper(z, down[east], per.slant, kSouthEast, best, code);
  steeper(z, down[c], per.down, kSouth, best, code);
  steeper(z, down[west], per.slant, kSouthWest, best, code);
  steeper(z, row[west], per.across, kWest, best, code);
  steeper(z, up[west], per.slant, kNorthWest, best, code);
  steeper(z, up[c], per.down, kNorth, best, code);
  steeper(z, up[east], per.slant, kNorthEast, best, code);
  return code;
}

// The same for a cell at the border, where some neighbours are not there.
int steepest_at_border(const Raster<float>& heights, std::size_t r, std::size_t c, const Falls& per) {
  const GridSize size = heights.size();
  float best = 0;
  int code = kNothingLower;
  for (std::uint8_t k = 0; k < 8; ++k) {
    const std::size_t nr = r + static_cast<std::size_t>(kRowStep[k]);  // -1 wraps to above every row
    const std::size_t nc = c + static_cast<std::size_t>(kColStep[k]);
    if (nr >= size.rows || nc >= size.cols) continue;
    const float per_metre = is_diagonal(k) ? per.slant : kRowStep[k] == 0 ? per.across : per.down;
    steeper(heights.at(r, c), heights.at(nr, nc), per_metre, k, best, code);
  }
  return code;
}

}  // namespace

void steepest_in_row(const Raster<float>& heights, std::size_t r, const RowMetric& metric,
                     std::uint8_t* out) {
  const std::size_t rows = heights.size().rows, cols = heights.size().cols;
  const Falls per{static_cast<float>(1 / metric.width_m), static_cast<float>(1 / metric.height_m),
                  static_cast<float>(1 / std::hypot(metric.width_m, metric.height_m))};
  const auto at_border = [&](std::size_t c) {
    out[c] = static_cast<std::uint8_t>(steepest_at_border(heights, r, c, per));
  };
  if (r == 0 || r + 1 == rows) {
    for (std::size_t c = 0; c < cols; ++c) at_border(c);
    return;
  }
  const float *up = heights.row(r - 1), *row = heights.row(r), *down = heights.row(r + 1);
  for (std::size_t c = 1; c + 1 < cols; ++c)
    out[c] = static_cast<std::uint8_t>(steepest(up, row, down, c, per));
  at_border(0);
  at_border(cols - 1);
}

bool touches_outside(const Raster<float>& heights, std::size_t r, std::size_t c) {
  const GridSize size = heights.size();
  if (r == 0 || c == 0 || r + 1 == size.rows || c + 1 == size.cols) return true;
  for (std::size_t nr = r - 1; nr <= r + 1; ++nr) {
    const float* row = heights.row(nr) + c;
    if (std::isnan(row[-1]) || std::isnan(row[0]) || std::isnan(row[1])) return true;
  }
  return false;
}

}  // namespace brookmark::geodata
