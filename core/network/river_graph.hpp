// Why: distances to outfalls follow the channel and its direction; a straight line is not a river.
// The graph alone: nodes, and pieces of reaches as directed edges (from = upstream), lengths in metres.
// Trees, braids, loops, and canals in which water may run either way.
// Use: RiverGraph g(3, {{0, 1, 120.0}, {1, 2, 80.0}});  auto d = g.nearest(is_outfall, Direction::kUpstream);
#pragma once

#include <cstdint>
#include <limits>
#include <optional>
#include <span>
#include <vector>

namespace brookmark::core {

struct GraphEdge {
  std::uint32_t from = 0, to = 0;  // water flows from -> to
  double length_m = 0;             // >= 0
};

inline constexpr double kNoPath = std::numeric_limits<double>::infinity();

enum class Direction : std::uint8_t { kUpstream, kDownstream, kAny };

class RiverGraph {
 public:
  RiverGraph() = default;
  // Throws Error(kBadInput) for an edge to a node that is not there, or a length that is negative or not
  // finite.
  // `two_way`, where it is not empty, marks for each edge whether water may run in it either way; "upstream"
  // and "downstream" then both lead along it in both senses, for what comes down one day may go up the next.
  RiverGraph(std::uint32_t node_count, std::vector<GraphEdge> edges, std::vector<std::uint8_t> two_way = {});

  std::uint32_t node_count() const;
  std::span<const GraphEdge> edges() const;
  bool is_two_way(std::uint32_t edge) const { return !two_way_.empty() && two_way_[edge] != 0; }
  // The edges by which water may leave a node, and those by which it may arrive; a two-way edge is both at
  // both of its ends.
  std::span<const std::uint32_t> edges_out(std::uint32_t node) const;
  std::span<const std::uint32_t> edges_in(std::uint32_t node) const;
  // The node at the other end of an edge of this node.
  std::uint32_t far_end(std::uint32_t edge, std::uint32_t node) const {
    return edges_[edge].from == node ? edges_[edge].to : edges_[edge].from;
  }
  bool is_tree() const;    // every node has at most one way downstream, and there are no loops
  bool has_loops() const;  // water could come round to where it was; so it can in every two-way edge
  // All nodes, those upstream first. Nodes between which water can run both ways (a circle, a two-way canal)
  // stand together as one group; without loops each node is its own.
  std::span<const std::uint32_t> nodes_down() const { return nodes_down_; }
  std::uint32_t group(std::uint32_t node) const { return group_.empty() ? node : group_[node]; }
  // Nodes with the same number are joined by channel, whatever the direction of flow.
  std::uint32_t component(std::uint32_t node) const;

  // Shortest along-channel distance of every node to the nearest marked node, metres; kNoPath where there is
  // none. kUpstream: the marked node lies upstream of the node. Linear passes down or up the flow, with
  // Dijkstra only within the groups of nodes between which water runs both ways (and for kAny off trees). A
  // marked node is at 0 m from itself.
  // Throws Error(kBadUse) unless there is one mark for each node.
  std::vector<double> nearest(std::span<const std::uint8_t> marked, Direction direction) const;

  // From one node to all within max_m, with the edge by which each was reached (for paths).
  // kUpstream reaches the nodes that lie upstream of the start. Throws Error(kBadUse) for a start that is not
  // there.
  struct Reached {
    std::vector<double> distance_m;       // kNoPath where not reached
    std::vector<std::uint32_t> via_edge;  // kNoEdge at the start and where not reached
  };
  static constexpr std::uint32_t kNoEdge = std::numeric_limits<std::uint32_t>::max();
  Reached from_node(std::uint32_t start, Direction direction, double max_m = kNoPath) const;

 private:
  void order_nodes();
  void order_groups();
  void nearest_by_groups(std::vector<double>& distance_m, bool from_upstream) const;

  std::vector<GraphEdge> edges_;
  std::vector<std::uint8_t> two_way_;  // empty: none
  std::vector<std::uint32_t> out_begin_, out_, in_begin_, in_;
  std::vector<std::uint32_t> component_;
  std::vector<std::uint32_t> nodes_down_;
  std::vector<std::uint32_t> group_;   // empty without loops
  std::vector<GraphEdge> flow_order_;  // by upstream end, sources first; empty when the flow has loops
  bool has_loops_ = false;
  bool is_tree_ = false;
};

}  // namespace brookmark::core
