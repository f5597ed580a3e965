#include "core/design/spread.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "core/base/error.hpp"
#include "tests/core/design/design_survey.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::core;
using namespace brookmark::test;
using brookmark::Error;

TEST_CASE(
    "a suggestion tells what lies above and below it, its length upstream, order, catchment and nearest "
    "site") {
  DesignSurvey d(kFork);
  d.drawn.builder.outfall("OUT-1", OutfallKind::kTreatedSewage, d.drawn.river.at('A'));
  d.drawn.builder.outfall("OUT-2", OutfallKind::kTreatedSewage, d.drawn.river.at('D'));
  d.drawn.builder.outfall("OLD", OutfallKind::kTreatedSewage, d.drawn.river.at('C'), "", "2020-01-01");
  d.drawn.site("S1", d.drawn.river.at('B'));
  d.drawn.builder.catchment("ALL", d.square('C', 5000));
  d.drawn.builder.catchment("LOW", d.square('D', 450));
  d.refresh();
  Suggestions s;
  s.list.emplace_back();
  // On the lower stretch, 200 m below the confluence.
  const auto point = d.drawn.network.snap(d.drawn.river.beside('C', 0, -200)).value();
  s.list[0].spot.position = point.position;
  s.list[0].spot.edge = point.edge;
  s.list[0].spot.along_m = point.along_m;
  add_facts(s, d.source());
  const Suggestion& one = s.list[0];
  REQUIRE(one.outfall_above);
  CHECK(one.outfall_above->code == "OUT-1");
  CHECK(near(one.outfall_above->distance_m, 4 * kDiagonalM + 200, 0.1));
  REQUIRE(one.outfall_below);
  CHECK(near(one.outfall_below->distance_m, 300, 0.1));
  CHECK(near(one.site_above.value().distance_m, 4 * kDiagonalM + 200, 0.1));
  CHECK_FALSE(one.site_below);
  CHECK(near(one.nearest_site.value().distance_m, std::hypot(400, 600), 0.1));
  CHECK(near(one.upstream_m.value(), 8 * kDiagonalM + 200, 0.1));
  CHECK(one.stream_order == 2);
  CHECK(one.catchment == "LOW");
  CHECK(one.place.starts_with("stroke "));
  CHECK(around_words(one) ==
        "OUT-1 766 m above, OUT-2 300 m below, S1 766 m above, 1.3 km of channel upstream, in LOW (0.8 "
        "km\u00b2)");
  CHECK(around_words(Suggestion{}).empty());
}

TEST_CASE(
    "suggestions become proposed sites with their reason, and a refused one ground that keeps others away") {
  DesignSurvey d(kFork);
  d.drawn.site("NEW-01", d.drawn.river.at('B'));
  d.refresh();
  const Suggestions s = suggest_spread(d.source(), {.count = 2});
  CHECK(s.list[0].code == "NEW-02");
  const EditBatch batch = proposal_batch(s.list);
  REQUIRE(batch.edits.size() == 2);
  const Site site = batch.edits[0].as<AddSite>()->site;
  CHECK(site.status == SiteStatus::kProposed);
  CHECK(site.note.find(s.list[0].reason) != std::string::npos);
  CHECK(site.note.find("landowner") != std::string::npos);
  CHECK_THROWS_AS(proposal_batch({}), Error);
  const Ground ground = refused_ground(s.list[0], " bull in the field ");
  CHECK(ground.note == "bull in the field");
  CHECK_THROWS_AS(refused_ground(s.list[0], " "), Error);
  d.snapshot.grounds.push_back(ground);
  for (std::uint64_t seed = 0; seed < 50; ++seed)
    for (const Suggestion& one : suggest_spread(d.source(), {.count = 2, .seed = seed}).list)
      CHECK(geodesic_m(one.spot.position, s.list[0].spot.position) >= 50);
}

TEST_CASE(
    "a suggestion moved by hand goes to the channel, keeps its code, loses its chance and says what stands "
    "in the way") {
  DesignSurvey d(kFork);
  d.ground(GroundKind::kPrivate, d.square('D', 100));
  const Suggestions s = suggest_spread(d.source(), {.count = 1});
  const Suggestion moved = moved_to(s.list[0], d.drawn.river.beside('D', 30, 50), d.source(), {});
  CHECK(moved.code == s.list[0].code);
  CHECK(near(geodesic_m(moved.spot.position, d.drawn.river.beside('D', 0, 50)), 0, 0.01));
  CHECK(near(moved.upstream_m.value(), 8 * kDiagonalM + 450, 0.1));
  CHECK_FALSE(moved.chance);
  CHECK(moved.note.find("moved by hand over ") != std::string::npos);
  CHECK(moved.note.find("its chance of being chosen no longer holds") != std::string::npos);
  CHECK(moved.note.find("take care: on private ground") != std::string::npos);
  // Of a purpose that keeps clear of outfalls and confluences that is told too.
  Suggestion gap = s.list[0];
  gap.purpose = Purpose::kGap;
  const LonLat near_fork = d.drawn.river.beside('C', 0, -50);
  CHECK(moved_to(gap, near_fork, d.source(), {}).note.find("take care: too near a confluence or fork") !=
        std::string::npos);
  CHECK(moved_to(gap, near_fork, d.source(), {}, {.clear_m = 40}).note.find("take care") ==
        std::string::npos);
  CHECK(moved_to(s.list[0], near_fork, d.source(), {}).note.find("take care") == std::string::npos);
  const Suggestion away = moved_to(s.list[0], d.drawn.river.beside('D', 3000, 0), d.source(), {});
  CHECK(away.spot.edge == Spot::kOffChannel);
  CHECK(away.note.find("on no channel") != std::string::npos);
}
