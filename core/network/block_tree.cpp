#include <algorithm>

#include "core/network/block_tree_internal.hpp"

namespace brookmark::core {

// Tarjan 1974, Information Processing Letters 2:160-161, with a stack of its own.
void BlockTree::find_bridges() {
  const std::uint32_t count = graph_.node_count();
  bridge.assign(graph_.edges().size(), 0);
  std::vector<std::uint32_t> seen_as(count, kNoItem), lowest(count, 0), through(count, kNoItem);
  std::vector<std::vector<std::uint32_t>::size_type> next(count, 0);
  std::vector<std::uint32_t> begin(count + 1, 0), list;
  for (std::uint32_t n = 0; n < count; ++n) {
    each_edge(n, [&](std::uint32_t e) { list.push_back(e); });
    begin[n + 1] = static_cast<std::uint32_t>(list.size());
  }
  std::uint32_t seen = 0;
  std::vector<std::uint32_t> path;
  for (std::uint32_t root = 0; root < count; ++root) {
    if (seen_as[root] != kNoItem) continue;
    seen_as[root] = lowest[root] = seen++;
    path.push_back(root);
    while (!path.empty()) {
      const std::uint32_t node = path.back();
      if (next[node] < begin[node + 1] - begin[node]) {
        const std::uint32_t e = list[begin[node] + next[node]++];
        if (e == through[node]) continue;
        const std::uint32_t other = graph_.far_end(e, node);
        if (seen_as[other] == kNoItem) {
          seen_as[other] = lowest[other] = seen++;
          through[other] = e;
          path.push_back(other);
        } else {
          lowest[node] = std::min(lowest[node], seen_as[other]);
        }
        continue;
      }
      path.pop_back();
      if (through[node] == kNoItem) continue;
      const std::uint32_t above = graph_.far_end(through[node], node);
      lowest[above] = std::min(lowest[above], lowest[node]);
      if (lowest[node] == seen_as[node]) bridge[through[node]] = 1;
    }
  }
}

void BlockTree::label_blocks() {
  const std::uint32_t count = graph_.node_count();
  block.assign(count, kNoItem);
  block_nodes.clear();
  std::vector<std::uint32_t> open;
  for (std::uint32_t root = 0; root < count; ++root) {
    if (block[root] != kNoItem) continue;
    const auto number = static_cast<std::uint32_t>(block_nodes.size());
    block_nodes.emplace_back();
    block[root] = number;
    open.push_back(root);
    while (!open.empty()) {
      const std::uint32_t node = open.back();
      open.pop_back();
      block_nodes[number].push_back(node);
      each_edge(node, [&](std::uint32_t e) {
        const std::uint32_t other = graph_.far_end(e, node);
        if (bridge[e] != 0 || block[other] != kNoItem) return;
        block[other] = number;
        open.push_back(other);
      });
    }
  }
}

void BlockTree::order_blocks() {
  const std::size_t count = block_nodes.size();
  towards.assign(count, kNoItem);
  tree.assign(count, kNoItem);
  order.clear();
  for (std::uint32_t root = 0; root < count; ++root) {
    if (tree[root] != kNoItem) continue;
    tree[root] = root;
    std::size_t at = order.size();
    order.push_back(root);
    for (; at < order.size(); ++at) {
      const std::uint32_t here = order[at];
      for (const std::uint32_t node : block_nodes[here]) {
        each_edge(node, [&](std::uint32_t e) {
          const std::uint32_t other = block[graph_.far_end(e, node)];
          if (bridge[e] == 0 || tree[other] != kNoItem) return;
          tree[other] = root;
          towards[other] = e;
          order.push_back(other);
        });
      }
    }
  }
}

}  // namespace brookmark::core
