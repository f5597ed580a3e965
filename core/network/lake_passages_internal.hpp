// Why: a river that runs into a lake and out of it again is one river, though nobody draws it on the water.
// Use: for (const LakePassage& p : lake_passages(drawn, waters, frame, 5, label, findings)) ...
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "core/base/geometry.hpp"
#include "core/network/channel_findings.hpp"
#include "core/network/channels.hpp"

namespace brookmark::core {

struct DrawnChannels {
  std::span<const ChannelEdge> edges;
  std::span<const GraphEdge> graph_edges;
  std::span<const std::uint8_t> two_way;
  std::uint32_t node_count = 0;
};

struct LakePassage {
  std::uint32_t from = 0, to = 0;  // nodes: where a channel ends in the water, where one begins
  ReachIndex inlet;
  Line line;  // straight
};

// From every place where channels end in a still water, or within the tolerance of its shore, and none leads
// on, to every place where channels begin in it. Findings: each passage with its length, and each inlet of a
// water that nothing leaves.
std::vector<LakePassage> lake_passages(const DrawnChannels& drawn, std::span<const Water> waters,
                                       const LocalFrame& frame, double tolerance_m, const ReachLabel& label,
                                       ChannelFindings& findings);

}  // namespace brookmark::core
