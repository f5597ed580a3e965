#include "core/network/river_graph.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>
#include <vector>

#include "core/base/error.hpp"
#include "tests/support/near.hpp"

using brookmark::Error;
using brookmark::core::Direction;
using brookmark::core::GraphEdge;
using brookmark::core::kNoPath;
using brookmark::core::RiverGraph;
using brookmark::test::near;

namespace {

constexpr Direction kDirections[] = {Direction::kUpstream, Direction::kDownstream, Direction::kAny};

// Distance from every node to every node looking one way, by Floyd and Warshall.
std::vector<std::vector<double>> all_pairs(std::uint32_t n, const std::vector<GraphEdge>& edges,
                                           Direction direction) {
  std::vector<std::vector<double>> d(n, std::vector<double>(n, kNoPath));
  for (std::uint32_t i = 0; i < n; ++i) d[i][i] = 0;
  for (const GraphEdge& e : edges) {
    if (direction != Direction::kUpstream) d[e.from][e.to] = std::min(d[e.from][e.to], e.length_m);
    if (direction != Direction::kDownstream) d[e.to][e.from] = std::min(d[e.to][e.from], e.length_m);
  }
  for (std::uint32_t k = 0; k < n; ++k)
    for (std::uint32_t i = 0; i < n; ++i)
      for (std::uint32_t j = 0; j < n; ++j) d[i][j] = std::min(d[i][j], d[i][k] + d[k][j]);
  return d;
}

enum class Shape { kTree, kBraid, kLoops };

// Some nodes get no edge at all, so that networks fall into pieces; labels are shuffled; lengths are whole
// metres (sums are then exact) and may be zero.
std::vector<GraphEdge> random_river(std::uint32_t n, Shape shape, bool shuffle, std::mt19937& random) {
  const auto below = [&](std::uint32_t limit) { return static_cast<std::uint32_t>(random() % limit); };
  std::vector<std::uint32_t> label(n);
  for (std::uint32_t i = 0; i < n; ++i) label[i] = i;
  if (shuffle) {
    for (std::uint32_t i = n; i > 1; --i) std::swap(label[i - 1], label[below(i)]);
  }
  std::vector<GraphEdge> edges;
  for (std::uint32_t i = 1; i < n; ++i) {
    if (below(8) == 0) continue;
    edges.push_back({label[i], label[below(i)], static_cast<double>(below(10))});
  }
  if (shape != Shape::kTree) {
    for (std::uint32_t extra = 0; extra < 1 + n / 4; ++extra) {
      const std::uint32_t a = below(n);
      const std::uint32_t b = below(n);
      if (shape == Shape::kBraid && a == b) continue;
      const bool as_drawn = shape == Shape::kLoops || a > b;
      edges.push_back({label[as_drawn ? a : b], label[as_drawn ? b : a], static_cast<double>(below(10))});
    }
  }
  return edges;
}

void check_against_all_pairs(std::uint32_t n, const std::vector<GraphEdge>& edges, std::mt19937& random) {
  const RiverGraph graph(n, edges);
  std::vector<std::uint8_t> marked(n);
  for (auto& mark : marked) mark = random() % 4 == 0;
  for (const Direction direction : kDirections) {
    const auto d = all_pairs(n, edges, direction);
    const std::vector<double> nearest = graph.nearest(marked, direction);
    for (std::uint32_t i = 0; i < n; ++i) {
      double expected = kNoPath;
      for (std::uint32_t j = 0; j < n; ++j) {
        if (marked[j] != 0) expected = std::min(expected, d[i][j]);
      }
      REQUIRE(nearest[i] == expected);
    }
    const auto start = static_cast<std::uint32_t>(random() % n);
    const double max_m = random() % 2 == 0 ? kNoPath : static_cast<double>(random() % 20);
    const RiverGraph::Reached reached = graph.from_node(start, direction, max_m);
    for (std::uint32_t i = 0; i < n; ++i) {
      REQUIRE(reached.distance_m[i] == (d[start][i] <= max_m ? d[start][i] : kNoPath));
      // The edges by which nodes were reached lead back to the start and add up.
      if (i == start || reached.distance_m[i] == kNoPath) {
        REQUIRE(reached.via_edge[i] == RiverGraph::kNoEdge);
        continue;
      }
      double sum = 0;
      std::uint32_t node = i;
      for (std::uint32_t steps = 0; node != start && steps <= n; ++steps) {
        const GraphEdge& edge = edges[reached.via_edge[node]];
        if (direction == Direction::kUpstream) REQUIRE(edge.from == node);
        if (direction == Direction::kDownstream) REQUIRE(edge.to == node);
        sum += edge.length_m;
        node = edge.to == node ? edge.from : edge.to;
      }
      REQUIRE(node == start);
      REQUIRE(sum == reached.distance_m[i]);
    }
  }
  const auto any = all_pairs(n, edges, Direction::kAny);
  for (std::uint32_t i = 0; i < n; ++i)
    for (std::uint32_t j = 0; j < n; ++j)
      REQUIRE((graph.component(i) == graph.component(j)) == (any[i][j] != kNoPath));
}

void check_many(Shape shape, std::uint32_t seed) {
  std::mt19937 random(seed);
  CAPTURE(seed);
  for (int round = 0; round < 1500; ++round) {
    CAPTURE(round);
    const auto n = static_cast<std::uint32_t>(1 + random() % 14);
    check_against_all_pairs(n, random_river(n, shape, round % 3 != 0, random), random);
  }
}

}  // namespace

TEST_CASE("on 1,500 random trees, some in pieces, every distance agrees with all pairs by brute force") {
  check_many(Shape::kTree, 20240501);
}

TEST_CASE("on 1,500 random braids every distance agrees with all pairs by brute force") {
  check_many(Shape::kBraid, 20240502);
}

TEST_CASE("on 1,500 random networks with loops every distance agrees with all pairs by brute force") {
  check_many(Shape::kLoops, 20240503);
}

TEST_CASE("a tree is known as one, a braid and a loop are not") {
  CHECK(RiverGraph(3, {{0, 2, 1}, {1, 2, 1}}).is_tree());
  CHECK(RiverGraph(3, {}).is_tree());
  CHECK_FALSE(RiverGraph(3, {{0, 1, 1}, {0, 2, 1}}).is_tree());
  CHECK_FALSE(RiverGraph(2, {{0, 1, 1}, {0, 1, 2}}).is_tree());
  CHECK_FALSE(RiverGraph(3, {{0, 1, 1}, {1, 2, 1}, {2, 0, 1}}).is_tree());
  CHECK_FALSE(RiverGraph(1, {{0, 0, 5}}).is_tree());
}

TEST_CASE("the edges of a node are listed both ways in the order given") {
  const RiverGraph graph(4, {{0, 2, 1}, {1, 2, 2}, {2, 3, 3}});
  REQUIRE(graph.edges_in(2).size() == 2);
  CHECK(graph.edges_in(2)[0] == 0);
  CHECK(graph.edges_in(2)[1] == 1);
  REQUIRE(graph.edges_out(2).size() == 1);
  CHECK(graph.edges_out(2)[0] == 2);
  CHECK(graph.edges_out(3).empty());
  CHECK(graph.edges_in(0).empty());
}

TEST_CASE("without a marked node there is no path from anywhere") {
  const RiverGraph graph(3, {{0, 1, 1}, {1, 2, 1}});
  const std::vector<std::uint8_t> none(3);
  for (const Direction direction : kDirections) {
    for (const double d : graph.nearest(none, direction)) CHECK(d == kNoPath);
  }
}

TEST_CASE("an empty network answers with nothing") {
  const RiverGraph graph;
  CHECK(graph.node_count() == 0);
  CHECK(graph.nearest({}, Direction::kAny).empty());
  CHECK(RiverGraph(0, {}).nearest({}, Direction::kUpstream).empty());
}

TEST_CASE("an edge to a node that is not there is refused in a sentence") {
  CHECK_THROWS_WITH_AS(RiverGraph(2, {{0, 1, 1}, {1, 2, 1}}),
                       "channel edge 1: It leads from node 1 to node 2, but there are only 2 nodes.", Error);
}

TEST_CASE("a length that is negative or not a number is refused") {
  CHECK_THROWS_AS(RiverGraph(2, {{0, 1, -1}}), Error);
  CHECK_THROWS_AS(RiverGraph(2, {{0, 1, std::nan("")}}), Error);
  CHECK_THROWS_AS(RiverGraph(2, {{0, 1, std::numeric_limits<double>::infinity()}}), Error);
}

TEST_CASE("too few marks and a start that is not there are refused") {
  const RiverGraph graph(3, {{0, 1, 1}});
  CHECK_THROWS_AS(graph.nearest(std::vector<std::uint8_t>(2), Direction::kUpstream), Error);
  CHECK_THROWS_AS(graph.from_node(3, Direction::kUpstream), Error);
}
