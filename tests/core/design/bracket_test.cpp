#include "core/design/bracket.hpp"

#include <doctest/doctest.h>

#include "core/base/error.hpp"
#include "tests/core/design/design_survey.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::core;
using namespace brookmark::test;
using brookmark::Error;

namespace {

// 1,000 m from a spring at A to the confluence at C, an outfall at o after 500 m; from the confluence 500 m to D.
const char* const kBeck = R"(
    A
    |
    |
    |
    |
    o
    |
    |
    |
    |
    C----B
    |
    |
    |
    |
    D
)";

Suggestions bracketed(const DesignSurvey& d, BracketOptions bracket) {
  return suggest_bracket(d.source(), {}, bracket);
}

}  // namespace

TEST_CASE(
    "an outfall gets a control above and spots below, beyond the mixing distance and clear of the "
    "confluence") {
  DesignSurvey d(kBeck);
  d.drawn.builder.outfall("OUT", OutfallKind::kTreatedSewage, d.drawn.river.at('o'));
  d.refresh();
  const Suggestions s = bracketed(d, {.clear = {.mixing_m = 150}, .below = 2});
  REQUIRE(s.list.size() == 3);
  CHECK(near(d.metres_from('o', s.list[0]), 112.5, 1));  // the first spot at least 100 m above
  CHECK(s.list[0].spot.position.lat > d.drawn.river.at('o').lat);
  CHECK(near(d.metres_from('o', s.list[1]), 162.5, 1));
  CHECK(s.list[1].spot.position.lat < d.drawn.river.at('o').lat);
  CHECK(near(d.metres_from('o', s.list[2]), 312.5, 1));  // as far again, and 187 m above the confluence
  CHECK(s.list[0].reason == "control 112 m above OUT, with no other outfall between");
  CHECK(s.list[1].reason == "162 m below OUT, beyond the mixing distance of 150 m that was set");
  CHECK(s.notes == std::vector<std::string>{unrecorded_ground(d.snapshot)});
  // Below sewage people are told of it; above it there is nothing to tell.
  CHECK(s.list[0].reminder == kSpotReminder);
  CHECK(s.list[1].reminder == std::string(kSpotReminder) +
                                  " OUT lets in sewage 162 m above: keep out after rain. Weil's disease and "
                                  "other infections: cover cuts and wash hands.");
}

TEST_CASE("no mixing distance is guessed, and an outfall that is not there is not bracketed") {
  DesignSurvey d(kBeck);
  try {
    bracketed(d, {});
    FAIL("a mixing distance was guessed");
  } catch (const Error& error) {
    CHECK(std::string(error.what()).find("no single published distance exists") != std::string::npos);
  }
  CHECK_THROWS_AS(bracketed(d, {.clear = {.mixing_m = 100}}), Error);  // no outfall
  d.drawn.builder.outfall("OLD", OutfallKind::kTrade, d.drawn.river.at('o'), "", "2020-01-01");
  d.refresh();
  CHECK_THROWS_WITH(bracketed(d, {.clear = {.mixing_m = 100}}), "no outfall is in use on 2024-12-31");
  CHECK_THROWS_AS(bracketed(d, {.clear = {.mixing_m = -1}}), Error);
}

TEST_CASE(
    "where the mixing distance reaches the confluence or another outfall no spot is given below, and why is "
    "said") {
  DesignSurvey d(kBeck);
  d.drawn.builder.outfall("OUT", OutfallKind::kTreatedSewage, d.drawn.river.at('o'));
  d.refresh();
  Suggestions s = bracketed(d, {.clear = {.mixing_m = 450}});
  CHECK(s.list.size() == 1);
  CHECK(says(s.notes,
             "no spot below OUT: beyond the mixing distance of 450 m no free spot is left before the next "
             "confluence, 500 m below"));
  d.drawn.builder.outfall("ROAD", OutfallKind::kRoadDrain, d.drawn.river.beside('o', 0, -200));
  d.refresh();
  s = bracketed(d, {.clear = {.mixing_m = 250}});
  CHECK(says(s.notes,
             "no spot below OUT: beyond the mixing distance of 250 m no free spot is left before ROAD, 200 m "
             "below"));
  CHECK(says(s.notes, "no control above ROAD: OUT enters 200 m above it"));
}

TEST_CASE(
    "a control above an outfall just below a confluence stands on the larger water above, and says so") {
  DesignSurvey d(kBeck);
  d.drawn.builder.outfall("LOW", OutfallKind::kTreatedSewage, d.drawn.river.beside('C', 0, -50));
  d.refresh();
  const Suggestions s = bracketed(d, {.clear = {.mixing_m = 100}});
  REQUIRE(s.list.size() == 2);
  CHECK(s.list[0].reason.find("above the confluence") != std::string::npos);
  // The beck brings 1,000 m, the arm from B 500 m.
  CHECK(near(d.metres_from('C', s.list[0]), 112.5, 1));
  CHECK(s.list[0].spot.position.lat > d.drawn.river.at('C').lat);
}

TEST_CASE("a spot below keeps clear of the next outfall too, not only of the confluence") {
  DesignSurvey d(kBeck);
  d.drawn.builder.outfall("OUT", OutfallKind::kTreatedSewage, d.drawn.river.beside('A', 0, -200));
  d.drawn.builder.outfall("ROAD", OutfallKind::kRoadDrain, d.drawn.river.beside('A', 0, -450));
  d.refresh();
  // 250 m lie between the two: 150 m of mixing and 100 m clear leave nothing; 120 m leave the spot at 337.5 m.
  CHECK(
      says(bracketed(d, {.clear = {.mixing_m = 150}}).notes,
           "no spot below OUT: beyond the mixing distance of 150 m no free spot is left before ROAD, 250 m"));
  const Suggestions s = bracketed(d, {.clear = {.mixing_m = 120}, .outfalls = {OutfallIndex(0)}});
  REQUIRE(s.list.size() == 2);
  CHECK(near(d.metres_from('A', s.list[1]), 337.5, 1));
}

TEST_CASE("a site that stands in the right place is taken as it is") {
  DesignSurvey d(kBeck);
  d.drawn.builder.outfall("OUT", OutfallKind::kTreatedSewage, d.drawn.river.at('o'));
  d.drawn.site("S1", d.drawn.river.beside('o', 0, 200));
  d.refresh();
  const Suggestions s = bracketed(d, {.clear = {.mixing_m = 150}});
  CHECK(s.list.size() == 1);
  CHECK(says(s.notes, "site S1 stands where a control above OUT should"));
}

TEST_CASE("an outfall on no channel has nothing above or below") {
  DesignSurvey d(kBeck);
  d.drawn.builder.outfall("FAR", OutfallKind::kTrade, d.drawn.river.beside('A', 3000, 0));
  d.refresh();
  const Suggestions s = bracketed(d, {.clear = {.mixing_m = 150}});
  CHECK(s.list.empty());
  CHECK(says(s.notes, "FAR lies on no channel"));
}

TEST_CASE("an outfall that is closed, or not open yet, is told as that") {
  DesignSurvey d(kBeck);
  d.drawn.builder.outfall("OLD", OutfallKind::kTrade, d.drawn.river.at('o'), "", "2020-01-01");
  d.drawn.builder.outfall("SOON", OutfallKind::kTrade, d.drawn.river.at('o'), "2030-01-01", "");
  d.refresh();
  const Suggestions s =
      bracketed(d, {.clear = {.mixing_m = 150}, .outfalls = {OutfallIndex(0), OutfallIndex(1)}});
  CHECK(s.list.empty());
  CHECK(says(s.notes, "OLD is not in use on 2024-12-31 (in use until 2020-01-01), so nothing is suggested"));
  CHECK(says(s.notes, "SOON is not in use on 2024-12-31 (in use since 2030-01-01), so nothing is suggested"));
  CHECK_FALSE(says(s.notes, "lies on no channel"));
}

TEST_CASE("a proposed site that nobody has sampled is told apart from a site that stands there") {
  DesignSurvey d(kBeck);
  d.drawn.builder.outfall("OUT", OutfallKind::kTreatedSewage, d.drawn.river.at('o'));
  d.drawn.site("NEW-01", d.drawn.river.beside('o', 0, 200));
  d.refresh();
  d.snapshot.sites.status[0] = SiteStatus::kProposed;
  const Suggestions s = bracketed(d, {.clear = {.mixing_m = 150}});
  CHECK(s.list.size() == 1);
  CHECK(says(s.notes, "NEW-01, proposed and not sampled yet, stands where a control above OUT should"));
  CHECK_FALSE(says(s.notes, "site NEW-01"));
}
