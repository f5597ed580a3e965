#include "core/network/channels.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>
#include <string>
#include <vector>

#include "core/base/error.hpp"
#include "tests/core/network/ascii_river.hpp"
#include "tests/support/near.hpp"

namespace core = brookmark::core;
using brookmark::Error;
using brookmark::core::build_channels;
using brookmark::core::ChannelNetwork;
using brookmark::core::LonLat;
using brookmark::core::Reach;
using brookmark::test::AsciiRiver;
using brookmark::test::kInventedOrigin;
using brookmark::test::near;
using brookmark::test::reach_through;

namespace {

// The drawing's plane is right to 1.7 ppm within 10 km: well below a millimetre on a few hundred metres.
constexpr double kMillimetre = 0.001;

std::size_t count_issues(const ChannelNetwork& network, const std::string& part) {
  return static_cast<std::size_t>(std::count_if(
      network.joins().begin(), network.joins().end(),
      [&](const core::ChannelFinding& join) { return join.text.find(part) != std::string::npos; }));
}

std::size_t component_count(const ChannelNetwork& network) {
  std::size_t count = 0;
  for (std::uint32_t node = 0; node < network.graph().node_count(); ++node) {
    count += network.graph().component(node) == node;
  }
  return count;
}

double total_length(const ChannelNetwork& network) {
  double sum = 0;
  for (const core::GraphEdge& edge : network.graph().edges()) sum += edge.length_m;
  return sum;
}

}  // namespace

TEST_CASE("reaches that meet at a confluence share its node and keep their direction") {
  const AsciiRiver river(R"(
    A   B
     \ /
      C
      |
      D
)");
  const ChannelNetwork network = build_channels(river.reaches());
  CHECK(network.graph().node_count() == 4);
  REQUIRE(network.edges().size() == 3);
  CHECK(network.graph().is_tree());
  CHECK(network.joins().empty());
  for (std::uint32_t e = 0; e < 3; ++e) {
    const core::GraphEdge& edge = network.graph().edges()[e];
    const core::Line& line = network.edges()[e].line;
    CHECK(network.edges()[e].reach == core::ReachIndex(e));
    CHECK(line == river.reaches()[e].line);
    CHECK(near(edge.length_m, core::length_m(line), 1e-9));  // the same sum
    CHECK(network.along_m(e).back() == edge.length_m);
  }
}

TEST_CASE("an end short of the main stem is joined to it within the tolerance and not beyond") {
  const AsciiRiver river(R"(
    A
    |
 B- |
    |
    C
)");
  // The tributary's last cell lies two cells, 200 m, from the stem.
  const ChannelNetwork joined = build_channels(river.reaches(), {200.01, 250});
  CHECK(joined.edges().size() == 3);
  CHECK(component_count(joined) == 1);
  REQUIRE(joined.joins().size() == 1);
  CHECK(joined.joins()[0].severity == core::Severity::kNote);
  CHECK(joined.joins()[0].text.find("downstream end of reach 2 (stroke 2) at ") != std::string::npos);
  CHECK(joined.joins()[0].text.find("was joined to reach 1 (stroke 1), which passes 200.00 m away") !=
        std::string::npos);
  // The gap adds no length: 400 m of stem and 100 m of tributary.
  CHECK(near(total_length(joined), 500, kMillimetre));

  const ChannelNetwork apart = build_channels(river.reaches(), {199.99, 250});
  CHECK(apart.edges().size() == 2);
  CHECK(component_count(apart) == 2);
  CHECK(apart.joins().empty());
}

TEST_CASE("an end drawn onto another line splits it there without a word") {
  const AsciiRiver river(R"(
    A
    |
 B--m
    |
    |
    C
)");
  const ChannelNetwork network = build_channels(river.reaches());
  CHECK(network.joins().empty());
  REQUIRE(network.edges().size() == 3);
  CHECK(network.graph().is_tree());
  CHECK(near(network.graph().edges()[0].length_m, 200, kMillimetre));
  CHECK(near(network.graph().edges()[1].length_m, 300, kMillimetre));
  CHECK(near(network.graph().edges()[2].length_m, 300, kMillimetre));
  CHECK(network.edges()[0].reach == network.edges()[1].reach);
  CHECK(near(core::geodesic_m(network.edges()[0].line.back(), river.at('m')), 0, kMillimetre));
  CHECK(network.edges()[0].line.back() == network.edges()[1].line.front());
}

TEST_CASE("lines that cross without an end near the crossing are not joined") {
  const AsciiRiver river(R"(
    A
    |
 B--+--C
    |
    D
)");
  const ChannelNetwork network = build_channels(river.reaches());
  CHECK(network.edges().size() == 2);
  CHECK(component_count(network) == 2);
  CHECK(network.joins().empty());
}

TEST_CASE("ends within the tolerance of each other become one node, with a note that says how far apart") {
  const core::LocalFrame frame(kInventedOrigin);
  const std::vector<Reach> reaches{reach_through(frame, {{0, 0}, {100, 0}}, "Upper"),
                                   reach_through(frame, {{103, 4}, {200, 0}}, "Lower")};
  // 3 and 4 give a gap of exactly 5 m; the plane is right to less than a tenth of a millimetre here.
  const ChannelNetwork network = build_channels(reaches, {5.0001, 250});
  CHECK(network.graph().node_count() == 3);
  REQUIRE(network.joins().size() == 1);
  CHECK(network.joins()[0].text.find("reach 1 (Upper)") != std::string::npos);
  CHECK(network.joins()[0].text.find("reach 2 (Lower)") != std::string::npos);
  CHECK(network.joins()[0].text.find("over 5.00 m.") != std::string::npos);
  CHECK(build_channels(reaches, {4.9999, 250}).graph().node_count() == 4);
}

TEST_CASE("joins that pass on from end to end warn when the node is wider than the tolerance") {
  const core::LocalFrame frame(kInventedOrigin);
  // Three ends in a row, 4 m apart: 8 m from the first to the last.
  const std::vector<Reach> reaches{reach_through(frame, {{0, 100}, {0, 0}}),
                                   reach_through(frame, {{4, 100}, {4, 0}}),
                                   reach_through(frame, {{8, 100}, {8, 0}})};
  const ChannelNetwork network = build_channels(reaches, {5, 250});
  CHECK(network.graph().node_count() == 2);  // all upstream ends, all downstream ends
  CHECK(count_issues(network, "was joined to the downstream end") == 2);
  CHECK(count_issues(network, "was joined to the upstream end") == 2);
  CHECK(count_issues(network, "lie up to 8.00 m apart, more than the 5.00 m allowed") == 2);
}

TEST_CASE("a reach shorter than the tolerance keeps its two ends apart") {
  const core::LocalFrame frame(kInventedOrigin);
  const std::vector<Reach> reaches{reach_through(frame, {{0, 200}, {0, 3}}),
                                   reach_through(frame, {{0, 3}, {0, 0}}),
                                   reach_through(frame, {{0, 0}, {0, -200}})};
  const ChannelNetwork network = build_channels(reaches, {5, 250});
  CHECK(network.graph().node_count() == 4);
  CHECK(network.graph().is_tree());
  CHECK(network.joins().empty());
  CHECK(near(total_length(network), 400, kMillimetre));
}

TEST_CASE("a short last reach that meets a line leaves its upper end where it is") {
  const core::LocalFrame frame(kInventedOrigin);
  const std::vector<Reach> reaches{reach_through(frame, {{0, 200}, {0, -200}}),
                                   reach_through(frame, {{100, 0}, {3, 0}}),
                                   reach_through(frame, {{3, 0}, {0, 0}})};
  const ChannelNetwork network = build_channels(reaches, {5, 250});
  CHECK(network.edges().size() == 4);
  CHECK(network.graph().is_tree());
  CHECK(network.joins().empty());
}

TEST_CASE("tributaries that enter one line from both sides split it once where they meet it at one place") {
  const AsciiRiver river(R"(
    A
    |
 B--m--C
    |
    D
)");
  // Drawn as a crossing the horizontal line would pass; here it comes in two reaches that both end at m.
  const core::LocalFrame frame(kInventedOrigin);
  std::vector<Reach> reaches{reach_through(frame, {{0, 100}, {0, -100}}),
                             reach_through(frame, {{-100, 0}, {0, 0}}),
                             reach_through(frame, {{100, 0}, {0, 0}})};
  const ChannelNetwork network = build_channels(reaches);
  CHECK(network.edges().size() == 4);
  CHECK(network.graph().node_count() == 5);
  CHECK(network.graph().is_tree());
  CHECK(build_channels(river.reaches()).edges().size() == 2);
}

TEST_CASE("a ring drawn as one line is a loop, and a narrow bend is none") {
  const core::LocalFrame frame(kInventedOrigin);
  const std::vector<Reach> ring{reach_through(frame, {{0, 0}, {300, 0}, {300, 400}, {0, 0}})};
  const ChannelNetwork closed = build_channels(ring);
  REQUIRE(closed.edges().size() == 1);
  CHECK(closed.graph().edges()[0].from == closed.graph().edges()[0].to);
  CHECK(near(closed.graph().edges()[0].length_m, 1200, kMillimetre));  // 300 + 400 + 500

  const std::vector<Reach> bend{reach_through(frame, {{0, 0}, {300, 0}, {300, 4}, {150, 4}})};
  const ChannelNetwork open = build_channels(bend);
  CHECK(open.edges().size() == 1);
  CHECK(open.graph().node_count() == 2);
}

TEST_CASE("repeated points and lines without length are passed over and reported") {
  const core::LocalFrame frame(kInventedOrigin);
  std::vector<Reach> reaches{
      reach_through(frame, {{0, 0}, {0, 0}, {100, 0}, {100, 0}, {100, 0}}, "Mill Brook"),
      reach_through(frame, {{50, 50}, {50, 50}}, "Dot"), reach_through(frame, {{70, 70}}), Reach{}};
  const ChannelNetwork network = build_channels(reaches);
  REQUIRE(network.edges().size() == 1);
  CHECK(network.edges()[0].line.size() == 2);
  CHECK(near(total_length(network), 100, kMillimetre));
  CHECK(count_issues(network, "3 repeated points of reach 1 (Mill Brook) were passed over.") == 1);
  CHECK(count_issues(network, "The line of reach 2 (Dot) has no length") == 1);
  CHECK(count_issues(network, "The line of reach 3 has no length") == 1);
  CHECK(count_issues(network, "The line of reach 4 has no length") == 1);
}

TEST_CASE("points that are no place on Earth are left out and reported") {
  const core::LocalFrame frame(kInventedOrigin);
  Reach reach = reach_through(frame, {{0, 0}, {100, 0}, {200, 0}});
  reach.line[1] = {std::numeric_limits<double>::quiet_NaN(), 40};
  reach.line.push_back({500000, 4500000});
  const ChannelNetwork network = build_channels(std::vector<Reach>{reach});
  CHECK(near(total_length(network), 200, kMillimetre));
  CHECK(count_issues(network, "2 points of reach 1 lie outside longitude -180 to 180") == 1);
}

TEST_CASE("no reaches give an empty network on which nothing snaps") {
  const ChannelNetwork network = build_channels({});
  CHECK(network.edges().empty());
  CHECK(network.graph().node_count() == 0);
  CHECK_FALSE(network.snap(kInventedOrigin).has_value());
  CHECK_FALSE(ChannelNetwork().snap(kInventedOrigin).has_value());
}

TEST_CASE("a tolerance or snapping distance that is no length is refused") {
  CHECK_THROWS_AS(build_channels({}, {-1, 250}), Error);
  CHECK_THROWS_AS(build_channels({}, {std::nan(""), 250}), Error);
  CHECK_THROWS_AS(build_channels({}, {5, -1}), Error);
  CHECK_THROWS_AS(build_channels({}, {5, std::numeric_limits<double>::infinity()}), Error);
}

TEST_CASE("the order of the reaches in their file changes neither the joins nor the lengths") {
  const core::LocalFrame frame(kInventedOrigin);
  std::mt19937 random(7);
  const auto metres = [&](int limit) { return static_cast<double>(random() % static_cast<unsigned>(limit)); };
  std::vector<Reach> reaches;
  for (int i = 0; i < 60; ++i) {
    const core::PlanePoint a{metres(120), metres(120)};
    reaches.push_back(reach_through(frame, {a, {a.x + metres(30) - 15, a.y + metres(30)}, {a.x, a.y + 20}}));
  }
  const ChannelNetwork first = build_channels(reaches);
  CHECK(first.edges().size() > 60);
  CHECK(count_issues(first, "was joined") > 10);
  for (int round = 0; round < 5; ++round) {
    for (std::size_t i = reaches.size(); i > 1; --i) std::swap(reaches[i - 1], reaches[random() % i]);
    const ChannelNetwork again = build_channels(reaches);
    CHECK(again.edges().size() == first.edges().size());
    CHECK(again.graph().node_count() == first.graph().node_count());
    CHECK(again.joins().size() == first.joins().size());
    CHECK(component_count(again) == component_count(first));
    CHECK(near(total_length(again), total_length(first), 1e-6));
  }
}

TEST_CASE("one reach far off its place harms neither the joins nor the snapping of the others") {
  const core::LocalFrame frame(kInventedOrigin);
  std::vector<Reach> reaches{reach_through(frame, {{0, 0}, {100, 0}}),
                             reach_through(frame, {{104, 0}, {200, 0}}),
                             reach_through(frame, {{200, 0}, {300, 0}})};
  Reach stray;
  stray.line = {{0, 0}, {0.001, 0}};
  reaches.push_back(stray);
  const ChannelNetwork network = build_channels(reaches);
  CHECK(count_issues(network, "over 4.00 m.") == 1);
  const auto point = network.snap(frame.to_lonlat({50, 30}));
  REQUIRE(point.has_value());
  CHECK(near(point->snap_m, 30, kMillimetre));
  CHECK(near(point->along_m, 50, kMillimetre));
}

TEST_CASE("channels on both sides of the 180th meridian are joined and measured across it") {
  std::vector<Reach> reaches(2);
  reaches[0].line = {{179.999, 10}, {-179.9999, 10}};
  reaches[1].line = {{-179.9999, 10}, {-179.999, 10}};
  const ChannelNetwork network = build_channels(reaches);
  CHECK(component_count(network) == 1);
  // 0.002 degrees of longitude at 10 degrees north: N = a / sqrt(1 - e2 sin2) = 6378780.843 m on WGS 84,
  // times cos(10 degrees) times 0.002 pi / 180 = 219.279 m.
  CHECK(near(total_length(network), 219.279, 0.001));
  const auto point = network.snap({180, 10.0001});
  REQUIRE(point.has_value());
  CHECK(near(std::abs(point->position.lon), 180, 1e-6));
  CHECK(near(point->snap_m, 11.06, 0.01));  // 0.0001 degrees of latitude there: M = 6337358.1 m, 11.061 m
}

TEST_CASE("the pieces of a split line have together the length of the line") {
  const core::LocalFrame frame(kInventedOrigin);
  std::mt19937 random(20240505);
  std::uniform_real_distribution<double> place(0, 1000);
  std::vector<core::PlanePoint> stem;
  for (int i = 0; i <= 100; ++i) stem.push_back({i * 10.0, place(random) / 50});
  std::vector<Reach> reaches{reach_through(frame, stem)};
  for (int i = 0; i < 30; ++i) {
    const std::size_t s = random() % 100;
    const double t = place(random) / 1000;
    const core::PlanePoint foot{stem[s].x + t * (stem[s + 1].x - stem[s].x),
                                stem[s].y + t * (stem[s + 1].y - stem[s].y)};
    reaches.push_back(reach_through(frame, {{foot.x, 500}, foot}));
  }
  const ChannelNetwork network = build_channels(reaches);
  double pieces_m = 0;
  std::size_t pieces = 0;
  for (std::uint32_t e = 0; e < network.edges().size(); ++e) {
    const core::Line& line = network.edges()[e].line;
    REQUIRE(line.size() == network.along_m(e).size());
    CHECK(near(core::length_m(line), network.graph().edges()[e].length_m, kMillimetre));
    if (network.edges()[e].reach != core::ReachIndex(0)) continue;
    pieces_m += network.graph().edges()[e].length_m;
    ++pieces;
  }
  CHECK(pieces > 20);
  CHECK(near(pieces_m, core::length_m(reaches[0].line), 1e-6));
  CHECK(component_count(network) == 1);
}
