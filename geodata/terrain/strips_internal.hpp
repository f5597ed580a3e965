// Why: large grids are worked in strips of rows, each fit for the processor's cache, on all cores.
// Use: for_each_strip(strips, threads, progress, [&](const Strip& s) { ... });
#pragma once

#include <functional>
#include <span>
#include <vector>

#include "geodata/terrain/grid.hpp"
#include "geodata/terrain/progress.hpp"

namespace brookmark::geodata {

struct Strip {
  std::size_t number = 0;
  std::size_t first_row = 0, end_row = 0;
};

// Whole rows of about so many cells; 0: as many as work best.
std::vector<Strip> strips_of(GridSize size, std::size_t cells_in_strip);

// `threads` as in FlowOptions. Strips are taken in order; which thread takes which is left open. Throws what
// `work` throws, and Stopped; both only after every thread has ended.
void for_each_strip(std::span<const Strip> strips, unsigned threads, const ProgressPart& progress,
                    const std::function<void(const Strip&)>& work);

}  // namespace brookmark::geodata
