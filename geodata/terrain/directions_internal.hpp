// Why: the steepest lower neighbour is asked twice, on the terrain as given and on the filled one; rows of plain
// numbers let the compiler take several cells at a time.
#pragma once

#include <cstdint>

#include "geodata/terrain/grid.hpp"

namespace brookmark::geodata {

inline constexpr std::uint8_t kNothingLower = 15;  // while directions are being found

// For every cell of row `r`: the neighbour with the greatest fall a metre, or kNothingLower (also for cells without
// a height). Ties go to the first clockwise from the east.
void steepest_in_row(const Raster<float>& heights, std::size_t r, const RowMetric& metric, std::uint8_t* out);

// At the border of the grid, or beside a cell without a height.
bool touches_outside(const Raster<float>& heights, std::size_t r, std::size_t c);

}  // namespace brookmark::geodata
