// Why: the land that drains to a point, and between the points of a survey: each cell belongs to the first outlet
// on its way down, so that sub-catchments never overlap and together are the whole.
// Use: CatchmentCells found = find_catchments(flow, outlets);  found.areas[0].whole_area_m2
//      trace_outline(found, {0})   // its own sub-catchment;  with those inside it: found.with_inner(0)
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "geodata/terrain/flow.hpp"

namespace brookmark::geodata {

struct CatchmentArea {
  std::optional<std::size_t> inside;  // the next outlet downstream
  std::size_t own_cells = 0;          // that drain to it and to no other outlet above it
  std::size_t whole_cells = 0;        // all that drain to it
  double own_area_m2 = 0, whole_area_m2 = 0;
  // Holds all its own cells: rows and columns, the ends not included.
  std::size_t first_row = 0, end_row = 0, first_col = 0, end_col = 0;
};

struct CatchmentCells {
  Raster<std::uint32_t> owner;  // 0: drains to no outlet; else the outlet's place in the list + 1
  std::vector<CatchmentArea> areas;

  // The outlet and all that lie inside its catchment.
  std::vector<std::size_t> with_inner(std::size_t outlet) const;
};

// One a cell: of two outlets on the same cell the later one lies inside nothing, has no own cells, and its whole is
// that of the first. Cells without a height have no catchment. 4 bytes a cell.
CatchmentCells find_catchments(const FlowGrid& flow, std::span<const CellIndex> outlets);

// A corner of cells: (0, 0) is the north-west corner of the grid.
struct Corner {
  std::uint32_t row = 0, col = 0;
  auto operator<=>(const Corner&) const = default;
};
using CornerRing = std::vector<Corner>;  // closed: the last is the first
struct CornerPolygon {
  std::vector<CornerRing>
      rings;  // the outer one first, turning left (north up); then the holes, turning right
};

// The outline of the sub-catchments of `outlets` taken together, along the edges of cells. Parts that touch in a
// corner only are polygons of their own. Corners on a straight edge are kept where three areas meet, so that
// neighbours share every point of their border.
std::vector<CornerPolygon> trace_outline(const CatchmentCells& cells, std::span<const std::size_t> outlets);

}  // namespace brookmark::geodata
