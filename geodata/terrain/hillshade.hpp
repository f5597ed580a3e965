// Why: relief under the map helps to see where water must go.
// Use: Raster<std::uint8_t> shade = hillshade(heights, rows, {});
#pragma once

#include <cstdint>
#include <span>

#include "geodata/terrain/grid.hpp"
#include "geodata/terrain/progress.hpp"

namespace brookmark::geodata {

struct Sun {
  double azimuth_deg =
      315;  // where the light comes from, clockwise from north; north-west is common practice
  double altitude_deg = 45;  // above the horizon, 0 to 90
};

// Light on a surface whose slope is taken from the eight neighbours with weights 1, 2, 1 (Horn 1981, Proc. IEEE
// 69(1):14-47; citation: memory): 1 in full shade to 255 facing the sun, 0 for a cell without a height. A neighbour
// that is not there counts as level with the cell. One RowMetric a row; heights in metres.
Raster<std::uint8_t> hillshade(const Raster<float>& heights, std::span<const RowMetric> rows,
                               const Sun& sun = {});

// One row of it: `up` and `down` are null beyond the grid. For grids that are never whole in memory.
void hillshade_row(const float* up, const float* row, const float* down, std::size_t cols,
                   const RowMetric& metric, const Sun& sun, std::uint8_t* out);

}  // namespace brookmark::geodata
