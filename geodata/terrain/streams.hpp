// Why: channels are where enough land drains through; as reaches they join a river network like surveyed ones.
// Use: for (const StreamReach& reach : trace_streams(flow, 500)) ...
#pragma once

#include <optional>
#include <vector>

#include "geodata/terrain/flow.hpp"
#include "geodata/terrain/place.hpp"

namespace brookmark::geodata {

// From a channel's head or a confluence down to the next confluence or off the map, cell by cell. The last cell is
// shared with the reaches that meet there.
struct StreamReach {
  std::vector<CellIndex> cells;           // at least two
  std::optional<std::size_t> downstream;  // the reach it flows into
  double length_m = 0;                    // between the centres of the cells
  std::uint32_t upstream_cells = 0;       // drain through its last cell above the confluence
};

// Channels: cells that at least `threshold` cells drain through (1 and more; how many is the user's choice: common
// practice, no source). A channel of one cell has no length and is no reach.
// Throws Error(kBadUse) for 0.
std::vector<StreamReach> trace_streams(const FlowGrid& flow, std::uint32_t threshold);

struct SnappedOutlet {
  CellIndex cell = 0;
  double distance_m = 0;  // from the point to the centre of the cell
};

// The channel cell nearest to a point on the grid, on the ground; not the one that most drains through, which lies
// beyond the next confluence. A point on a channel cell stays on it. Nothing where no channel cell is within `most_m`.
std::optional<SnappedOutlet> nearest_channel_cell(const FlowGrid& flow, const GridPlace& place,
                                                  core::PlanePoint point, std::uint32_t threshold,
                                                  double most_m);

struct FlowPath {
  std::vector<CellIndex> cells;  // from the start on
  double length_m = 0;
  bool reaches_channel = false;  // else it ends where the water leaves the grid
};

// The way of the water from a cell over the ground to the first channel cell; one cell when it starts on one.
// Empty for a cell without a height.
FlowPath overland_path(const FlowGrid& flow, CellIndex from, std::uint32_t threshold);

}  // namespace brookmark::geodata
