#include <algorithm>
#include <functional>
#include <queue>
#include <string>
#include <utility>

#include "core/base/error.hpp"
#include "core/network/river_graph.hpp"

namespace brookmark::core {
namespace {

// A growing shortest-path front. Ties are settled by node number, so the answer never depends on the heap.
class Front {
 public:
  explicit Front(std::vector<double>& distance_m) : distance_m_(distance_m) {}

  void push(std::uint32_t node, double at_m) { queue_.emplace(at_m, node); }
  // Takes the distance where it is shorter than what is known.
  void offer(std::uint32_t node, double at_m) {
    if (at_m >= distance_m_[node]) return;
    distance_m_[node] = at_m;
    push(node, at_m);
  }
  // The next nearest node whose distance is final; false when none is left.
  bool pop(std::uint32_t& node) {
    while (!queue_.empty()) {
      const auto [at_m, top] = queue_.top();
      queue_.pop();
      if (at_m == distance_m_[top]) {
        node = top;
        return true;
      }
    }
    return false;
  }

 private:
  using Entry = std::pair<double, std::uint32_t>;
  std::vector<double>& distance_m_;
  std::priority_queue<Entry, std::vector<Entry>, std::greater<>> queue_;
};

}  // namespace

std::vector<double> RiverGraph::nearest(std::span<const std::uint8_t> marked, Direction direction) const {
  if (marked.size() != node_count()) {
    throw Error(ErrorCode::kBadUse, "There must be one mark for each of the " + std::to_string(node_count()) +
                                        " nodes, but " + std::to_string(marked.size()) + " were given.");
  }
  std::vector<double> distance_m(marked.size());
  std::transform(marked.begin(), marked.end(), distance_m.begin(),
                 [](std::uint8_t mark) { return mark != 0 ? 0.0 : kNoPath; });

  if (has_loops_ && direction != Direction::kAny) {
    nearest_by_groups(distance_m, direction == Direction::kUpstream);
    return distance_m;
  }
  const bool by_passes = direction == Direction::kAny ? is_tree_ : !has_loops_;
  if (by_passes) {
    // Sources first, each node hands what it knows of upstream to the next node; then back up for downstream.
    // On a tree both passes over the same distances give the nearest either way.
    double* const d = distance_m.data();
    if (direction != Direction::kDownstream) {
      for (const GraphEdge& edge : flow_order_)
        d[edge.to] = std::min(d[edge.to], d[edge.from] + edge.length_m);
    }
    if (direction != Direction::kUpstream) {
      for (auto edge = flow_order_.rbegin(); edge != flow_order_.rend(); ++edge) {
        d[edge->from] = std::min(d[edge->from], d[edge->to] + edge->length_m);
      }
    }
    return distance_m;
  }

  // Across the flow, and off trees.
  Front front(distance_m);
  for (std::uint32_t node = 0; node < node_count(); ++node) {
    if (marked[node] != 0) front.push(node, 0);
  }
  for (std::uint32_t node = 0; front.pop(node);) {
    const auto relax = [&](std::uint32_t e) {
      front.offer(far_end(e, node), distance_m[node] + edges_[e].length_m);
    };
    for (const std::uint32_t e : edges_out(node)) relax(e);
    for (const std::uint32_t e : edges_in(node)) relax(e);
  }
  return distance_m;
}

// Group by group down the flow (or up): what came in from the groups before is spread within the group, and
// then handed on.
void RiverGraph::nearest_by_groups(std::vector<double>& distance_m, bool from_upstream) const {
  const std::size_t count = nodes_down_.size();
  const auto node_at = [&](std::size_t i) { return nodes_down_[from_upstream ? i : count - 1 - i]; };
  const auto leaving = [&](std::uint32_t node) { return from_upstream ? edges_out(node) : edges_in(node); };
  Front front(distance_m);
  for (std::size_t begin = 0, end = 0; begin < count; begin = end) {
    const std::uint32_t group = group_[node_at(begin)];
    while (end < count && group_[node_at(end)] == group) ++end;
    if (end - begin > 1) {
      for (std::size_t i = begin; i < end; ++i) {
        if (distance_m[node_at(i)] != kNoPath) front.push(node_at(i), distance_m[node_at(i)]);
      }
      for (std::uint32_t node = 0; front.pop(node);) {
        for (const std::uint32_t e : leaving(node)) {
          const std::uint32_t next = far_end(e, node);
          if (group_[next] == group) front.offer(next, distance_m[node] + edges_[e].length_m);
        }
      }
    }
    for (std::size_t i = begin; i < end; ++i) {
      const std::uint32_t node = node_at(i);
      for (const std::uint32_t e : leaving(node)) {
        double& next_m = distance_m[far_end(e, node)];
        next_m = std::min(next_m, distance_m[node] + edges_[e].length_m);
      }
    }
  }
}

RiverGraph::Reached RiverGraph::from_node(std::uint32_t start, Direction direction, double max_m) const {
  if (start >= node_count()) {
    throw Error(ErrorCode::kBadUse, "Node " + std::to_string(start) + " is not in this channel network of " +
                                        std::to_string(node_count()) + " nodes.");
  }
  Reached reached{std::vector<double>(node_count(), kNoPath),
                  std::vector<std::uint32_t>(node_count(), kNoEdge)};
  Front front(reached.distance_m);
  const auto relax = [&](std::uint32_t node, std::uint32_t edge, double at_m) {
    if (at_m < reached.distance_m[node] && at_m <= max_m) {
      reached.distance_m[node] = at_m;
      reached.via_edge[node] = edge;
      front.push(node, at_m);
    }
  };
  relax(start, kNoEdge, 0);
  for (std::uint32_t node = 0; front.pop(node);) {
    const double at_m = reached.distance_m[node];
    if (direction != Direction::kDownstream) {
      for (const std::uint32_t e : edges_in(node)) relax(far_end(e, node), e, at_m + edges_[e].length_m);
    }
    if (direction != Direction::kUpstream) {
      for (const std::uint32_t e : edges_out(node)) relax(far_end(e, node), e, at_m + edges_[e].length_m);
    }
  }
  return reached;
}

}  // namespace brookmark::core
