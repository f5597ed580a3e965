// Why: which way the water runs is asked on the tree that is left when every set of channels with more than
// one way between them (a braid, a block) is taken as one place. Its single channels are the bridges.
// Private to core/network.
#pragma once

#include <cstdint>
#include <limits>
#include <vector>

#include "core/network/channels.hpp"

namespace brookmark::core {

inline constexpr std::uint32_t kNoItem = std::numeric_limits<std::uint32_t>::max();

class BlockTree {
 public:
  explicit BlockTree(const RiverGraph& graph) : graph_(graph) {
    find_bridges();
    label_blocks();
    order_blocks();
  }

  std::vector<std::uint8_t> bridge;                     // by edge
  std::vector<std::uint32_t> block;                     // by node
  std::vector<std::vector<std::uint32_t>> block_nodes;  // by block
  // Blocks of each tree from any one of them outwards; by block the bridge towards that root, and the root.
  std::vector<std::uint32_t> order, towards, tree;

  // False for a two-way channel, which tells nothing of the flow.
  bool counts(std::uint32_t e) const { return !graph_.is_two_way(e); }
  double weight(std::uint32_t e) const { return counts(e) ? graph_.edges()[e].length_m : 0; }
  std::uint32_t parent(std::uint32_t b) const {
    const GraphEdge& e = graph_.edges()[towards[b]];
    return block[e.from] == b ? block[e.to] : block[e.from];
  }
  bool leads_to_parent(std::uint32_t b) const { return block[graph_.edges()[towards[b]].from] == b; }

  template <class F>
  void each_edge(std::uint32_t node, F&& f) const {
    for (const std::uint32_t e : graph_.edges_out(node)) f(e);
    for (const std::uint32_t e : graph_.edges_in(node))
      if (!graph_.is_two_way(e) && graph_.edges()[e].from != node) f(e);
  }

 private:
  void find_bridges();
  void label_blocks();
  void order_blocks();

  const RiverGraph& graph_;
};

}  // namespace brookmark::core
