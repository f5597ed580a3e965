#include "core/design/variety.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <numeric>

#include "core/base/random.hpp"
#include "tests/core/analysis/drawn_survey.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::core;
using namespace brookmark::test;

TEST_CASE("the spots chosen lie at least half as far apart as the best of all choices, and mostly as far") {
  int best_found = 0;
  for (std::uint64_t seed = 1; seed <= 60; ++seed) {
    Random random(seed, 1);
    std::vector<double> values(14 * 3);
    for (double& v : values) v = random.uniform() * 2 - 1;
    const auto chosen = most_different(values, 3, 4);
    REQUIRE(chosen.size() == 4);
    double best = 0;
    for (std::uint32_t a = 0; a < 14; ++a)
      for (std::uint32_t b = a + 1; b < 14; ++b)
        for (std::uint32_t c = b + 1; c < 14; ++c)
          for (std::uint32_t d = c + 1; d < 14; ++d)
            best =
                std::max(best, smallest_distance(values, 3, std::vector<std::uint32_t>{a, b, c, d}).value());
    const double reached = smallest_distance(values, 3, chosen).value();
    CHECK(reached >= best / 2);
    if (reached > best - 1e-9) ++best_found;
  }
  MESSAGE("the best of all choices was found in " << best_found << " of 60");
  CHECK(best_found >= 20);
}

TEST_CASE("as many as there are is all of them, and of none there is none") {
  const std::vector<double> values{0, 1, 2};
  CHECK(most_different(values, 1, 9) == std::vector<std::uint32_t>{0, 1, 2});
  CHECK(most_different(values, 1, 0).empty());
  CHECK(most_different({}, 1, 3).empty());
  CHECK_FALSE(smallest_distance(values, 1, std::vector<std::uint32_t>{1}));
}

TEST_CASE("of a stream with a side arm two spots lie at its far ends; what is the same everywhere is told") {
  DrawnSurvey s(R"(
    A
    |
    |
    |
    |
    B
  )");
  const CatchmentNesting nesting = nest_catchments(s.builder.snapshot());
  const DesignSource source{s.builder.snapshot(), s.network, nesting, parse_date("2024-12-31").value()};
  const Suggestions found = suggest_variety(source, {.count = 2});
  REQUIRE(found.list.size() == 2);
  const double apart = geodesic_m(found.list[0].spot.position, found.list[1].spot.position);
  CHECK(near(apart, 475, 30));  // the ends of 500 m, half a spot in from each
  REQUIRE(found.notes.size() == 4);
  CHECK(found.notes[2] == "no area was given: they are chosen over the whole survey");
  CHECK(found.notes[0].ends_with("standard deviations of these spots apart (by north, upstream)"));
  // Twenty places evenly in a line: 19 steps over a deviation of sqrt((20 * 20 - 1) / 12) of them.
  const Suggestions north = suggest_variety(source, {.count = 2}, {{{HabitatVariable::kNorth, {}}}, {}});
  CHECK(north.notes[0] ==
        "the two most alike of them are 3.3 standard deviations of these spots apart (by north)");
  CHECK(north.list[0].reason.starts_with("of the 20 spots in the survey it differs from the others by: 23"));
  CHECK(north.list[0].reason.ends_with(" m north of the middle of all"));
  CHECK(north.list[1].reason.ends_with(" m south of the middle of all"));
  CHECK(found.notes[1].starts_with("the same everywhere, so left out: "));
  CHECK(found.notes[1].find("order") != std::string::npos);
  CHECK(found.notes[1].find("east") != std::string::npos);
  CHECK(found.notes[1].find("bend") != std::string::npos);
  CHECK(found.notes[1].find("north") == std::string::npos);
}

TEST_CASE("the reason of each spot says in the trade's own units by what it differs") {
  // A winding brook of order 2 below two straight headwaters, and a pond.
  DrawnSurvey s(R"(
    A       B
     \     /
      \   /
       \ /
        C
        |
        |
        D
  )");
  Snapshot snapshot = s.builder.snapshot();
  const LonLat a = s.river.beside('A', 900, 900);
  snapshot.waters.push_back({"w",
                             "Pool",
                             WaterKind::kPond,
                             {Polygon{{{a, {a.lon + 0.001, a.lat}, {a.lon + 0.001, a.lat + 0.001}, a}}}}});
  const CatchmentNesting nesting = nest_catchments(snapshot);
  const DesignSource source{snapshot, s.network, nesting, parse_date("2024-12-31").value()};
  std::string all;
  for (const HabitatVariable by : {HabitatVariable::kOrder, HabitatVariable::kUpstream,
                                   HabitatVariable::kStill, HabitatVariable::kBend, HabitatVariable::kEast})
    for (const Suggestion& one :
         suggest_variety(source, {.count = 3, .spots = {.on = SpotOn::kBoth}}, {{{by, {}}}, {}}).list)
      all += one.reason + "\n";
  for (const char* words :
       {"by: stream order 2, where half of all have 1 or less",
        "by: no stream order, for it is a still water", "by: no channel upstream, for it is a still water",
        "m of channel upstream, where half of all have ", "by: a still water, as 1 of all is",
        "unlike the others chosen", "m west of the middle of all"})
    CHECK_MESSAGE(all.find(words) != std::string::npos, words << " in " << all);
}
