#include "core/analysis/reach_assessment.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>
#include <string>

#include "tests/core/analysis/drawn_survey.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::core;
using namespace brookmark::test;

namespace {

constexpr double kDrawnM = 0.2;

Assessment assess_on(const DrawnSurvey& s, const std::string& day, const std::string& method_id = "bmwp-a") {
  const Method& method = *find_method(method_id);
  return assess(s.builder.snapshot(), score_samples(s.builder.snapshot(), method), 0,
                nest_catchments(s.builder.snapshot()), parse_date(day).value());
}

ReachAssessment reaches_on(const DrawnSurvey& s, const std::string& day,
                           const std::string& method = "bmwp-a") {
  const ReachAssessment found = assess_reaches(s.builder.snapshot(), assess_on(s, day, method), s.network);
  // Whatever the river: the pieces cover each edge once, in order, and the three lengths add up.
  std::size_t next = 0;
  double total_m = 0;
  for (std::uint32_t e = 0; e < s.network.graph().edges().size(); ++e) {
    double at_m = 0;
    for (; next < found.pieces.size() && found.pieces[next].part.edge == e; ++next) {
      CHECK(near(found.pieces[next].part.from_m, at_m, 1e-6));
      at_m = found.pieces[next].part.to_m;
      CHECK((found.pieces[next].knowledge == ReachKnowledge::kMeasured) ==
            found.pieces[next].site.has_value());
    }
    CHECK(near(at_m, s.network.graph().edges()[e].length_m, 1e-6));
    total_m += at_m;
  }
  CHECK(next == found.pieces.size());
  CHECK(near(found.measured_m + found.inferred_m + found.unknown_m, total_m, 1e-6));
  return found;
}

void check_lengths(const ReachAssessment& r, double measured_m, double inferred_m, double unknown_m) {
  CHECK(near(r.measured_m, measured_m, kDrawnM));
  CHECK(near(r.inferred_m, inferred_m, kDrawnM));
  CHECK(near(r.unknown_m, unknown_m, kDrawnM));
}

// What is known beside a letter, as "measured 2".
std::string known_at(const DrawnSurvey& s, const ReachAssessment& reaches, LonLat place) {
  const ChannelPoint at = s.network.snap(place).value();
  for (const ReachPiece& p : reaches.pieces)
    if (p.part.edge == at.edge && p.part.from_m <= at.along_m && at.along_m <= p.part.to_m)
      return std::string(reach_knowledge_name(p.knowledge)) + " " + std::to_string(p.class_rank);
  return "nowhere";
}

// A to G: 2 km; sites 300 m and 1700 m from the head.
std::string straight_river() {
  std::string drawing = "\nA\n";
  for (int row = 1; row < 20; ++row)
    drawing += row == 3 ? "b\n" : row == 17 ? "f\n" : row == 10 ? "m\n" : "|\n";
  return drawing + "G\n";
}

int rank_of(const DrawnSurvey& s, char site, const std::string& day) {
  return assess_on(s, day).sites[s.sites.at(std::string(1, site)).value()].class_rank;
}

}  // namespace

TEST_CASE(
    "a site speaks for 500 m either way; between two of one class it is inferred, beyond them unknown") {
  DrawnSurvey s(straight_river());
  s.sample('b', "2024-04-10", kGood);
  s.sample('f', "2024-04-10", kGood);
  // Up from b: 300 m to the head; down 500. Up from f 500, down 300 to the mouth. Between: 1400 - 1000.
  const ReachAssessment r = reaches_on(s, "2024-12-31");
  check_lengths(r, 300 + 500 + 500 + 300, 400, 0);
  const std::string rank = std::to_string(rank_of(s, 'b', "2024-12-31"));
  CHECK(known_at(s, r, s.river.at('A')) == "measured " + rank);
  CHECK(known_at(s, r, s.river.at('m')) == "inferred " + rank);
}

TEST_CASE("between two that do not agree nothing is inferred") {
  DrawnSurvey s(straight_river());
  s.sample('b', "2024-04-10", kGood);
  s.sample('f', "2024-04-10", kPoor);
  check_lengths(reaches_on(s, "2024-12-31"), 1600, 0, 400);
}

TEST_CASE("an outfall in use ends what is measured and hinders inference, one out of use does neither") {
  DrawnSurvey s(straight_river());
  s.builder.outfall("O1", OutfallKind::kTrade, s.river.beside('b', 0, -100), "2024-01-01");
  s.sample('b', "2023-10-10", kGood);
  s.sample('f', "2023-10-10", kGood);
  check_lengths(reaches_on(s, "2023-12-31"), 1600, 400, 0);
  check_lengths(reaches_on(s, "2024-01-01"), 300 + 100 + 500 + 300, 0, 800);
}

TEST_CASE("near neighbours share the water between them half and half") {
  DrawnSurvey s(R"(
   A
   |
   b
   |
   c
   |
   D
)");
  s.sample('b', "2024-04-10", kGood);
  s.sample('c', "2024-04-10", kPoor);
  const ReachAssessment r = reaches_on(s, "2024-12-31");
  check_lengths(r, 600, 0, 0);
  const std::string good = "measured " + std::to_string(rank_of(s, 'b', "2024-12-31"));
  const std::string poor = "measured " + std::to_string(rank_of(s, 'c', "2024-12-31"));
  CHECK(good != poor);
  CHECK(known_at(s, r, s.river.beside('b', 0, -90)) == good);
  CHECK(known_at(s, r, s.river.beside('b', 0, -110)) == poor);
}

TEST_CASE(
    "a confluence ends what is measured; an unwatched tributary does not hinder inference but stays "
    "unknown") {
  DrawnSurvey s(R"(
   a   b
    \ /
     C
     |
     d
     |
     E
)");
  s.sample('a', "2024-04-10", kGood);
  s.sample('d', "2024-04-10", kGood);
  const double branch_m = 2 * kDiagonalM;
  SUBCASE("an unwatched tributary") {
    check_lengths(reaches_on(s, "2024-12-31"), branch_m + 400, 0, branch_m);
  }
  SUBCASE("with an outfall on it") {
    // Nothing lay between the measured stretches anyway; and the tributary has no site above its outfall.
    s.builder.outfall("O1", OutfallKind::kTrade, s.river.at('b'));
    check_lengths(reaches_on(s, "2024-12-31"), branch_m + 400, 0, branch_m);
  }
}

TEST_CASE("below a confluence the classes of both branches and of the site below must agree") {
  const std::string drawing = R"(
   a      b
   |      |
   |      |
   |      |
   |      |
   |      |
   |      |
   |      |
   C-->---D
          |
          |
          |
          |
          |
          |
          e
          |
          F
)";
  for (const bool agree : {true, false}) {
    CAPTURE(agree);
    DrawnSurvey s(drawing);
    s.sample('a', "2024-04-10", kGood);
    s.sample('b', "2024-04-10", agree ? kGood : kPoor);
    s.sample('e', "2024-04-10", kGood);
    // a: 500 of 800 + 700 m; b: 500 of 800 m; e: 500 up of 700 m and 200 down.
    if (agree)
      check_lengths(reaches_on(s, "2024-12-31"), 500 + 500 + 700, 1000 + 300 + 200, 0);
    else
      // The branch of a still has one answer above and one below; the other branch and the water below have two.
      check_lengths(reaches_on(s, "2024-12-31"), 500 + 500 + 700, 1000, 300 + 200);
  }
}

TEST_CASE("a collapse is never painted, nor inferred past") {
  DrawnSurvey s(straight_river());
  s.sample('b', "2024-04-10", kGood);
  s.sample('f', "2024-04-10", kGood);
  s.sample('m', "2024-04-10", {absent("Baetidae")});
  const ReachAssessment r = reaches_on(s, "2024-12-31");
  // b and m are 700 m apart, so are m and f: half of that is 350.
  check_lengths(r, 300 + 350 + 350 + 300, 0, 700);
  CHECK(known_at(s, r, s.river.at('m')) == "unknown 0");
}

TEST_CASE("samples out of scope or too old leave the channel unknown") {
  DrawnSurvey s(straight_river());
  s.builder.sample(s.site('b', WaterKind::kDitch), "2024-04-10", kGood);
  s.sample('f', "2022-04-09", kGood);
  check_lengths(reaches_on(s, "2024-04-10"), 0, 0, 2000);
  check_lengths(reaches_on(s, "2022-04-10"), 800, 0, 1200);
}

TEST_CASE("a metric without classes is measured by value and never inferred") {
  DrawnSurvey s(straight_river());
  s.sample('b', "2024-04-10", kGood);
  s.sample('f', "2024-04-10", kGood);
  const ReachAssessment r = reaches_on(s, "2024-12-31", "ept-richness");
  check_lengths(r, 1600, 0, 400);
  CHECK(known_at(s, r, s.river.at('A')) == "measured 0");
}

TEST_CASE("a site on a confluence speaks for the water below it, one at a mouth for the water above") {
  DrawnSurvey s(R"(
   a   b
    \ /
     C
     |
     d
     |
     E
)");
  SUBCASE("confluence") {
    s.sample('C', "2024-04-10", kGood);
    check_lengths(reaches_on(s, "2024-12-31"), 400, 0, 4 * kDiagonalM);
  }
  SUBCASE("mouth") {
    s.sample('E', "2024-04-10", kGood);
    check_lengths(reaches_on(s, "2024-12-31"), 400, 0, 4 * kDiagonalM);
  }
}

TEST_CASE("of two sites on one spot the newer sample speaks, of equals the worse class") {
  DrawnSurvey s(straight_river());
  s.builder.sample(s.site("b left", s.river.beside('b', -20, 0)), "2024-04-10", kPoor);
  s.builder.sample(s.site("b right", s.river.beside('b', 20, 0)), "2024-04-12", kGood);
  const ReachAssessment r = reaches_on(s, "2024-12-31");
  CHECK(s.code(r.pieces.front().site) == "b right");
}

TEST_CASE("rings, braids and loops are covered whole") {
  for (const char* drawing : {"\n B->-C\n |   |\n ^   h\n |   |\n D-<-E\n",
                              "\n   h\n   |\n   B\n  / \\\n C   D\n  \\ /\n   E\n   |\n   f\n"}) {
    DrawnSurvey s(drawing);
    s.sample('h', "2024-04-10", kGood);
    CHECK(reaches_on(s, "2024-12-31").measured_m > 0);
  }
  const ReachAssessment none = reaches_on(DrawnSurvey(""), "2024-12-31");
  CHECK(none.pieces.empty());
}
