// Why: on a filled lake or any level ground no neighbour is lower; water must still find the way out, and not all
// of it along one edge.
//
// How: within each flat the distance to its outlets, doubled, plus the distance from higher ground, turned round,
// makes a surface that falls to the outlets and gathers in the middle (Barnes, Lehman & Mulla 2014, Computers &
// Geosciences 62:128-135; citation: memory). Heights are not changed.
#pragma once

#include <cstdint>

#include "geodata/terrain/grid.hpp"
#include "geodata/terrain/strips_internal.hpp"

namespace brookmark::geodata {

// Gives every cell with kNothingLower a direction; `scratch` is overwritten where there are such cells. The
// surface must be filled or breached: from every flat there is a way out. The number of cells directed.
std::size_t resolve_flats(const Raster<float>& filled, Raster<std::uint8_t>& direction,
                          Raster<std::uint32_t>& scratch, std::span<const Strip> strips, unsigned threads,
                          const ProgressPart& progress);

}  // namespace brookmark::geodata
