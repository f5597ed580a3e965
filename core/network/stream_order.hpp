// Why: what a stretch of channel is within its river: how many headwaters have come together in it, how much
// channel drains to it, how far it is from the mouth.
// Use: StreamFigures f = stream_figures(network.graph());  f.order[edge]  f.upstream_m[edge]
#pragma once

#include <cstdint>
#include <vector>

#include "core/network/river_graph.hpp"

namespace brookmark::core {

// One entry for each edge of the graph.
struct StreamFigures {
  // Stream order, 1 at the headwaters; it rises by one where two streams of the highest order that arrives
  // come together (Strahler 1957, Trans. Am. Geophys. Union 38:913-920; memory). At most 255.
  // * Braids: the arms into which one stream has split do not raise it when they come together again, for
  //   they began at the same place (after Gleyzer et al. 2004, J. Am. Water Resour. Assoc. 40:937-946;
  //   memory). An arm that has grown in between by a stream of its own order has begun anew.
  // * Circles and two-way canals: all nodes between which water can run both ways count as one meeting place.
  std::vector<std::uint8_t> order;
  // Metres of channel that drain to the downstream end of the edge, itself included. Every edge counts once,
  // however many ways lead down from it. In a circle or a two-way canal all edges have the sum of the whole.
  std::vector<double> upstream_m;
  // Metres from the downstream end of the edge along the flow to the nearest mouth, which is a node that no
  // edge leaves; kNoPath where the flow leads to none (it ends in a circle or in a two-way canal). Of a
  // two-way edge from the end that is nearer to the mouth.
  std::vector<double> mouth_m;
};

StreamFigures stream_figures(const RiverGraph& graph);

}  // namespace brookmark::core
