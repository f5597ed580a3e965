#include <doctest/doctest.h>

#include <random>

#include "core/network/channel_walk.hpp"
#include "tests/core/network/ascii_river.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::core;
using brookmark::test::AsciiRiver;
using brookmark::test::kCellM;
using brookmark::test::near;

TEST_CASE("links are the same however many threads make them, and hold all pairs within the limit") {
  // A stem with twenty tributaries; places by chance.
  std::mt19937 random(7);
  const LocalFrame frame(brookmark::test::kInventedOrigin);
  std::vector<Reach> reaches{brookmark::test::reach_through(frame, {{0, 0}, {20000, 0}})};
  for (int i = 1; i <= 20; ++i) {
    const double x = i * 900.0;
    reaches.push_back(brookmark::test::reach_through(frame, {{x - 300, 1500}, {x, 0}}));
  }
  const ChannelNetwork network = build_channels(reaches);
  std::vector<ChannelPoint> from, to;
  for (int i = 0; i < 60; ++i) {
    const auto edge = static_cast<std::uint32_t>(random() % network.edges().size());
    const double length_m = network.graph().edges()[edge].length_m;
    const double along_m = length_m * static_cast<double>(random() % 11) / 10;
    (i % 2 == 0 ? from : to).push_back({edge, along_m, 0, {}});
  }
  for (const Direction direction : {Direction::kDownstream, Direction::kUpstream, Direction::kAny}) {
    const auto one = channel_links(network, from, to, direction, 6000, 1);
    for (const unsigned threads : {2U, 3U, 7U}) {
      const auto many = channel_links(network, from, to, direction, 6000, threads);
      REQUIRE(many.size() == one.size());
      for (std::size_t i = 0; i < one.size(); ++i) {
        REQUIRE(many[i].from == one[i].from);
        REQUIRE(many[i].to == one[i].to);
        REQUIRE(many[i].distance_m == one[i].distance_m);
      }
    }
    // Every pair by itself.
    std::size_t pairs = 0;
    ChannelWalk walk(network);
    for (const ChannelPoint& a : from) {
      walk.start(a, direction);
      for (const ChannelPoint& b : to) {
        const auto distance_m = walk.distance_m(b);
        if (distance_m && *distance_m <= 6000) ++pairs;
      }
    }
    CHECK(one.size() == pairs);
    CHECK(pairs > 20);
  }
}

TEST_CASE("a walk started anew forgets the one before") {
  const AsciiRiver river(R"(
A---b---C

D---e---F)");
  const ChannelNetwork network = build_channels(river.reaches());
  const auto at = [&](char letter) { return *network.snap(river.at(letter)); };
  ChannelWalk walk(network);
  walk.start(at('A'), Direction::kDownstream);
  CHECK(near(walk.distance_m(at('C')).value(), 8 * kCellM, 0.01));
  CHECK_FALSE(walk.distance_m(at('F')).has_value());
  walk.start(at('D'), Direction::kDownstream, 5 * kCellM);
  CHECK_FALSE(walk.distance_m(at('C')).has_value());
  CHECK(near(walk.distance_m(at('e')).value(), 4 * kCellM, 0.01));
  CHECK_FALSE(walk.distance_m(at('F')).has_value());  // 8 cells away
  CHECK_FALSE(walk.route(at('F')).has_value());
}

TEST_CASE("one limit for each place, and no negative distance, are asked for") {
  const ChannelNetwork network = build_channels({});
  const LonLat place{10, 60};
  const double limit_m = 250;
  CHECK_THROWS(distances_between(network, std::span(&place, 1), {}, {}, {}));
  CHECK_THROWS(
      distances_between(network, std::span(&place, 1), std::span(&limit_m, 1), {}, {Direction::kAny, -1.0}));
}
