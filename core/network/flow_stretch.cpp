#include <algorithm>
#include <string>
#include <unordered_set>
#include <utility>

#include "core/base/error.hpp"
#include "core/network/flow_neighbours.hpp"

namespace brookmark::core {

// The nodes that water from the place reaches without passing another place, in order of their number.
std::vector<std::uint32_t> FlowNeighbours::nodes_below(std::uint32_t place) const {
  const RiverGraph& graph = network_.graph();
  const Standing& at = standing_[place];
  std::vector<std::uint32_t> nodes, open;
  std::unordered_set<std::uint32_t> known;
  const auto visit = [&](std::uint32_t node) {
    if (place_at_node_[node] != kNone || !known.insert(node).second) return;
    nodes.push_back(node);
    open.push_back(node);
  };
  const auto leave = [&](std::uint32_t node) {
    for (const std::uint32_t edge : graph.edges_out(node))
      if (inside(edge).empty()) visit(graph.edges()[edge].to);
  };
  if (at.node != kNone)
    leave(at.node);
  else if (inside(at.edge).back().place == place)
    visit(graph.edges()[at.edge].to);
  while (!open.empty()) {
    const std::uint32_t node = open.back();
    open.pop_back();
    leave(node);
  }
  std::sort(nodes.begin(), nodes.end());
  return nodes;
}

FlowStretch FlowNeighbours::stretch(std::uint32_t up, std::uint32_t down) const {
  up = same_place_[up];
  down = same_place_[down];
  const RiverGraph& graph = network_.graph();
  const Standing &start = standing_[up], &end = standing_[down];
  const auto fail = [&]() -> FlowStretch {
    throw Error(ErrorCode::kBadUse, "place " + std::to_string(down) + " is not the next one below place " +
                                        std::to_string(up) + " on any flow path");
  };
  FlowStretch stretch;
  const auto walk = [&](std::uint32_t edge, double from_m, double to_m) {
    stretch.parts.push_back({edge, from_m, to_m});
    stretch.length_m += to_m - from_m;
  };
  std::uint32_t node = start.node;
  bool arrived = false;
  if (node == kNone) {
    const auto spots = inside(start.edge);
    const auto next =
        std::find_if(spots.begin(), spots.end(), [&](const Spot& s) { return s.along_m > start.along_m; });
    if (next != spots.end()) {
      if (next->place != down) return fail();
      walk(start.edge, start.along_m, next->along_m);
      arrived = true;
    } else {
      walk(start.edge, start.along_m, graph.edges()[start.edge].length_m);
      node = graph.edges()[start.edge].to;
    }
  }
  for (bool first = start.node != kNone; !arrived; first = false) {
    if (!first && place_at_node_[node] == down) break;
    if (!first && place_at_node_[node] != kNone) return fail();
    const auto ways = leaving(node);
    const auto way = std::find_if(ways.begin(), ways.end(), [&](const Way& w) { return w.place == down; });
    if (way == ways.end()) return fail();
    const auto spots = inside(way->edge);
    arrived = !spots.empty() && spots.front().place == down;
    walk(way->edge, 0, arrived ? spots.front().along_m : graph.edges()[way->edge].length_m);
    node = graph.edges()[way->edge].to;
  }

  for (const EdgePart& part : stretch.parts) append_part(network_, part, stretch.line);
  stretch.line.erase(std::unique(stretch.line.begin(), stretch.line.end()), stretch.line.end());

  // What comes in anywhere between the two, but for arms of the same water.
  const std::vector<std::uint32_t> below_up = nodes_below(up);
  const auto of_up = [&](std::uint32_t edge) {
    const std::uint32_t from = graph.edges()[edge].from;
    if (std::binary_search(below_up.begin(), below_up.end(), from)) return true;
    return start.node != kNone ? from == start.node : edge == start.edge;
  };
  const auto enter = [&](std::uint32_t at_node, double distance_m) {
    for (const std::uint32_t edge : graph.edges_in(at_node))
      if (!of_up(edge)) stretch.enters.push_back({edge, distance_m});
  };
  for (const std::uint32_t between : below_up)
    for (const Way& way : leaving(between))
      if (way.place == down) enter(between, way.distance_m);
  if (end.node != kNone) enter(end.node, 0);
  std::stable_sort(stretch.enters.begin(), stretch.enters.end(),
                   [](const SideChannel& a, const SideChannel& b) { return a.distance_m > b.distance_m; });
  return stretch;
}

}  // namespace brookmark::core
