#include "core/network/river_graph.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <string>
#include <utility>

#include "core/base/error.hpp"

namespace brookmark::core {
namespace {

// Compressed rows: the edges of node n are list[begin[n]] up to list[begin[n + 1]], in edge order.
void build_rows(std::uint32_t node_count, std::span<const GraphEdge> edges,
                std::span<const std::uint8_t> two_way, std::uint32_t GraphEdge::*end,
                std::vector<std::uint32_t>& begin, std::vector<std::uint32_t>& list) {
  const auto each = [&](auto&& f) {
    for (std::uint32_t e = 0; e < edges.size(); ++e) {
      const GraphEdge& edge = edges[e];
      f(edge.*end, e);
      if (!two_way.empty() && two_way[e] != 0 && edge.from != edge.to)
        f(edge.from + edge.to - edge.*end, e);  // its other end as well
    }
  };
  begin.assign(std::size_t{node_count} + 1, 0);
  each([&](std::uint32_t node, std::uint32_t) { ++begin[std::size_t{node} + 1]; });
  std::partial_sum(begin.begin(), begin.end(), begin.begin());
  list.resize(begin.back());
  std::vector<std::uint32_t> next(begin.begin(), begin.end() - 1);
  each([&](std::uint32_t node, std::uint32_t e) { list[next[node]++] = e; });
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

}  // namespace

RiverGraph::RiverGraph(std::uint32_t node_count, std::vector<GraphEdge> edges,
                       std::vector<std::uint8_t> two_way)
    : edges_(std::move(edges)), two_way_(std::move(two_way)) {
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
  if (!two_way_.empty() && two_way_.size() != edges_.size()) {
    throw Error(ErrorCode::kBadUse, "There must be one two-way mark for each of the " +
                                        std::to_string(edges_.size()) + " channel edges, but " +
                                        std::to_string(two_way_.size()) + " were given.");
  }
  if (std::none_of(two_way_.begin(), two_way_.end(), [](std::uint8_t mark) { return mark != 0; }))
    two_way_ = {};
  build_rows(node_count, edges_, two_way_, &GraphEdge::from, out_begin_, out_);
  build_rows(node_count, edges_, two_way_, &GraphEdge::to, in_begin_, in_);
  component_ = label_components(node_count, edges_);
  order_nodes();
  if (has_loops_) order_groups();
  is_tree_ = !has_loops_;
  for (std::uint32_t node = 0; is_tree_ && node < node_count; ++node) is_tree_ = edges_out(node).size() <= 1;
}

void RiverGraph::order_nodes() {
  const std::uint32_t count = node_count();

  // Sources first (Kahn 1962, Communications of the ACM 5:558-562). The newest ready node goes next: that
  // follows a stream down to the next confluence and keeps neighbours near each other in memory. Edges that
  // already come sorted by node number keep that order for the same reason.
  const auto falls = [](const GraphEdge& edge) { return edge.from > edge.to; };
  const auto rises = [](const GraphEdge& edge) { return edge.from < edge.to; };
  flow_order_.reserve(edges_.size());
  nodes_down_.reserve(count);
  const auto append = [this](std::uint32_t node) {
    nodes_down_.push_back(node);
    for (const std::uint32_t e : edges_out(node)) flow_order_.push_back(edges_[e]);
  };
  if (!two_way_.empty()) {
    // Water runs back and forth: there is no order of single nodes.
  } else if (std::all_of(edges_.begin(), edges_.end(), falls)) {
    for (std::uint32_t node = count; node-- > 0;) append(node);
  } else if (std::all_of(edges_.begin(), edges_.end(), rises)) {
    for (std::uint32_t node = 0; node < count; ++node) append(node);
  } else {
    std::vector<std::uint32_t> waiting(count);
    std::vector<std::uint32_t> ready;
    for (std::uint32_t node = count; node-- > 0;) {
      waiting[node] = static_cast<std::uint32_t>(edges_in(node).size());
      if (waiting[node] == 0) ready.push_back(node);
    }
    while (!ready.empty()) {
      const std::uint32_t node = ready.back();
      ready.pop_back();
      append(node);
      for (const std::uint32_t e : edges_out(node)) {
        if (--waiting[edges_[e].to] == 0) ready.push_back(edges_[e].to);
      }
    }
  }
  has_loops_ = nodes_down_.size() != count;
  if (has_loops_) flow_order_ = {};
}

// Groups of nodes that reach each other, the lowest first (Tarjan 1972, SIAM Journal on Computing 1:146-160),
// then turned about.
void RiverGraph::order_groups() {
  const std::uint32_t count = node_count();
  constexpr std::uint32_t kUnseen = std::numeric_limits<std::uint32_t>::max();
  std::vector<std::uint32_t> seen_as(count, kUnseen), lowest(count), next(count, 0), open, path;
  group_.assign(count, kUnseen);
  nodes_down_.clear();
  std::uint32_t seen = 0;
  for (std::uint32_t root = 0; root < count; ++root) {
    if (seen_as[root] != kUnseen) continue;
    path.push_back(root);
    while (!path.empty()) {
      const std::uint32_t node = path.back();
      if (seen_as[node] == kUnseen) {
        seen_as[node] = lowest[node] = seen++;
        open.push_back(node);
      }
      const std::span<const std::uint32_t> out = edges_out(node);
      bool deeper = false;
      while (next[node] < out.size() && !deeper) {
        const std::uint32_t below = far_end(out[next[node]], node);
        if (seen_as[below] == kUnseen) {
          path.push_back(below);
          deeper = true;  // its edge is looked at again when we come back, with its lowest known
        } else {
          if (group_[below] == kUnseen) lowest[node] = std::min(lowest[node], lowest[below]);
          ++next[node];
        }
      }
      if (deeper) continue;
      path.pop_back();
      if (lowest[node] != seen_as[node]) continue;
      std::uint32_t member = kUnseen;
      while (member != node) {
        member = open.back();
        open.pop_back();
        group_[member] = node;
        nodes_down_.push_back(member);
      }
    }
  }
  std::reverse(nodes_down_.begin(), nodes_down_.end());
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

bool RiverGraph::has_loops() const {
  return has_loops_;
}

std::uint32_t RiverGraph::component(std::uint32_t node) const {
  return component_[node];
}

}  // namespace brookmark::core
