#include <doctest/doctest.h>

#include <algorithm>
#include <random>
#include <utility>
#include <vector>

#include "core/network/channels.hpp"
#include "tests/core/network/ascii_river.hpp"
#include "tests/support/near.hpp"

namespace core = brookmark::core;
using brookmark::core::build_channels;
using brookmark::core::ChannelDistance;
using brookmark::core::ChannelNetwork;
using brookmark::core::Direction;
using brookmark::core::distances_to;
using brookmark::core::LonLat;
using brookmark::core::Relation;
using brookmark::test::near;

TEST_CASE("on random networks with loops every distance agrees with a graph split at the two places") {
  std::mt19937 random(20240506);
  const core::LocalFrame frame(brookmark::test::kInventedOrigin);
  std::uniform_real_distribution<double> place(0, 3000);
  std::size_t compared = 0;
  for (int round = 0; round < 40; ++round) {
    CAPTURE(round);
    std::vector<LonLat> nodes;
    const std::size_t node_count = 4 + random() % 6;
    while (nodes.size() < node_count) nodes.push_back(frame.to_lonlat({place(random), place(random)}));
    struct Channel {
      std::size_t from, to;
    };
    std::vector<Channel> channels;
    std::vector<core::Reach> reaches;
    for (std::size_t i = 0; i < node_count + 3; ++i) {
      const Channel channel{random() % node_count, random() % node_count};
      if (channel.from == channel.to) continue;
      channels.push_back(channel);
      core::Reach reach;
      reach.line = {nodes[channel.from], nodes[channel.to]};
      reach.two_way = random() % 5 == 0;
      reaches.push_back(reach);
    }
    // Crossings may be near an end by chance; a tolerance of a centimetre keeps that from mattering.
    const ChannelNetwork network = build_channels(reaches, {0.01, 1});
    if (network.edges().size() != channels.size()) continue;
    std::vector<LonLat> places;
    std::vector<core::ChannelPoint> points;
    for (int i = 0; i < 8; ++i) {
      const std::size_t c = random() % channels.size();
      const double share = (1 + static_cast<double>(random() % 8)) / 10;
      const LonLat a = reaches[c].line[0], b = reaches[c].line[1];
      places.push_back({a.lon + share * (b.lon - a.lon), a.lat + share * (b.lat - a.lat)});
      points.push_back(*network.snap(places.back()));
    }
    // Brute force: every place becomes a node of its own; all pairs by Floyd and Warshall.
    const std::size_t n = network.graph().node_count();
    const std::size_t total = n + points.size();
    for (const Direction direction : {Direction::kUpstream, Direction::kDownstream, Direction::kAny}) {
      std::vector<std::vector<double>> d(total, std::vector<double>(total, core::kNoPath));
      const auto link = [&](std::size_t from, std::size_t to, double m) {
        if (direction != Direction::kUpstream) d[from][to] = std::min(d[from][to], m);
        if (direction != Direction::kDownstream) d[to][from] = std::min(d[to][from], m);
      };
      for (std::size_t i = 0; i < total; ++i) d[i][i] = 0;
      for (std::uint32_t e = 0; e < network.edges().size(); ++e) {
        std::vector<std::pair<double, std::size_t>> along{{0, network.graph().edges()[e].from}};
        for (std::size_t p = 0; p < points.size(); ++p) {
          if (points[p].edge == e) along.emplace_back(points[p].along_m, n + p);
        }
        const bool both_ways = network.graph().is_two_way(e);
        std::sort(along.begin() + 1, along.end());
        along.emplace_back(network.graph().edges()[e].length_m, network.graph().edges()[e].to);
        for (std::size_t i = 0; i + 1 < along.size(); ++i) {
          link(along[i].second, along[i + 1].second, along[i + 1].first - along[i].first);
          // Places at one spot lie both ways.
          if (both_ways || along[i + 1].first == along[i].first)
            link(along[i + 1].second, along[i].second, along[i + 1].first - along[i].first);
        }
      }
      for (std::size_t k = 0; k < total; ++k)
        for (std::size_t i = 0; i < total; ++i)
          for (std::size_t j = 0; j < total; ++j) d[i][j] = std::min(d[i][j], d[i][k] + d[k][j]);
      // All at once: the same answers; limits leave out what is farther, and all but the nearest.
      const std::vector<double> limits(places.size(), network.options().max_snap_m);
      const auto tables = distances_between(network, places, limits, places, {direction});
      const auto near_ones = distances_between(network, places, limits, places, {direction, 1500.0, 3});
      for (std::size_t s = 0; s < points.size(); ++s) {
        const auto alone = distances_to(network, places[s], places, direction);
        REQUIRE(tables[s].size() == alone.size());
        std::size_t within = 0;
        for (std::size_t a = 0; a < alone.size(); ++a) {
          const ChannelDistance& together = tables[s][a];
          REQUIRE(together.distance_m.has_value() == alone[a].distance_m.has_value());
          if (!together.distance_m) continue;
          REQUIRE(near(*together.distance_m, *alone[a].distance_m, 1e-6));
          REQUIRE(near(core::length_m(together.path), *together.distance_m, 0.001));
          REQUIRE(core::geodesic_m(together.path.front(), places[s]) <=
                  1);  // drawn from here on; a chord in degrees
          if (*together.distance_m > 1500) continue;
          if (within < 3) {
            REQUIRE(within < near_ones[s].size());
            REQUIRE(near(*near_ones[s][within].distance_m, *together.distance_m, 1e-6));
          }
          ++within;
        }
        if (within > 0) REQUIRE(near_ones[s].size() == std::min<std::size_t>(within, 3));
        if (within == 0) REQUIRE(near_ones[s].size() <= 1);
      }
      for (std::size_t s = 0; s < points.size(); ++s) {
        std::vector<const ChannelDistance*> by_target(points.size(), nullptr);
        const auto answers = distances_to(network, places[s], places, direction);
        for (const ChannelDistance& answer : answers) by_target[answer.target] = &answer;
        for (std::size_t t = 0; t < points.size(); ++t) {
          const double expected = d[n + s][n + t];
          const ChannelDistance* answer = by_target[t];
          if (direction == Direction::kAny) {
            REQUIRE(answer != nullptr);
            REQUIRE(answer->distance_m.has_value() == (expected != core::kNoPath));
            // With the flow it may be farther than the shortest way; across it must be the shortest.
            if (answer->relation == Relation::kViaConfluence)
              REQUIRE(near(*answer->distance_m, expected, 1e-6));
            if (answer->distance_m) REQUIRE(*answer->distance_m >= expected - 1e-6);
          } else {
            const bool found = answer != nullptr && answer->distance_m.has_value();
            REQUIRE(found == (expected != core::kNoPath));
            if (found) REQUIRE(near(*answer->distance_m, expected, 1e-6));
          }
          if (answer != nullptr && answer->distance_m) {
            REQUIRE(near(core::length_m(answer->path), *answer->distance_m, 0.001));
            ++compared;
          }
        }
      }
    }
  }
  CHECK(compared > 1000);
}
