#include "core/network/flow_neighbours.hpp"

#include <algorithm>
#include <cmath>
#include <queue>
#include <tuple>

#include "core/base/error.hpp"
#include "core/network/channel_lines_internal.hpp"

namespace brookmark::core {

FlowNeighbours::FlowNeighbours(const ChannelNetwork& network, std::span<const ChannelPoint> places)
    : network_(network) {
  place_all(places);
  work_upwards();
}

FlowNeighbours::Standing FlowNeighbours::standing(const ChannelPoint& point) const {
  const GraphEdge& edge = network_.graph().edges()[point.edge];
  const double left_m = edge.length_m - point.along_m;
  Standing standing{kNone, point.edge, point.along_m};
  if (std::min(point.along_m, left_m) <= kSamePlaceM)
    standing.node = point.along_m <= left_m ? edge.from : edge.to;
  return standing;
}

std::span<const FlowNeighbours::Spot> FlowNeighbours::inside(std::uint32_t edge) const {
  return std::span(spots_).subspan(spot_begin_[edge], spot_begin_[edge + 1] - spot_begin_[edge]);
}

std::span<const FlowNeighbours::Way> FlowNeighbours::leaving(std::uint32_t node) const {
  const auto [begin, end] = way_range_[node];
  return std::span(ways_).subspan(begin, end - begin);
}

bool FlowNeighbours::flows_on(std::uint32_t edge, std::uint32_t from) const {
  return inside(edge).empty() && place_at_node_[network_.graph().far_end(edge, from)] == kNone;
}

void FlowNeighbours::place_all(std::span<const ChannelPoint> places) {
  const RiverGraph& graph = network_.graph();
  place_at_node_.assign(graph.node_count(), kNone);
  spot_begin_.assign(graph.edges().size() + 1, 0);
  struct OnEdge {
    std::uint32_t edge;
    double along_m;
    std::uint32_t place;
  };
  std::vector<OnEdge> on_edges;
  for (std::uint32_t p = 0; p < places.size(); ++p) {
    standing_.push_back(standing(places[p]));
    same_place_.push_back(p);
    const Standing& at = standing_.back();
    if (at.node == kNone) {
      on_edges.push_back({at.edge, at.along_m, p});
    } else if (place_at_node_[at.node] == kNone) {
      place_at_node_[at.node] = p;
    } else {
      same_place_[p] = place_at_node_[at.node];
    }
  }
  std::sort(on_edges.begin(), on_edges.end(), [](const OnEdge& a, const OnEdge& b) {
    return std::tie(a.edge, a.along_m, a.place) < std::tie(b.edge, b.along_m, b.place);
  });
  for (std::size_t i = 0; i < on_edges.size();) {
    // Those within a centimetre of the first of them are one; the lowest number stands for it.
    std::size_t end = i + 1;
    std::uint32_t lowest = on_edges[i].place;
    for (; end < on_edges.size() && on_edges[end].edge == on_edges[i].edge &&
           on_edges[end].along_m - on_edges[i].along_m <= kSamePlaceM;
         ++end)
      lowest = std::min(lowest, on_edges[end].place);
    for (std::size_t j = i; j < end; ++j) same_place_[on_edges[j].place] = lowest;
    spots_.push_back({standing_[lowest].along_m, lowest});
    ++spot_begin_[on_edges[i].edge + 1];
    i = end;
  }
  for (std::size_t e = 1; e < spot_begin_.size(); ++e) spot_begin_[e] += spot_begin_[e - 1];
}

// What is reached by leaving a node along an edge; what lies beyond the edge must be known already.
void FlowNeighbours::add_ways(std::uint32_t edge, std::uint32_t from, std::vector<Way>& ways) const {
  const GraphEdge& e = network_.graph().edges()[edge];
  const std::uint32_t far = network_.graph().far_end(edge, from);
  if (const auto spots = inside(edge); !spots.empty()) {
    if (e.from == from)
      ways.push_back({spots.front().place, spots.front().along_m, edge});
    else
      ways.push_back({spots.back().place, e.length_m - spots.back().along_m, edge});
  } else if (place_at_node_[far] != kNone) {
    ways.push_back({place_at_node_[far], e.length_m, edge});
  } else {
    for (const Way& way : leaving(far)) ways.push_back({way.place, way.distance_m + e.length_m, edge});
  }
}

void FlowNeighbours::keep_shortest(std::vector<Way>& ways) {
  std::sort(ways.begin(), ways.end(), [](const Way& a, const Way& b) {
    return std::tie(a.place, a.distance_m, a.edge) < std::tie(b.place, b.distance_m, b.edge);
  });
  ways.erase(
      std::unique(ways.begin(), ways.end(), [](const Way& a, const Way& b) { return a.place == b.place; }),
      ways.end());
}

void FlowNeighbours::store(std::uint32_t node, std::vector<Way>& ways) {
  keep_shortest(ways);
  const auto begin = static_cast<std::uint32_t>(ways_.size());
  ways_.insert(ways_.end(), ways.begin(), ways.end());
  way_range_[node] = {begin, static_cast<std::uint32_t>(ways_.size())};
}

// Groups of nodes that flow round into each other (Tarjan 1972, SIAM J. Comput. 1:146-160), each found after all that
// lies below it; a node that is in no loop is a group of its own.
void FlowNeighbours::work_upwards() {
  const RiverGraph& graph = network_.graph();
  const std::uint32_t count = graph.node_count();
  way_range_.assign(count, {0, 0});
  std::vector<std::uint32_t> seen(count, kNone), low(count, 0), group(count, kNone), stack, members;
  std::vector<std::pair<std::uint32_t, std::uint32_t>> path;  // node, the next of its edges to follow
  std::uint32_t next_number = 0, groups = 0;
  std::vector<Way> ways;
  const auto enter = [&](std::uint32_t node) {
    seen[node] = low[node] = next_number++;
    stack.push_back(node);
    path.emplace_back(node, 0);
  };
  for (std::uint32_t root = 0; root < count; ++root) {
    if (seen[root] != kNone) continue;
    enter(root);
    while (!path.empty()) {
      const std::uint32_t node = path.back().first;
      const auto out = graph.edges_out(node);
      if (path.back().second < out.size()) {
        const std::uint32_t edge = out[path.back().second++];
        if (!flows_on(edge, node)) continue;
        const std::uint32_t to = graph.far_end(edge, node);
        if (seen[to] == kNone)
          enter(to);
        else if (group[to] == kNone)
          low[node] = std::min(low[node], seen[to]);
        continue;
      }
      path.pop_back();
      if (!path.empty()) low[path.back().first] = std::min(low[path.back().first], low[node]);
      if (low[node] != seen[node]) continue;
      members.clear();
      do {
        members.push_back(stack.back());
        group[stack.back()] = groups;
        stack.pop_back();
      } while (members.back() != node);
      ++groups;
      if (members.size() == 1) {
        ways.clear();
        for (const std::uint32_t edge : out)
          if (graph.far_end(edge, node) != node || !flows_on(edge, node)) add_ways(edge, node, ways);
        store(node, ways);
      } else {
        settle(members, group);
      }
    }
  }
}

// Round a loop: from the places that it reaches back to each of its nodes, nearest first (Dijkstra 1959).
void FlowNeighbours::settle(std::span<const std::uint32_t> loop, std::span<const std::uint32_t> group_of) {
  const RiverGraph& graph = network_.graph();
  const std::uint32_t group = group_of[loop.front()];
  using Step =
      std::tuple<double, std::uint32_t, std::uint32_t, std::uint32_t>;  // distance, node, place, edge
  std::priority_queue<Step, std::vector<Step>, std::greater<>> front;
  const auto within = [&](std::uint32_t edge, std::uint32_t from) {
    return flows_on(edge, from) && group_of[graph.far_end(edge, from)] == group;
  };
  std::vector<Way> ways;
  for (const std::uint32_t node : loop) {
    ways.clear();
    for (const std::uint32_t edge : graph.edges_out(node))
      if (!within(edge, node)) add_ways(edge, node, ways);
    for (const Way& way : ways) front.emplace(way.distance_m, node, way.place, way.edge);
  }
  std::vector<std::pair<std::uint32_t, Way>> found;  // node, way
  std::vector<std::vector<std::uint32_t>> reached(loop.size());
  std::vector<std::pair<std::uint32_t, std::uint32_t>> position;  // node, its place in `loop`
  for (std::uint32_t i = 0; i < loop.size(); ++i) position.emplace_back(loop[i], i);
  std::sort(position.begin(), position.end());
  const auto place_in_loop = [&](std::uint32_t node) {
    return std::lower_bound(position.begin(), position.end(), std::pair(node, std::uint32_t{0}))->second;
  };
  while (!front.empty()) {
    const auto [distance_m, node, place, edge] = front.top();
    front.pop();
    std::vector<std::uint32_t>& known = reached[place_in_loop(node)];
    if (std::find(known.begin(), known.end(), place) != known.end()) continue;
    known.push_back(place);
    found.emplace_back(node, Way{place, distance_m, edge});
    for (const std::uint32_t in : graph.edges_in(node)) {
      const std::uint32_t from = graph.far_end(in, node);
      if (group_of[from] == group && within(in, from))
        front.emplace(distance_m + graph.edges()[in].length_m, from, place, in);
    }
  }
  std::stable_sort(found.begin(), found.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  for (std::size_t i = 0; i < found.size();) {
    ways.clear();
    const std::uint32_t node = found[i].first;
    for (; i < found.size() && found[i].first == node; ++i) ways.push_back(found[i].second);
    store(node, ways);
  }
}

void FlowNeighbours::ways_from_inside(std::uint32_t edge, double along_m, std::vector<Way>& ways) const {
  const GraphEdge& e = network_.graph().edges()[edge];
  const auto spots = inside(edge);
  const auto to_end = [&](std::uint32_t node, double walked_m) {
    if (place_at_node_[node] != kNone)
      ways.push_back({place_at_node_[node], walked_m, edge});
    else
      for (const Way& way : leaving(node)) ways.push_back({way.place, way.distance_m + walked_m, edge});
  };
  const auto ahead = std::find_if(spots.begin(), spots.end(),
                                  [&](const Spot& s) { return s.along_m > along_m + kSamePlaceM; });
  if (ahead != spots.end())
    ways.push_back({ahead->place, ahead->along_m - along_m, edge});
  else
    to_end(e.to, e.length_m - along_m);
  if (!network_.graph().is_two_way(edge)) return;
  const auto behind = std::find_if(spots.rbegin(), spots.rend(),
                                   [&](const Spot& s) { return s.along_m < along_m - kSamePlaceM; });
  if (behind != spots.rend())
    ways.push_back({behind->place, along_m - behind->along_m, edge});
  else
    to_end(e.from, along_m);
}

std::vector<NextPlace> FlowNeighbours::below(const ChannelPoint& point) const {
  const Standing at = standing(point);
  std::vector<Way> ways;
  if (at.node == kNone) {
    for (const Spot& spot : inside(at.edge))
      if (std::abs(spot.along_m - at.along_m) <= kSamePlaceM) return {{spot.place, 0.0}};
    ways_from_inside(at.edge, at.along_m, ways);
    keep_shortest(ways);
  } else if (place_at_node_[at.node] != kNone) {
    return {{place_at_node_[at.node], 0.0}};
  } else {
    const auto out = leaving(at.node);
    ways.assign(out.begin(), out.end());
  }
  std::vector<NextPlace> next;
  for (const Way& way : ways) next.push_back({way.place, way.distance_m});
  return next;
}

std::vector<NextPlace> FlowNeighbours::below(std::uint32_t place) const {
  place = same_place_[place];
  const Standing& at = standing_[place];
  std::vector<Way> ways;
  if (at.node == kNone) {
    ways_from_inside(at.edge, at.along_m, ways);
    keep_shortest(ways);
  } else {
    const auto out = leaving(at.node);
    ways.assign(out.begin(), out.end());
  }
  std::vector<NextPlace> next;
  for (const Way& way : ways)
    if (way.place != place) next.push_back({way.place, way.distance_m});
  return next;
}

}  // namespace brookmark::core
