#include "core/network/river_graph.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <queue>
#include <string>
#include <utility>

#include "core/base/error.hpp"

namespace brookmark::core {
namespace {

// Compressed rows: the edges of node n are list[begin[n]] up to list[begin[n + 1]], in edge order.
void build_rows(std::uint32_t node_count, std::span<const GraphEdge> edges, std::uint32_t GraphEdge::*end,
                std::vector<std::uint32_t>& begin, std::vector<std::uint32_t>& list) {
  begin.assign(std::size_t{node_count} + 1, 0);
  for (const GraphEdge& edge : edges) ++begin[std::size_t{edge.*end} + 1];
  std::partial_sum(begin.begin(), begin.end(), begin.begin());
  list.resize(edges.size());
  std::vector<std::uint32_t> next(begin.begin(), begin.end() - 1);
  for (std::uint32_t e = 0; e < edges.size(); ++e) list[next[edges[e].*end]++] = e;
}

std::vector<std::uint32_t> label_components(std::uint32_t node_count, std::span<const GraphEdge> edges) {
  std::vector<std::uint32_t> parent(node_count);
  std::iota(parent.begin(), parent.end(), 0U);
  const auto find = [&parent](std::uint32_t node) {
    while (parent[node] != node) {
      parent[node] = parent[parent[node]];
      node = parent[node];
    }
    return node;
  };
  for (const GraphEdge& edge : edges) {
    const std::uint32_t a = find(edge.from);
    const std::uint32_t b = find(edge.to);
    if (a != b) parent[std::max(a, b)] = std::min(a, b);
  }
  for (std::uint32_t node = 0; node < node_count; ++node) parent[node] = find(node);
  return parent;
}

// A growing shortest-path front. Ties are settled by node number, so the answer never depends on the heap.
class Front {
 public:
  explicit Front(std::vector<double>& distance_m) : distance_m_(distance_m) {}

  void push(std::uint32_t node, double at_m) { queue_.emplace(at_m, node); }
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

RiverGraph::RiverGraph(std::uint32_t node_count, std::vector<GraphEdge> edges) : edges_(std::move(edges)) {
  if (edges_.size() >= kNoEdge) throw Error(ErrorCode::kBadInput, "The channel network has too many edges.");
  for (std::size_t e = 0; e < edges_.size(); ++e) {
    const GraphEdge& edge = edges_[e];
    const std::string where = "channel edge " + std::to_string(e);
    if (edge.from >= node_count || edge.to >= node_count) {
      throw Error(ErrorCode::kBadInput,
                  "It leads from node " + std::to_string(edge.from) + " to node " + std::to_string(edge.to) +
                      ", but there are only " + std::to_string(node_count) + " nodes.",
                  where);
    }
    if (!std::isfinite(edge.length_m) || edge.length_m < 0) {
      throw Error(ErrorCode::kBadInput, "Its length must be a number of metres, zero or more.", where);
    }
  }
  build_rows(node_count, edges_, &GraphEdge::from, out_begin_, out_);
  build_rows(node_count, edges_, &GraphEdge::to, in_begin_, in_);
  component_ = label_components(node_count, edges_);

  // Sources first (Kahn 1962, Communications of the ACM 5:558-562). The newest ready node goes next: that
  // follows a stream down to the next confluence and keeps neighbours near each other in memory. Edges that
  // already come sorted by node number keep that order for the same reason.
  const auto falls = [](const GraphEdge& edge) { return edge.from > edge.to; };
  const auto rises = [](const GraphEdge& edge) { return edge.from < edge.to; };
  flow_order_.reserve(edges_.size());
  const auto append_out = [this](std::uint32_t node) {
    for (const std::uint32_t e : edges_out(node)) flow_order_.push_back(edges_[e]);
  };
  if (std::all_of(edges_.begin(), edges_.end(), falls)) {
    for (std::uint32_t node = node_count; node-- > 0;) append_out(node);
  } else if (std::all_of(edges_.begin(), edges_.end(), rises)) {
    for (std::uint32_t node = 0; node < node_count; ++node) append_out(node);
  } else {
    std::vector<std::uint32_t> waiting(node_count);
    std::vector<std::uint32_t> ready;
    for (std::uint32_t node = node_count; node-- > 0;) {
      waiting[node] = static_cast<std::uint32_t>(edges_in(node).size());
      if (waiting[node] == 0) ready.push_back(node);
    }
    while (!ready.empty()) {
      const std::uint32_t node = ready.back();
      ready.pop_back();
      append_out(node);
      for (const std::uint32_t e : edges_out(node)) {
        if (--waiting[edges_[e].to] == 0) ready.push_back(edges_[e].to);
      }
    }
  }
  has_loops_ = flow_order_.size() != edges_.size();
  if (has_loops_) flow_order_ = {};
  is_tree_ = !has_loops_;
  for (std::uint32_t node = 0; is_tree_ && node < node_count; ++node) is_tree_ = edges_out(node).size() <= 1;
}

std::uint32_t RiverGraph::node_count() const {
  return static_cast<std::uint32_t>(component_.size());
}

std::span<const GraphEdge> RiverGraph::edges() const {
  return edges_;
}

std::span<const std::uint32_t> RiverGraph::edges_out(std::uint32_t node) const {
  return {out_.data() + out_begin_[node], out_.data() + out_begin_[std::size_t{node} + 1]};
}

std::span<const std::uint32_t> RiverGraph::edges_in(std::uint32_t node) const {
  return {in_.data() + in_begin_[node], in_.data() + in_begin_[std::size_t{node} + 1]};
}

bool RiverGraph::is_tree() const {
  return is_tree_;
}

std::uint32_t RiverGraph::component(std::uint32_t node) const {
  return component_[node];
}

std::vector<double> RiverGraph::nearest(std::span<const std::uint8_t> marked, Direction direction) const {
  if (marked.size() != node_count()) {
    throw Error(ErrorCode::kBadUse, "There must be one mark for each of the " + std::to_string(node_count()) +
                                        " nodes, but " + std::to_string(marked.size()) + " were given.");
  }
  std::vector<double> distance_m(marked.size());
  std::transform(marked.begin(), marked.end(), distance_m.begin(),
                 [](std::uint8_t mark) { return mark != 0 ? 0.0 : kNoPath; });

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

  Front front(distance_m);
  for (std::uint32_t node = 0; node < node_count(); ++node) {
    if (marked[node] != 0) front.push(node, 0);
  }
  const auto relax = [&](std::uint32_t node, double at_m) {
    if (at_m < distance_m[node]) {
      distance_m[node] = at_m;
      front.push(node, at_m);
    }
  };
  // The search starts at the marked nodes, so it runs against the direction in which one looks from a node.
  for (std::uint32_t node = 0; front.pop(node);) {
    const double at_m = distance_m[node];
    if (direction != Direction::kDownstream) {
      for (const std::uint32_t e : edges_out(node)) relax(edges_[e].to, at_m + edges_[e].length_m);
    }
    if (direction != Direction::kUpstream) {
      for (const std::uint32_t e : edges_in(node)) relax(edges_[e].from, at_m + edges_[e].length_m);
    }
  }
  return distance_m;
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
      for (const std::uint32_t e : edges_in(node)) relax(edges_[e].from, e, at_m + edges_[e].length_m);
    }
    if (direction != Direction::kUpstream) {
      for (const std::uint32_t e : edges_out(node)) relax(edges_[e].to, e, at_m + edges_[e].length_m);
    }
  }
  return reached;
}

}  // namespace brookmark::core
