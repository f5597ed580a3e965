// Why: how many cells drain through each cell, in one walk down the tree of directions.
#pragma once

#include <cstdint>

#include "geodata/terrain/grid.hpp"
#include "geodata/terrain/strips_internal.hpp"

namespace brookmark::geodata {

// Fills `upstream` from `direction`, whose values are below 16 and without circles. Uses the upper half of each
// direction's byte on the way and leaves it as it was. The number of cells with a height.
std::size_t accumulate(Raster<std::uint8_t>& direction, Raster<std::uint32_t>& upstream,
                       std::span<const Strip> strips, unsigned threads, const ProgressPart& progress);

}  // namespace brookmark::geodata
