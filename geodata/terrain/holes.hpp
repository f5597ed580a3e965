// Why: a gap in a terrain model swallows water; whoever reads the answer must know that there are gaps.
#pragma once

#include <cstddef>

#include "geodata/terrain/grid.hpp"

namespace brookmark::geodata {

struct Holes {
  std::size_t count =
      0;  // groups of cells without a height (joined over sides and corners) with land all around
  std::size_t cells = 0;  // in all of them
};

// Groups that reach the border of the grid are not holes: the terrain just ends there.
Holes find_holes(const Raster<float>& heights);

}  // namespace brookmark::geodata
