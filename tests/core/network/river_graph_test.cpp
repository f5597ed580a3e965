#include "core/network/river_graph.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>
#include <vector>

#include "core/base/error.hpp"
#include "tests/core/network/random_river.hpp"
#include "tests/support/near.hpp"

using brookmark::Error;
using brookmark::core::Direction;
using brookmark::core::GraphEdge;
using brookmark::core::kNoPath;
using brookmark::core::RiverGraph;
using brookmark::test::all_pairs;
using brookmark::test::near;
using brookmark::test::random_river;
using brookmark::test::RandomRiver;
using brookmark::test::Shape;

namespace {

constexpr Direction kDirections[] = {Direction::kUpstream, Direction::kDownstream, Direction::kAny};

void check_against_all_pairs(const RandomRiver& river, std::mt19937& random) {
  const std::uint32_t n = river.node_count;
  const std::vector<GraphEdge>& edges = river.edges;
  const RiverGraph graph = river.graph();
  std::vector<std::uint8_t> marked(n);
  for (auto& mark : marked) mark = random() % 4 == 0;
  for (const Direction direction : kDirections) {
    const auto d = all_pairs(river, direction);
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
        const bool both_ways = river.both_ways(reached.via_edge[node]);
        if (direction == Direction::kUpstream && !both_ways) REQUIRE(edge.from == node);
        if (direction == Direction::kDownstream && !both_ways) REQUIRE(edge.to == node);
        sum += edge.length_m;
        node = edge.to == node ? edge.from : edge.to;
      }
      REQUIRE(node == start);
      REQUIRE(sum == reached.distance_m[i]);
    }
  }
  const auto any = all_pairs(river, Direction::kAny);
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
    check_against_all_pairs(random_river(n, shape, round % 3 != 0, random), random);
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

TEST_CASE(
    "on 1,500 random networks with two-way canals every distance agrees with all pairs by brute force") {
  check_many(Shape::kTwoWay, 20240504);
}

TEST_CASE("nodes stand below those they drain from, and those of a circle stand together") {
  std::mt19937 random(20240505);
  for (int round = 0; round < 2000; ++round) {
    CAPTURE(round);
    const Shape shape = std::vector{Shape::kTree, Shape::kBraid, Shape::kLoops, Shape::kTwoWay}[random() % 4];
    const RandomRiver river =
        random_river(static_cast<std::uint32_t>(1 + random() % 14), shape, round % 3 != 0, random);
    const RiverGraph graph = river.graph();
    const auto d = all_pairs(river, Direction::kDownstream);
    const auto nodes = graph.nodes_down();
    REQUIRE(nodes.size() == river.node_count);
    bool loops = false;
    for (std::size_t i = 0; i < nodes.size(); ++i) {
      for (std::size_t j = 0; j < nodes.size(); ++j) {
        const bool there = d[nodes[i]][nodes[j]] != kNoPath, back = d[nodes[j]][nodes[i]] != kNoPath;
        REQUIRE((graph.group(nodes[i]) == graph.group(nodes[j])) == (there && back));
        if (there && !back) REQUIRE(i < j);
        // Together: whoever stands between two of a group is of the group.
        if (i < j && there && back) REQUIRE(graph.group(nodes[i + 1]) == graph.group(nodes[i]));
        loops = loops || (i != j && there && back);
      }
    }
    for (const GraphEdge& edge : river.edges) loops = loops || edge.from == edge.to;
    REQUIRE(graph.has_loops() == loops);
  }
}

TEST_CASE("upstream and downstream both lead along a two-way canal, and no farther than the flow allows") {
  // 0 -> 1 == 2 -> 3, the middle 50 m two-way; 4 -> 2 comes in at its far end.
  const RiverGraph graph(5, {{0, 1, 10}, {1, 2, 50}, {2, 3, 20}, {4, 2, 5}}, {0, 1, 0, 0});
  CHECK(graph.has_loops());
  CHECK_FALSE(graph.is_tree());
  const std::vector<std::uint8_t> at_4{0, 0, 0, 0, 1};
  // Node 1 may get water from 4 while the canal runs the other way; node 0 never does.
  CHECK(graph.nearest(at_4, Direction::kUpstream) == std::vector<double>{kNoPath, 55, 5, 25, 0});
  const std::vector<std::uint8_t> at_0{1, 0, 0, 0, 0};
  CHECK(graph.nearest(at_0, Direction::kUpstream) == std::vector<double>{0, 10, 60, 80, kNoPath});
  CHECK(graph.nearest(at_0, Direction::kAny) == std::vector<double>{0, 10, 60, 80, 65});
  CHECK_THROWS_AS(RiverGraph(2, {{0, 1, 1}}, {0, 1}), Error);
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
