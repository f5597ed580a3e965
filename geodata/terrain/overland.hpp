// Why: a pool on no channel is not outside the world: over the ground its water runs to a channel and on along it.
// Which outfalls lie down that way, and how far, is answered here from a terrain model.
// Use: const OverlandWay way = overland_to_channel(flow, dem, pool, channels);
//      for (const core::ChannelDistance& d : outfalls_over_ground(way, snapshot, channels, {})) ...
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/analysis/outfalls.hpp"
#include "geodata/terrain/dem.hpp"
#include "geodata/terrain/flow.hpp"

namespace brookmark::geodata {

struct OverlandWay {
  core::Line path;  // from the place over the centres of cells to the channel, or to where the water is lost
  double length_m = 0;                        // of the path, geodesic
  std::optional<core::ChannelPoint> channel;  // where it meets the first channel of the survey
  std::string note;  // why there is none: off the terrain, a hole in it, or the water leaves it first
};

// The way of the water from a place down the terrain to the first channel. It has met one where the channel lies
// within a cell's diagonal of a cell's centre: no terrain model places a brook better than that (common practice, no
// source).
OverlandWay overland_to_channel(const FlowGrid& flow, const DemFile& dem, core::LonLat from,
                                const core::ChannelNetwork& channels);

// The outfalls below the place: over the ground and on along the channel. distance_m and path hold both parts, the note
// says how much of it is over the ground; snap_m is empty, for nothing was moved. Outfalls that the water does not
// reach are not listed. query.within_m holds for the whole way; query.direction is not looked at.
std::vector<core::ChannelDistance> outfalls_over_ground(const OverlandWay& way,
                                                        const core::Snapshot& snapshot,
                                                        const core::ChannelNetwork& channels,
                                                        const core::DistanceQuery& query = {});

}  // namespace brookmark::geodata
