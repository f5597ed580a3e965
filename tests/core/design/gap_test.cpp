#include "core/design/gap.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "core/base/error.hpp"
#include "tests/core/design/design_survey.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::core;
using namespace brookmark::test;

namespace {

// 3,000 m from A to the confluence at C, a short arm of 500 m from B, 1,000 m on to D.
std::string long_beck() {
  std::string drawing = "    A\n";
  for (int i = 0; i < 29; ++i) drawing += "    |\n";
  drawing += "    C<---B\n";
  for (int i = 0; i < 9; ++i) drawing += "    |\n";
  return drawing + "    D\n";
}

struct Assessed {
  Assessment assessment;
  ReachAssessment reaches;
};

Assessed assessed(const DesignSurvey& d) {
  static const Method& method = *find_method("bmwp-a");
  static ScoreTable scores;
  scores = score_samples(d.snapshot, method);
  Assessed a{assess(d.snapshot, scores, 0, d.nesting, d.source().day), {}};
  add_confidence(a.assessment, d.snapshot);
  a.reaches = assess_reaches(d.snapshot, a.assessment, d.drawn.network);
  return a;
}

Suggestions gaps(const DesignSurvey& d, std::size_t count) {
  const Assessed a = assessed(d);
  return suggest_gap(d.source(), {.count = count}, a.assessment, a.reaches);
}

}  // namespace

TEST_CASE("the first spot speaks for the longest stretch of which nothing is known") {
  DesignSurvey d(long_beck());
  d.drawn.sample('D', "2024-05-03", kGood);
  d.refresh();
  const Suggestions s = gaps(d, 3);
  REQUIRE(s.list.size() == 3);
  // On the 3,000 m: a kilometre each. The arm of 500 m and what is left of the lower stretch speak for less.
  for (const Suggestion& one : s.list) CHECK(one.spot.position.lat > d.drawn.river.at('C').lat);
  CHECK(s.list[0].reason == "it would speak for 1000 m of which nothing is known");
  CHECK(s.list[1].reason == "it would speak for 1000 m of which nothing is known");
  for (std::size_t i = 0; i < 3; ++i)
    for (std::size_t j = i + 1; j < 3; ++j)
      CHECK(geodesic_m(s.list[i].spot.position, s.list[j].spot.position) > 900);
  // 3,000 + 500 + 500 m are unknown; the 500 m above D's site are measured.
  CHECK(says(s.notes, "of 4.0 km of channel in doubt 1.0 km would be left after these"));
}

TEST_CASE("a spot speaks for no channel beyond an outfall") {
  DesignSurvey d(long_beck());
  d.drawn.builder.outfall("OUT", OutfallKind::kTrade, d.drawn.river.beside('A', 0, -1300));
  d.refresh();
  const Suggestions s = gaps(d, 2);
  REQUIRE(s.list.size() == 2);
  // The upper stretch is cut at the outfall at 1,300 m: two spots can speak for 1,000 m of the 1,700 m below it and 1,000 m of the
  // 1,300 m above.
  CHECK(says(s.notes, "of 4.5 km of channel in doubt 2.5 km would be left"));
}

TEST_CASE(
    "no spot of a gap stands near a confluence or an outfall, and a mixing distance is kept below one") {
  DesignSurvey d(long_beck());
  d.drawn.builder.outfall("OUT", OutfallKind::kTrade, d.drawn.river.beside('A', 0, -1500));
  d.refresh();
  const Assessed a = assessed(d);
  const Suggestions s =
      suggest_gap(d.source(), {.count = 12}, a.assessment, a.reaches, {.clear_m = 100, .mixing_m = 400});
  CHECK(s.list.size() >= 4);
  for (const Suggestion& one : s.list) {
    CHECK(geodesic_m(one.spot.position, d.drawn.river.at('C')) >= 100);
    if (std::abs(one.spot.position.lon - d.drawn.river.at('A').lon) > 1e-6) continue;
    const double m = d.metres_from('A', one);
    CHECK_FALSE((m > 1400 && m < 1900));
  }
  CHECK(s.left_out.words().find("too near below an outfall") != std::string::npos);
  CHECK(s.left_out.words().find("too near above an outfall") != std::string::npos);
  CHECK_FALSE(says(s.notes, "no mixing distance"));
  CHECK(says(gaps(d, 1).notes, "no mixing distance was said: spots keep 100 m below outfalls"));
}

TEST_CASE("a stretch whose last sample is too old is a gap, and says when that was") {
  DesignSurvey d(long_beck());
  d.drawn.builder.sample(d.drawn.site("OLD", d.drawn.river.beside('A', 0, -700)), "2015-05-03", kGood);
  d.refresh();
  bool told = false;
  for (const Suggestion& one : gaps(d, 4).list)
    told = told || one.reason.find("last sampled on 2015-05-03 at OLD") != std::string::npos;
  CHECK(told);
}

TEST_CASE("the emptier sub-catchment goes first") {
  DesignSurvey d(
      "    A       B\n    |       |\n    |       |\n    |       |\n    |       |\n    C       D\n");
  // Two becks of 500 m; that of A lies in a catchment with 500 m more of its own that is known.
  d.drawn.builder.catchment("LEFT", d.square('A', 300));
  d.drawn.builder.catchment("RIGHT", d.square('B', 300));
  d.drawn.sample('A', "2024-05-03", kGood);
  d.refresh();
  const Suggestions s = gaps(d, 1);
  REQUIRE(s.list.size() == 1);
  CHECK(s.list[0].spot.position.lon > -38 + 0.005);  // on the right
  CHECK(s.list[0].reason.find("RIGHT 100 % is in doubt") != std::string::npos);
}

TEST_CASE("where no doubt is left nothing is suggested, and private ground is spoken for from beside") {
  DesignSurvey d("A\n|\n|\nB\n");
  d.drawn.sample('A', "2024-05-03", kGood);
  d.refresh();
  const Suggestions none = gaps(d, 2);
  CHECK(none.list.empty());
  CHECK(says(none.notes, "only 0 of the 2 spots asked for"));
  DesignSurvey barred("A\n|\n|\n|\n|\nB\n");
  barred.ground(GroundKind::kPrivate, barred.square('A', 250));
  const Suggestions beside = gaps(barred, 1);
  REQUIRE(beside.list.size() == 1);
  CHECK(barred.metres_from('A', beside.list[0]) > 250);
  CHECK(beside.list[0].reason.find("500 m of which nothing is known") != std::string::npos);
}
