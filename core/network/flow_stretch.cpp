#include <algorithm>
#include <cmath>
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
      if (inside(edge).empty()) visit(graph.far_end(edge, node));
  };
  if (at.node != kNone) {
    leave(at.node);
  } else {
    if (inside(at.edge).back().place == place) visit(graph.edges()[at.edge].to);
    if (graph.is_two_way(at.edge) && inside(at.edge).front().place == place)
      visit(graph.edges()[at.edge].from);
  }
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
  // Adds a part as it is walked: from_m > to_m against the direction in which a two-way edge is drawn.
  const auto walk = [&](std::uint32_t edge, double from_m, double to_m) {
    stretch.parts.push_back({edge, std::min(from_m, to_m), std::max(from_m, to_m)});
    stretch.length_m += std::abs(to_m - from_m);
    Line line;
    append_part(network_, stretch.parts.back(), line);
    if (from_m > to_m) std::reverse(line.begin(), line.end());
    stretch.line.insert(stretch.line.end(), line.begin(), line.end());
  };
  std::uint32_t node = start.node;
  bool arrived = false;
  if (node == kNone) {
    // Along the edge or, where it flows either way, against it: the shorter of the two that lead there.
    const GraphEdge& edge = graph.edges()[start.edge];
    const auto spots = inside(start.edge);
    double best_m = kNoPath, best_to_m = 0;
    const auto consider = [&](const Spot* spot, std::uint32_t end_node, double end_m) {
      double at_m = kNoPath;
      if (spot != nullptr) {
        if (spot->place == down) at_m = std::abs(spot->along_m - start.along_m);
      } else if (place_at_node_[end_node] == down) {
        at_m = std::abs(end_m - start.along_m);
      } else if (place_at_node_[end_node] == kNone) {
        for (const Way& way : leaving(end_node))
          if (way.place == down) at_m = std::abs(end_m - start.along_m) + way.distance_m;
      }
      if (at_m >= best_m) return;
      best_m = at_m;
      best_to_m = spot != nullptr ? spot->along_m : end_m;
      arrived = spot != nullptr;
      node = end_node;
    };
    const auto ahead =
        std::find_if(spots.begin(), spots.end(), [&](const Spot& s) { return s.along_m > start.along_m; });
    consider(ahead == spots.end() ? nullptr : &*ahead, edge.to, edge.length_m);
    if (graph.is_two_way(start.edge)) {
      const auto behind = std::find_if(spots.rbegin(), spots.rend(),
                                       [&](const Spot& s) { return s.along_m < start.along_m; });
      consider(behind == spots.rend() ? nullptr : &*behind, edge.from, 0);
    }
    if (best_m == kNoPath) return fail();
    walk(start.edge, start.along_m, best_to_m);
  }
  for (bool first = start.node != kNone; !arrived; first = false) {
    if (!first && place_at_node_[node] == down) break;
    if (!first && place_at_node_[node] != kNone) return fail();
    const auto ways = leaving(node);
    const auto way = std::find_if(ways.begin(), ways.end(), [&](const Way& w) { return w.place == down; });
    if (way == ways.end()) return fail();
    const auto spots = inside(way->edge);
    const GraphEdge& edge = graph.edges()[way->edge];
    const bool along = edge.from == node;
    arrived = !spots.empty();
    if (along)
      walk(way->edge, 0, arrived ? spots.front().along_m : edge.length_m);
    else
      walk(way->edge, edge.length_m, arrived ? spots.back().along_m : 0);
    node = graph.far_end(way->edge, node);
  }
  stretch.line.erase(std::unique(stretch.line.begin(), stretch.line.end()), stretch.line.end());

  // What comes in anywhere between the two, but for arms of the same water.
  const std::vector<std::uint32_t> below_up = nodes_below(up);
  const auto of_up = [&](std::uint32_t edge, std::uint32_t at_node) {
    const std::uint32_t from = graph.far_end(edge, at_node);
    if (std::binary_search(below_up.begin(), below_up.end(), from)) return true;
    return start.node != kNone ? from == start.node : edge == start.edge;
  };
  const auto enter = [&](std::uint32_t at_node, double distance_m) {
    for (const std::uint32_t edge : graph.edges_in(at_node))
      if (!of_up(edge, at_node)) stretch.enters.push_back({edge, distance_m});
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
