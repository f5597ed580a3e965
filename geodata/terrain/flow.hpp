// Why: where water goes over a terrain model: every cell gets one downstream neighbour and knows how many cells
// drain through it. Channels, catchments and flow paths are read from that.
// Use: FlowGrid flow = route_flow(std::move(heights), rows, {});  flow.upstream[cell]  flow.direction[cell]
//
// How: 1. depressions are filled to their lowest rim, the surface of priority-flood (Barnes, Lehman & Mulla 2014,
// Computers & Geosciences 62:117-127), or a channel is cut through that rim; 2. each cell drains to its steepest
// lower neighbour, D8 (O'Callaghan & Mark 1984, Comput. Vision Graph. Image Process. 28:323-344); 3. flats drain
// towards lower and away from higher ground (Barnes, Lehman & Mulla 2014, Computers & Geosciences 62:128-135);
// 4. cells are counted down the tree of directions in topological order. Citations: memory.
// A cell at the border of the grid or beside a cell without a height lets water out when nothing around is lower.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "geodata/terrain/grid.hpp"
#include "geodata/terrain/progress.hpp"

namespace brookmark::geodata {

struct FlowOptions {
  bool breach = false;   // true: cut through the rims of depressions instead of filling them
  unsigned threads = 0;  // 0: as many as the machine has; the answer does not depend on it
  // Worked at a time by a thread; 0: as many as work best. Answers do not depend on it, but for ties between
  // equally low rims when breaching.
  std::size_t cells_in_strip = 0;
  Progress progress = {};
};

struct FlowGrid {
  GridSize size;
  std::vector<RowMetric> rows;
  Raster<float> height;            // filled or breached, metres; NaN where there is none
  Raster<std::uint8_t> direction;  // kEast ... kNorthEast, kLeavesGrid, kNoDirection
  Raster<std::uint32_t> upstream;  // cells that drain through this one, itself included; 0 without a height
  std::size_t valid_cells = 0;     // with a height
  std::size_t changed_cells = 0;   // raised by filling, or lowered by breaching
  std::size_t flat_cells = 0;      // got their direction from the flat around them
  std::size_t depressions = 0;     // pits of the terrain as given, those on flats counted as found

  // The neighbour that `cell` drains to; nothing where the water leaves the grid.
  std::optional<CellIndex> downstream(CellIndex cell) const;
  double step_m(CellIndex cell) const;  // length of that step on the ground, metres; 0 where there is none
};

// `heights` in metres, NaN for no height; one RowMetric a row. Memory: 9 bytes a cell (4 height, 1 direction,
// 4 count) and some 70 bytes a depression while it works.
// Throws Error(kBadUse) when `rows` does not fit, kBadInput for 2^32 - 2 cells and more; Stopped.
FlowGrid route_flow(Raster<float> heights, std::span<const RowMetric> rows, const FlowOptions& options = {});

// The same surface alone: every height raised to the lowest rim on its way out.
Raster<float> fill_depressions(Raster<float> heights, std::span<const RowMetric> rows,
                               const FlowOptions& options = {});

}  // namespace brookmark::geodata
