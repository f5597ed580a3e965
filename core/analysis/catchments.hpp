// Why: sub-catchments nest, and each site lies in a chain of them. Worked out from the shapes, once per
// snapshot.
// Use: CatchmentNesting n = nest_catchments(snapshot);  n.parent[n.site_smallest[0].value()]
#pragma once

#include <utility>
#include <vector>

#include "core/network/channels.hpp"
#include "core/survey/snapshot.hpp"

namespace brookmark::core {

struct CatchmentNesting {
  // Per catchment: the smallest larger one that it lies in wholly, up to a metre at the border; none() at the
  // top. A catchment that lies in another only in part has no place in it, so what is counted for a parent
  // through its children lies within the parent.
  std::vector<CatchmentIndex> parent;
  std::vector<double> area_m2;                // per catchment
  std::vector<CatchmentIndex> site_smallest;  // per site: the smallest one it lies in; none() outside all
  // Catchments that overlap in part, or cover the same ground: the one listed first, then the other; in order.
  std::vector<std::pair<CatchmentIndex, CatchmentIndex>> overlaps;
};

CatchmentNesting nest_catchments(const Snapshot& snapshot);

// Per catchment: the parts of the channel network inside, by edge, upstream first. An edge is cut where it crosses the
// border (borders and lines are straight in degrees between their vertices, as in contains()).
struct CatchmentChannels {
  std::vector<std::vector<EdgePart>> inside;
};

CatchmentChannels channels_in_catchments(const Snapshot& snapshot, const ChannelNetwork& network);

}  // namespace brookmark::core
