#include <doctest/doctest.h>

#include <cmath>
#include <string>
#include <vector>

#include "core/network/channels.hpp"
#include "core/network/stream_order.hpp"
#include "tests/core/network/ascii_river.hpp"
#include "tests/support/near.hpp"

namespace core = brookmark::core;
using brookmark::test::AsciiRiver;
using brookmark::test::kInventedOrigin;
using brookmark::test::near;
using brookmark::test::reach_through;
using core::build_channels;
using core::ChannelDistance;
using core::ChannelFault;
using core::ChannelNetwork;
using core::Direction;
using core::LonLat;
using core::Reach;
using core::Relation;
using core::Water;
using core::WaterKind;

namespace {

// The drawing's plane is right to 1.7 ppm within 10 km: well below a millimetre on a few hundred metres.
constexpr double kMillimetre = 0.001;

Water box(double west_m, double south_m, double east_m, double north_m, WaterKind kind,
          const std::string& name = "Long Water") {
  const core::LocalFrame frame(kInventedOrigin);
  Water water;
  water.name = name;
  water.kind = kind;
  core::Line ring;
  for (const core::PlanePoint p : {core::PlanePoint{west_m, south_m},
                                   {east_m, south_m},
                                   {east_m, north_m},
                                   {west_m, north_m},
                                   {west_m, south_m}})
    ring.push_back(frame.to_lonlat(p));
  water.shape = {core::Polygon{{ring}}};
  return water;
}

LonLat at(double east_m, double north_m) {
  return core::LocalFrame(kInventedOrigin).to_lonlat({east_m, north_m});
}

ChannelDistance only(const ChannelNetwork& network, LonLat from, LonLat to, Direction direction) {
  const std::vector<LonLat> targets{to};
  const auto answers = core::distances_to(network, from, targets, direction, 5);
  REQUIRE(answers.size() <= 1);
  return answers.empty() ? ChannelDistance{} : answers[0];
}

std::size_t count(const ChannelNetwork& network, ChannelFault fault) {
  std::size_t found = 0;
  for (const core::ChannelFinding& f : network.joins()) found += f.fault == fault ? 1 : 0;
  return found;
}

// Two becks run into a lake 200 m wide, one river out of it:
//   (-50, 300) -> (-50, 95) and (50, 300) -> (50, 102);   (0, -100) -> (0, -400).
std::vector<Reach> lake_country() {
  const core::LocalFrame frame(kInventedOrigin);
  return {reach_through(frame, {{-50, 300}, {-50, 95}}, "West Beck"),
          reach_through(frame, {{50, 300}, {50, 102}}, "East Beck"),
          reach_through(frame, {{0, -100}, {0, -400}}, "River")};
}

}  // namespace

TEST_CASE("inlets are led through a lake to its outlet by straight lines, and distances follow them") {
  const std::vector<Water> lake{box(-200, -100, 200, 100, WaterKind::kLakeMargin)};
  const ChannelNetwork network = build_channels(lake_country(), {}, lake);
  REQUIRE(network.edges().size() == 5);
  CHECK(count(network, ChannelFault::kThroughLake) == 2);
  CHECK(network.edges()[3].kind == core::EdgeKind::kThroughLake);
  CHECK(network.edges()[2].kind == core::EdgeKind::kChannel);
  // From (-50, 95) to (0, -100): 50 and 195; from (50, 102), two metres short of the shore: 50 and 202.
  const double west_m = std::hypot(50, 195), east_m = std::hypot(50, 202);
  const ChannelDistance west = only(network, at(0, -400), at(-50, 300), Direction::kUpstream);
  REQUIRE(west.distance_m.has_value());
  CHECK(west.relation == Relation::kUpstream);
  CHECK(near(*west.distance_m, 300 + west_m + 205, kMillimetre));
  CHECK(near(west.lake_m, west_m, kMillimetre));
  CHECK(west.note.find("201 m of the way is a straight line through a lake") != std::string::npos);
  CHECK(near(core::length_m(west.path), *west.distance_m, kMillimetre));
  CHECK(near(*only(network, at(50, 300), at(0, -400), Direction::kDownstream).distance_m, 198 + east_m + 300,
             kMillimetre));
  // Two headwaters come together at the outlet.
  CHECK(core::stream_figures(network.graph()).order == std::vector<std::uint8_t>{1, 1, 2, 1, 1});
  // Nothing is snapped onto the way through the water.
  const auto middle = network.snap(at(0, -50), 250);
  REQUIRE(middle.has_value());
  CHECK(network.edges()[middle->edge].kind == core::EdgeKind::kChannel);
  CHECK(near(middle->snap_m, 50, kMillimetre));
}

TEST_CASE("an end farther from the shore than the tolerance is not led through") {
  const std::vector<Water> lake{box(-200, -100, 200, 96, WaterKind::kPond)};
  const ChannelNetwork network = build_channels(lake_country(), {}, lake);
  CHECK(count(network, ChannelFault::kThroughLake) == 1);  // the east beck stops 6 m short
  CHECK(only(network, at(50, 300), at(0, -400), Direction::kDownstream).relation == Relation::kUnconnected);
}

TEST_CASE("waters that run, and those whose kind nobody noted, are not led through") {
  for (const WaterKind kind : {WaterKind::kRiver, WaterKind::kUnknown, WaterKind::kCanal}) {
    const std::vector<Water> water{box(-200, -100, 200, 100, kind)};
    CHECK(build_channels(lake_country(), {}, water).edges().size() == 3);
  }
  CHECK(build_channels(lake_country()).edges().size() == 3);
}

TEST_CASE("a lake that nothing leaves is told at each inlet") {
  std::vector<Reach> reaches = lake_country();
  reaches.pop_back();
  const std::vector<Water> lake{box(-200, -100, 200, 100, WaterKind::kPool)};
  const ChannelNetwork network = build_channels(reaches, {}, lake);
  CHECK(network.edges().size() == 2);
  REQUIRE(count(network, ChannelFault::kLakeWithoutExit) == 2);
  CHECK(network.joins()[0].text ==
        "reach 1 (West Beck) runs into Long Water, and no channel begins there; its way ends in the lake.");
}

TEST_CASE("a channel drawn on through a lake is left as it is") {
  std::vector<Reach> reaches = lake_country();
  reaches[0].line.push_back(reaches[2].line.front());
  reaches.erase(reaches.begin() + 1);
  const std::vector<Water> lake{box(-200, -100, 200, 100, WaterKind::kLakeMargin)};
  CHECK(build_channels(reaches, {}, lake).edges().size() == 2);
}

TEST_CASE("waters without a shape, and a survey without channels, do no harm") {
  Water bare;
  bare.kind = WaterKind::kPond;
  const std::vector<Water> waters{bare, box(-200, -100, 200, 100, WaterKind::kPond)};
  CHECK(build_channels({}, {}, waters).edges().empty());
  CHECK(build_channels(lake_country(), {}, waters).edges().size() == 5);
}

TEST_CASE("along a canal that flows either way each end lies upstream of the other, and the answer says so") {
  const AsciiRiver river(R"(
    A
    |
    B---C
        |
        D
)");
  std::vector<Reach> reaches = river.reaches();
  REQUIRE(reaches[1].line.front() == river.at('B'));
  reaches[1].two_way = true;
  const ChannelNetwork network = build_channels(reaches);
  CHECK(network.graph().is_two_way(1));
  // Against the drawing: D's water never reaches A, C's may reach B.
  const ChannelDistance back = only(network, river.at('B'), river.at('C'), Direction::kUpstream);
  REQUIRE(back.distance_m.has_value());
  CHECK(near(*back.distance_m, 400, kMillimetre));
  CHECK(near(back.two_way_m, 400, kMillimetre));
  CHECK(back.note ==
        "400 m of the way is channel in which water runs either way, so this holds only while it runs that "
        "way");
  CHECK(near(*only(network, river.at('B'), river.at('C'), Direction::kDownstream).distance_m, 400,
             kMillimetre));
  CHECK_FALSE(only(network, river.at('A'), river.at('D'), Direction::kUpstream).distance_m.has_value());
  CHECK(near(*only(network, river.at('A'), river.at('D'), Direction::kDownstream).distance_m, 800,
             kMillimetre));
  // Between two places on the canal itself, both ways.
  const LonLat near_b = river.beside('B', 100, 0), near_c = river.beside('B', 300, 0);
  for (const Direction direction : {Direction::kUpstream, Direction::kDownstream}) {
    CHECK(near(*only(network, near_b, near_c, direction).distance_m, 200, kMillimetre));
    CHECK(near(*only(network, near_c, near_b, direction).distance_m, 200, kMillimetre));
  }
  CHECK(only(network, river.at('A'), river.at('B'), Direction::kDownstream).note.empty());
}
