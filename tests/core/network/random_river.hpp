// Why: fast passes over a network are compared with all pairs by brute force on thousands of small networks.
// Use: auto river = random_river(12, Shape::kBraid, true, random);  auto d = all_pairs(river, kUpstream);
#pragma once

#include <algorithm>
#include <cstdint>
#include <random>
#include <utility>
#include <vector>

#include "core/network/river_graph.hpp"

namespace brookmark::test {

enum class Shape { kTree, kBraid, kLoops, kTwoWay };

struct RandomRiver {
  std::uint32_t node_count = 0;
  std::vector<core::GraphEdge> edges;
  std::vector<std::uint8_t> two_way;  // empty but for Shape::kTwoWay

  core::RiverGraph graph() const { return {node_count, edges, two_way}; }
  bool both_ways(std::size_t edge) const { return !two_way.empty() && two_way[edge] != 0; }
};

// Some nodes get no edge at all, so that networks fall into pieces; labels are shuffled; lengths are whole
// metres (sums are then exact) and may be zero.
inline RandomRiver random_river(std::uint32_t n, Shape shape, bool shuffle, std::mt19937& random) {
  const auto below = [&](std::uint32_t limit) { return static_cast<std::uint32_t>(random() % limit); };
  std::vector<std::uint32_t> label(n);
  for (std::uint32_t i = 0; i < n; ++i) label[i] = i;
  if (shuffle) {
    for (std::uint32_t i = n; i > 1; --i) std::swap(label[i - 1], label[below(i)]);
  }
  RandomRiver river{n, {}, {}};
  for (std::uint32_t i = 1; i < n; ++i) {
    if (below(8) == 0) continue;
    river.edges.push_back({label[i], label[below(i)], static_cast<double>(below(10))});
  }
  if (shape != Shape::kTree) {
    for (std::uint32_t extra = 0; extra < 1 + n / 4; ++extra) {
      const std::uint32_t a = below(n);
      const std::uint32_t b = below(n);
      if (shape != Shape::kLoops && a == b) continue;
      const bool as_drawn = shape == Shape::kLoops || a > b;
      river.edges.push_back(
          {label[as_drawn ? a : b], label[as_drawn ? b : a], static_cast<double>(below(10))});
    }
  }
  if (shape == Shape::kTwoWay)
    for (std::size_t e = 0; e < river.edges.size(); ++e) river.two_way.push_back(below(4) == 0 ? 1 : 0);
  return river;
}

// Distance from every node to every node looking one way, by Floyd and Warshall.
inline std::vector<std::vector<double>> all_pairs(const RandomRiver& river, core::Direction direction) {
  const std::uint32_t n = river.node_count;
  std::vector<std::vector<double>> d(n, std::vector<double>(n, core::kNoPath));
  for (std::uint32_t i = 0; i < n; ++i) d[i][i] = 0;
  for (std::size_t i = 0; i < river.edges.size(); ++i) {
    const core::GraphEdge& e = river.edges[i];
    const bool both = direction == core::Direction::kAny || river.both_ways(i);
    if (both || direction == core::Direction::kDownstream)
      d[e.from][e.to] = std::min(d[e.from][e.to], e.length_m);
    if (both || direction == core::Direction::kUpstream)
      d[e.to][e.from] = std::min(d[e.to][e.from], e.length_m);
  }
  for (std::uint32_t k = 0; k < n; ++k)
    for (std::uint32_t i = 0; i < n; ++i)
      for (std::uint32_t j = 0; j < n; ++j) d[i][j] = std::min(d[i][j], d[i][k] + d[k][j]);
  return d;
}

}  // namespace brookmark::test
