// Why: distances to outfalls follow the channel and its direction; a straight line is not a river.
// The graph alone: nodes, and pieces of reaches as directed edges (from = upstream), lengths in metres.
// Trees, braids and loops.
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
  RiverGraph(std::uint32_t node_count, std::vector<GraphEdge> edges);

  std::uint32_t node_count() const;
  std::span<const GraphEdge> edges() const;
  std::span<const std::uint32_t> edges_out(std::uint32_t node) const;  // edge numbers leaving downstream
  std::span<const std::uint32_t> edges_in(std::uint32_t node) const;
  bool is_tree() const;  // every node has at most one way downstream, and there are no loops
  // Nodes with the same number are joined by channel, whatever the direction of flow.
  std::uint32_t component(std::uint32_t node) const;

  // Shortest along-channel distance of every node to the nearest marked node, metres; kNoPath where there is
  // none. kUpstream: the marked node lies upstream of the node. Linear passes where the flow has no loops,
  // Dijkstra elsewhere (and for kAny off trees). A marked node is at 0 m from itself.
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
  std::vector<GraphEdge> edges_;
  std::vector<std::uint32_t> out_begin_, out_, in_begin_, in_;
  std::vector<std::uint32_t> component_;
  std::vector<GraphEdge> flow_order_;  // by upstream end, sources first; empty when the flow has loops
  bool has_loops_ = false;
  bool is_tree_ = false;
};

}  // namespace brookmark::core
