#include "core/network/stream_order.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <map>
#include <random>
#include <set>
#include <utility>
#include <vector>

#include "core/network/channels.hpp"
#include "tests/core/network/ascii_river.hpp"
#include "tests/core/network/random_river.hpp"
#include "tests/support/near.hpp"

using brookmark::core::Direction;
using brookmark::core::GraphEdge;
using brookmark::core::kNoPath;
using brookmark::core::RiverGraph;
using brookmark::core::stream_figures;
using brookmark::core::StreamFigures;
using brookmark::test::all_pairs;
using brookmark::test::near;
using brookmark::test::random_river;
using brookmark::test::RandomRiver;
using brookmark::test::Shape;

using Orders = std::vector<std::uint8_t>;
using Metres = std::vector<double>;

TEST_CASE("streams grow in order where two of one order meet, not where a small one joins") {
  // 0 -> 2 <- 1 makes order 2; 3 (order 1) joins at 4: still 2; 5 -> 7 <- 6 makes another 2, and both meet at
  // 8: 3.
  const RiverGraph graph(
      10,
      {{0, 2, 1}, {1, 2, 1}, {2, 4, 1}, {3, 4, 1}, {4, 8, 1}, {5, 7, 1}, {6, 7, 1}, {7, 8, 1}, {8, 9, 1}});
  CHECK(stream_figures(graph).order == Orders{1, 1, 2, 1, 2, 1, 1, 2, 3});
}

TEST_CASE("order, upstream length and distance to the mouth of a river drawn by hand") {
  // Reaches in the order of their first stroke: A-C, B-C, C-E, D-E, E-F. Straight cells 100 m, diagonal 141.42 m.
  const brookmark::test::AsciiRiver river(R"(
    A   B
     \ /
      C   D
      |  /
      | /
      |/
      E
      |
      F
)");
  const auto network = brookmark::core::build_channels(river.reaches());
  const StreamFigures figures = stream_figures(network.graph());
  CHECK(figures.order == Orders{1, 1, 2, 1, 2});
  const double kDiagonal = brookmark::test::kDiagonalM;
  const Metres upstream{2 * kDiagonal, 2 * kDiagonal, 4 * kDiagonal + 400, 4 * kDiagonal,
                        8 * kDiagonal + 600};
  const Metres mouth{600, 600, 200, 200, 0};
  REQUIRE(figures.upstream_m.size() == 5);
  for (std::size_t e = 0; e < 5; ++e) {
    CHECK(near(figures.upstream_m[e], upstream[e], 0.001));  // the drawing's plane is right to 1.7 ppm
    CHECK(near(figures.mouth_m[e], mouth[e], 0.001));
  }
}

TEST_CASE("the arms of a braid do not raise the order and count once each in the length above") {
  // 0 -> 1, then 1 -> 2 (3 m) and 1 -> 3 -> 2 (4 + 5 m), 2 -> 4.
  const RiverGraph braid(5, {{0, 1, 10}, {1, 2, 3}, {1, 3, 4}, {3, 2, 5}, {2, 4, 20}});
  const StreamFigures figures = stream_figures(braid);
  CHECK(figures.order == Orders{1, 1, 1, 1, 1});
  CHECK(figures.upstream_m == Metres{10, 13, 14, 19, 42});
  CHECK(figures.mouth_m == Metres{23, 20, 25, 20, 0});
  // A headwater of order 1 that joins one arm makes it order 2, and a new stream: 5 -> 3.
  const RiverGraph joined(6, {{0, 1, 10}, {1, 2, 3}, {1, 3, 4}, {3, 2, 5}, {2, 4, 20}, {5, 3, 7}});
  CHECK(stream_figures(joined).order == Orders{1, 1, 1, 2, 2, 1});
  CHECK(stream_figures(joined).upstream_m == Metres{10, 13, 14, 26, 49, 7});
}

TEST_CASE("both arms below a fork that never meet again have all that lies above it") {
  const RiverGraph fork(4, {{0, 1, 10}, {1, 2, 3}, {1, 3, 4}});
  CHECK(stream_figures(fork).upstream_m == Metres{10, 13, 14});
  CHECK(stream_figures(fork).mouth_m == Metres{3, 0, 0});
}

TEST_CASE("a circle is one meeting place, and where it has no way out there is no distance to a mouth") {
  const RiverGraph circle(3, {{0, 1, 1}, {1, 2, 2}, {2, 0, 4}});
  CHECK(stream_figures(circle).order == Orders{1, 1, 1});
  CHECK(stream_figures(circle).upstream_m == Metres{7, 7, 7});
  CHECK(stream_figures(circle).mouth_m == Metres{kNoPath, kNoPath, kNoPath});
  // Two headwaters run into it (3 -> 0, 4 -> 1), one river leaves it (2 -> 5).
  const RiverGraph fed(6, {{0, 1, 1}, {1, 2, 2}, {2, 0, 4}, {3, 0, 10}, {4, 1, 20}, {2, 5, 40}});
  CHECK(stream_figures(fed).order == Orders{2, 2, 2, 1, 1, 2});
  CHECK(stream_figures(fed).upstream_m == Metres{37, 37, 37, 10, 20, 77});
  CHECK(stream_figures(fed).mouth_m == Metres{42, 40, 43, 43, 42, 0});
}

TEST_CASE("a two-way canal counts once, and is as far from the mouth as its nearer end") {
  const RiverGraph canal(4, {{0, 1, 10}, {1, 2, 50}, {2, 3, 20}}, {0, 1, 0});
  const StreamFigures figures = stream_figures(canal);
  CHECK(figures.order == Orders{1, 1, 1});
  CHECK(figures.upstream_m == Metres{10, 60, 80});
  CHECK(figures.mouth_m == Metres{70, 20, 0});
}

TEST_CASE("an empty network has no figures") {
  CHECK(stream_figures(RiverGraph()).order.empty());
}

namespace {

// Order and origin of an edge by the rule as it reads, asked from below: what arrives at the group of nodes
// at its upper end, found by all pairs.
class SlowOrder {
 public:
  SlowOrder(const RandomRiver& river, const std::vector<std::vector<double>>& down)
      : river_(river), down_(down), known_(river.edges.size()) {}

  std::uint32_t of(std::size_t edge) { return stream(edge).first; }

 private:
  using Stream = std::pair<std::uint32_t, std::uint32_t>;  // order; where it began: least node of the group
  bool together(std::uint32_t a, std::uint32_t b) const {
    return down_[a][b] != kNoPath && down_[b][a] != kNoPath;
  }
  Stream stream(std::size_t edge) {
    if (known_[edge].first > 0) return known_[edge];
    const std::uint32_t at = river_.edges[edge].from;
    std::multimap<std::uint32_t, std::uint32_t> arriving;
    std::uint32_t least = at;
    for (std::uint32_t n = 0; n < river_.node_count; ++n)
      if (together(n, at)) least = std::min(least, n);
    for (std::size_t e = 0; e < river_.edges.size(); ++e) {
      if (!together(river_.edges[e].to, at) || together(river_.edges[e].from, at)) continue;
      const Stream s = stream(e);
      arriving.emplace(s.first, s.second);
    }
    if (arriving.empty()) return known_[edge] = {1, least};
    const std::uint32_t highest = arriving.rbegin()->first;
    std::set<std::uint32_t> origins;
    for (auto [it, end] = arriving.equal_range(highest); it != end; ++it) origins.insert(it->second);
    return known_[edge] = origins.size() > 1 ? Stream{highest + 1, least} : Stream{highest, *origins.begin()};
  }

  const RandomRiver& river_;
  const std::vector<std::vector<double>>& down_;
  std::vector<Stream> known_;
};

void check_figures(Shape shape, std::uint32_t seed) {
  std::mt19937 random(seed);
  CAPTURE(seed);
  for (int round = 0; round < 2000; ++round) {
    CAPTURE(round);
    const RandomRiver river =
        random_river(static_cast<std::uint32_t>(1 + random() % 14), shape, round % 3 != 0, random);
    const StreamFigures figures = stream_figures(river.graph());
    const auto down = all_pairs(river, Direction::kDownstream);
    SlowOrder slow(river, down);
    for (std::size_t e = 0; e < river.edges.size(); ++e) {
      const GraphEdge& edge = river.edges[e];
      REQUIRE(figures.order[e] == slow.of(e));
      double upstream_m = 0;
      for (std::size_t other = 0; other < river.edges.size(); ++other) {
        bool drains = other == e;
        const auto from_end = [&](std::uint32_t head) {
          return down[head][edge.from] != kNoPath || (river.both_ways(e) && down[head][edge.to] != kNoPath);
        };
        drains = drains || from_end(river.edges[other].to) ||
                 (river.both_ways(other) && from_end(river.edges[other].from));
        upstream_m += drains ? river.edges[other].length_m : 0;
      }
      REQUIRE(figures.upstream_m[e] == upstream_m);
      double mouth_m = kNoPath;
      for (std::uint32_t n = 0; n < river.node_count; ++n) {
        bool leaves = false;
        for (std::size_t o = 0; o < river.edges.size(); ++o)
          leaves = leaves || river.edges[o].from == n || (river.both_ways(o) && river.edges[o].to == n);
        if (leaves) continue;
        mouth_m = std::min(mouth_m, down[edge.to][n]);
        if (river.both_ways(e)) mouth_m = std::min(mouth_m, down[edge.from][n]);
      }
      REQUIRE(figures.mouth_m[e] == mouth_m);
      // A tree's stream of order k has at least 2 to the power of k - 1 headwaters.
      if (shape != Shape::kTree) continue;
      int headwaters = 0;
      for (std::uint32_t n = 0; n < river.node_count; ++n) {
        bool fed = false;
        for (const GraphEdge& other : river.edges) fed = fed || other.to == n;
        headwaters += !fed && down[n][edge.from] != kNoPath ? 1 : 0;
      }
      REQUIRE(headwaters >= 1 << (figures.order[e] - 1));
    }
  }
}

}  // namespace

TEST_CASE("on 2,000 random trees the figures agree with the rules read out one by one") {
  check_figures(Shape::kTree, 20241101);
}

TEST_CASE("on 2,000 random braids the figures agree with the rules read out one by one") {
  check_figures(Shape::kBraid, 20241102);
}

TEST_CASE("on 2,000 random networks with loops the figures agree with the rules read out one by one") {
  check_figures(Shape::kLoops, 20241103);
}

TEST_CASE(
    "on 2,000 random networks with two-way canals the figures agree with the rules read out one by one") {
  check_figures(Shape::kTwoWay, 20241104);
}
