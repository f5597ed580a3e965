// What lies upstream of a place: drawn rivers by hand, random networks against a walk in small steps.
#include "core/analysis/upstream.hpp"

#include <doctest/doctest.h>

#include <map>
#include <random>
#include <set>

#include "tests/core/analysis/drawn_survey.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::test;
namespace core = brookmark::core;

namespace {

// The asked place, with what a session works out once.
core::Upstream ask(const core::Snapshot& snapshot, const core::ChannelNetwork& network, core::LonLat from) {
  return core::upstream_of(snapshot, network, core::places_on_channels(snapshot, network),
                           core::nest_catchments(snapshot), core::channels_in_catchments(snapshot, network),
                           from);
}

std::string codes(const core::Snapshot& snapshot, const core::Upstream& up) {
  std::string words;
  for (const core::UpstreamSite& s : up.sites) words += std::string(snapshot.sites.code[s.site.value()]);
  return words;
}

core::Polygon box(const core::LocalFrame& frame, double west, double south, double east, double north) {
  core::Line ring;
  for (const core::PlanePoint p :
       {core::PlanePoint{west, south}, {east, south}, {east, north}, {west, north}, {west, south}})
    ring.push_back(frame.to_lonlat(p));
  return {{ring}};
}

}  // namespace

TEST_CASE("upstream of a place below a confluence lie both arms, and nothing below") {
  DrawnSurvey s(R"(
    A   B
    |   |
    |   |
    +---C
        |
        D
        |
        E
  )");
  for (const char letter : {'A', 'B', 'C', 'D', 'E'}) s.site(letter);
  s.builder.outfall("above", core::OutfallKind::kRoadDrain, s.river.at('B'));
  s.builder.outfall("below", core::OutfallKind::kRoadDrain, s.river.at('E'));
  const core::Snapshot& snapshot = s.builder.snapshot();
  const core::Upstream up = ask(snapshot, s.network, s.river.at('D'));
  CHECK(codes(snapshot, up) == "DCBA");
  CHECK(near(up.sites[1].distance_m, 200,
             0.5));  // a cell is 100 m: two down; the drawing's plane is good to 0.1 %
  CHECK(near(up.sites[3].distance_m, 900, 1));  // A: three down, four across, two down
  REQUIRE(up.outfalls.size() == 1);
  CHECK(snapshot.outfalls[up.outfalls[0].outfall.value()].code == "above");
  CHECK(near(up.channel_m, 1200, 2));  // 300 + 400 + 300 + 200
  CHECK(up.lake_m == 0);
  CHECK_FALSE(up.area_m2);
  CHECK(up.note == "no catchment in the survey drains here as a whole, so the area is not known");
  const core::Upstream spring = ask(snapshot, s.network, s.river.at('A'));
  CHECK(codes(snapshot, spring) == "A");
  CHECK(spring.channel_m == 0);
}

TEST_CASE("the area is that of the catchments that drain here as a whole, parents before their parts") {
  DrawnSurvey s(R"(
    A   B
    |   |
    |   |
    +---C
        |
        |
        D
        |
        |
        E
  )");
  const core::LocalFrame frame(kInventedOrigin);
  const core::PlanePoint a = frame.to_plane(s.river.at('A')), d = frame.to_plane(s.river.at('D'));
  const core::PlanePoint b = frame.to_plane(s.river.at('B')), c = frame.to_plane(s.river.at('C'));
  const core::PlanePoint e = frame.to_plane(s.river.at('E'));
  // The border crosses the channel 20 m below D.
  s.builder.catchment("whole", {box(frame, a.x - 150, d.y - 20, d.x + 150, a.y + 150)});
  s.builder.catchment("arm", {box(frame, b.x - 100, c.y + 10, b.x + 100, b.y + 100)});
  s.builder.catchment("lower", {box(frame, d.x - 150, e.y, d.x + 150, d.y - 20)});
  const core::Snapshot& snapshot = s.builder.snapshot();
  const core::Upstream up = ask(snapshot, s.network, s.river.at('D'));
  REQUIRE(up.catchments.size() == 1);
  CHECK(snapshot.catchments[up.catchments[0].catchment.value()].code == "whole");
  CHECK(near(*up.area_m2, core::area_m2(snapshot.catchments[up.catchments[0].catchment.value()].shape), 1));
  CHECK(up.note.empty());
  // At C only the arm drains as a whole, and the other branch has no catchment of its own.
  const core::Upstream at_c = ask(snapshot, s.network, s.river.at('C'));
  REQUIRE(at_c.catchments.size() == 1);
  CHECK(snapshot.catchments[at_c.catchments[0].catchment.value()].code == "arm");
  CHECK(at_c.note.find("lie outside them") != std::string::npos);
  // At E both: neighbours, their areas added.
  const core::Upstream at_e = ask(snapshot, s.network, s.river.at('E'));
  CHECK(at_e.catchments.size() == 2);
}

TEST_CASE("off the channel, without channels, without a position: nothing, and why") {
  DrawnSurvey s(R"(
    A
    |
    B
  )");
  const core::LocalFrame frame(kInventedOrigin);
  const core::PlanePoint a = frame.to_plane(s.river.at('A'));
  const core::Upstream off = ask(s.builder.snapshot(), s.network, frame.to_lonlat({a.x + 5000, a.y}));
  CHECK_FALSE(off.here);
  CHECK(off.sites.empty());
  CHECK(off.note == "the place is on no channel");
  CHECK(ask(s.builder.snapshot(), s.network, core::kUnplaced).note == "the place is not known");
  const core::Snapshot empty;
  const core::ChannelNetwork none = core::build_channels(empty.reaches);
  CHECK(ask(empty, none, s.river.at('A')).note == "the survey has no watercourses");
}

TEST_CASE("on random networks all that is upstream agrees with walking down from every metre of channel") {
  std::mt19937 random(20261126);
  const core::LocalFrame frame(kInventedOrigin);
  std::uniform_real_distribution<double> place(0, 3000);
  std::size_t compared = 0;
  for (int round = 0; round < 60; ++round) {
    CAPTURE(round);
    std::vector<core::LonLat> nodes;
    const std::size_t node_count = 4 + random() % 6;
    while (nodes.size() < node_count) nodes.push_back(frame.to_lonlat({place(random), place(random)}));
    std::vector<core::Reach> reaches;
    for (std::size_t i = 0; i < node_count + 2; ++i) {
      const std::size_t from = random() % node_count, to = random() % node_count;
      if (from == to) continue;
      core::Reach reach;
      reach.line = {nodes[from], nodes[to]};
      reach.two_way = random() % 6 == 0;
      reaches.push_back(reach);
    }
    const core::ChannelNetwork network = core::build_channels(reaches, {0.01, 1});
    if (network.edges().size() != reaches.size()) continue;
    SurveyBuilder b;
    b.reaches(reaches);
    std::vector<core::LonLat> spots;
    for (int i = 0; i < 8; ++i) {
      const std::size_t c = random() % reaches.size();
      const double share = (1 + static_cast<double>(random() % 8)) / 10;
      const core::LonLat p = reaches[c].line[0], q = reaches[c].line[1];
      spots.push_back({p.lon + share * (q.lon - p.lon), p.lat + share * (q.lat - p.lat)});
      b.site("S" + std::to_string(i), WaterKind::kStream, spots.back());
    }
    const core::ChannelPoint here = *network.snap(spots[0], 1);
    const core::Upstream up = ask(b.snapshot(), network, spots[0]);

    // From which nodes does water reach the place? By passes over all edges until nothing changes.
    const auto edges = network.graph().edges();
    std::vector<bool> reaches_here(network.graph().node_count(), false);
    reaches_here[edges[here.edge].from] = true;
    if (network.graph().is_two_way(here.edge)) reaches_here[edges[here.edge].to] = true;
    for (bool changed = true; changed;) {
      changed = false;
      for (std::uint32_t e = 0; e < edges.size(); ++e) {
        const auto spread = [&](std::uint32_t from, std::uint32_t to) {
          if (reaches_here[to] && !reaches_here[from]) reaches_here[from] = changed = true;
        };
        spread(edges[e].from, edges[e].to);
        if (network.graph().is_two_way(e)) spread(edges[e].to, edges[e].from);
      }
    }
    const auto drains = [&](std::uint32_t e, double along_m) {
      const bool both = network.graph().is_two_way(e);
      if (e == here.edge && (both || along_m <= here.along_m)) return true;
      return static_cast<bool>(reaches_here[edges[e].to]) || (both && reaches_here[edges[e].from]);
    };
    // The length in steps of a metre: right to a metre an edge.
    double channel_m = 0;
    for (std::uint32_t e = 0; e < edges.size(); ++e)
      for (double m = 0.5; m < edges[e].length_m; m += 1)
        if (drains(e, m)) channel_m += 1;
    CHECK(near(up.channel_m, channel_m, static_cast<double>(edges.size())));
    // The sites, with the distances that distances_to() gives.
    const auto known = core::distances_to(network, spots[0], spots, core::Direction::kUpstream, 1);
    std::map<std::size_t, double> expected;
    for (const core::ChannelDistance& d : known)
      if (d.distance_m) expected[d.target] = *d.distance_m;
    REQUIRE(up.sites.size() == expected.size());
    for (const core::UpstreamSite& site : up.sites) {
      REQUIRE(expected.contains(site.site.value()));
      CHECK(near(site.distance_m, expected[site.site.value()], 1e-6));
      const core::ChannelPoint at = *network.snap(spots[site.site.value()], 1);
      CHECK(drains(at.edge, at.along_m - 1e-6));
      ++compared;
    }
  }
  CHECK(compared > 100);
}
