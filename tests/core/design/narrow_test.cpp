#include "core/design/narrow.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "core/base/error.hpp"
#include "tests/core/design/design_survey.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::core;
using namespace brookmark::test;
using brookmark::Error;

namespace {

const char* const kBeck = R"(
    A
    |
    |
    |
    |
    |
    |
    |
    C----E
    |
    |
    |
    B
)";  // 1,200 m from A to B; an arm of 500 m from E joins at 800 m (C); it is drawn to the right, so it runs away from C

// The arm turned round: it runs towards C.
const char* const kArm = R"(
    A
    |
    |
    |
    |
    |
    |
    |
    C<---E
    |
    |
    |
    B
)";

struct Falling : DesignSurvey {
  explicit Falling(const std::string& drawing) : DesignSurvey(drawing) {
    drawn.sample('A', "2024-05-03", kGood);
    drawn.sample('B', "2024-05-03", kPoor);
    refresh();
    falls = drawn.drops("2024-12-31");
  }
  FallToNarrow between(std::string_view up, std::string_view down) const {
    const ScoreTable scores = score_samples(snapshot, *find_method("bmwp-a"));
    const Period period = parse_date("2024-12-31").value();
    return fall_between({snapshot, scores, 0, drawn.network, period}, falls, up, down);
  }
  std::vector<Drop> falls;
};

Suggestions narrowed(const Falling& d, const DesignOptions& options = {.count = 1},
                     const NarrowOptions& n = {}) {
  return suggest_narrow(d.source(), options, worst_fall(d.falls), n);
}

}  // namespace

TEST_CASE("the next visit halves what is suspect, and the visits that remain are told") {
  const Falling d(kBeck);
  const Suggestions s = narrowed(d);
  REQUIRE(s.list.size() == 1);
  // 1,200 m of channel and nothing else (the arm leads away): its middle; spots lie at 12.5, 37.5 ... of each edge.
  CHECK(near(d.metres_from('A', s.list[0]), 600, 13));
  CHECK(s.list[0].reason.starts_with(
      "it parts what may lower the quality between A and B: if it is bad here already, left is"));
  // 1,200 -> 600 -> 300 -> 150 -> 75 and a little: four visits in all, since 100 m is fine enough; three are left, or four where the
  // spots leave a rest above 100 m.
  REQUIRE(s.visits_left);
  CHECK(*s.visits_left == 3);
}

TEST_CASE("a tributary and an outfall weigh in, and the tributary's outfalls come with it") {
  Falling d(kArm);
  d.drawn.builder.outfall("ARM", OutfallKind::kTreatedSewage, d.drawn.river.at('E'));
  d.drawn.builder.outfall("TOP", OutfallKind::kTreatedSewage, d.drawn.river.beside('A', 0, -100));
  d.refresh();
  d.falls = d.drawn.drops("2024-12-31");
  const Drop fall = d.between("A", "B").fall;
  const LocalFrame frame(kInventedOrigin);
  const KeepOut out(d.snapshot, {}, frame);
  const SpotFrame found = find_spots(d.snapshot, d.drawn.network, {}, {}, out, frame);
  const SuspectStretch stretch = suspects_of(d.source(), fall, found, {});
  REQUIRE(stretch.items.size() == 2);
  CHECK(near(stretch.length_m, 1200, 0.1));
  CHECK(near(stretch.items[0].at_m, 100, 0.1));
  CHECK(stretch.items[0].weight_m == 500);
  CHECK(near(stretch.items[1].at_m, 800, 0.1));
  CHECK(stretch.items[1].weight_m == 750);  // 250 for the arm, 500 for its outfall
  CHECK(stretch.items[1].has_mouth);
  // 1,200 + 500 + 750 = 2,450 m; half is 1,225: TOP and 725 m of channel above.
  const Suggestions s = narrowed(d, {.count = 1}, {.clear = {.clear_m = 0}});
  CHECK(near(d.metres_from('A', s.list[0]), 725, 13));
  // 100 m clear of the arm's mouth at 800 m: the last spot above that.
  CHECK(near(d.metres_from('A', narrowed(d).list[0]), 687.5, 1));
  CHECK(s.list[0].reason.find("what lies above, 7") != std::string::npos);
  CHECK(s.list[0].reason.find("of channel and TOP; if it is still good, what lies below, ") !=
        std::string::npos);
  CHECK(s.list[0].reason.find("with ARM") != std::string::npos);
}

TEST_CASE("no spot is taken near an outfall or a confluence, nor within the mixing distance below one") {
  Falling d(kArm);
  d.drawn.builder.outfall("TOP", OutfallKind::kTreatedSewage, d.drawn.river.beside('A', 0, -400));
  d.refresh();
  d.falls = d.drawn.drops("2024-12-31");
  const auto metres = [&](double mixing_m, double clear_m) {
    std::vector<double> all;
    for (const Suggestion& one :
         narrowed(d, {.count = 20}, {.clear = {.clear_m = clear_m, .mixing_m = mixing_m}}).list)
      if (std::abs(one.spot.position.lon - d.drawn.river.at('A').lon) < 1e-6)  // not on the arm
        all.push_back(d.metres_from('A', one));
    return all;
  };
  const auto wide = metres(300, 100);
  CHECK_FALSE(wide.empty());
  for (const double m : wide) CHECK((m < 300 || (m > 900 && m < 1200)));  // 300 .. 400 .. 700 .. 800 .. 900
  const auto close = metres(0, 0);
  CHECK(std::any_of(close.begin(), close.end(), [](double m) { return m > 300 && m < 900; }));
  const Suggestions unsaid = narrowed(d, {.count = 1});
  CHECK(says(unsaid.notes,
             "no mixing distance was said: spots keep 100 m below outfalls, for which no single published "
             "figure exists"));
  CHECK_FALSE(says(narrowed(d, {.count = 1}, {.clear = {.mixing_m = 300}}).notes, "no mixing distance"));
  CHECK(unsaid.left_out.words().find("too near a confluence or fork") != std::string::npos);
  CHECK_THROWS_AS(narrowed(d, {.count = 1}, {.clear = {.clear_m = -1}}), Error);
}

TEST_CASE("several spots at once cut the heaviest part each time") {
  const Falling d(kBeck);
  const Suggestions s = narrowed(d, {.count = 3});
  REQUIRE(s.list.size() == 3);
  CHECK(near(d.metres_from('A', s.list[1]) + d.metres_from('A', s.list[2]), 1200, 30));  // 300 and 900
  CHECK(s.visits_left.value() == 2);
  // Each says after which answer it is needed at all.
  CHECK(s.list[0].reason.starts_with("it parts "));
  CHECK(s.list[1].reason.starts_with("only if it was "));
  CHECK(s.list[1].reason.find(" at NEW-01: it parts ") != std::string::npos);
  const bool upper = s.list[1].spot.position.lat > s.list[0].spot.position.lat;
  CHECK(s.list[1].reason.find(upper ? "was bad at NEW-01" : "was good at NEW-01") != std::string::npos);
  CHECK(s.list[2].reason.find(upper ? "was good at NEW-01" : "was bad at NEW-01") != std::string::npos);
  const Suggestions many = narrowed(d, {.count = 100});
  CHECK(many.list.size() < 100);
  CHECK(many.visits_left == 0);
  CHECK(says(many.notes, "spots asked for tell anything more apart"));
}

TEST_CASE(
    "what cannot be narrowed is told: no fall, no such stretch, a site without a position, everything left "
    "out") {
  Falling d(kBeck);
  const auto refusal = [&](std::string_view up, std::string_view down) {
    try {
      if (up.empty())
        worst_fall(d.falls);
      else
        d.between(up, down);
    } catch (const Error& error) {
      return std::string(error.what());
    }
    return std::string("nothing was refused");
  };
  CHECK(refusal("B", "A") == "no water runs from B to A: A lies above; name the upper site first");
  CHECK(refusal("A", "A") == "both are site A; name two sites, the upper one first");
  CHECK(refusal("A", "Z") == "there is no site \"Z\" in this survey");
  d.drawn.site("LOST", kUnplaced);
  d.refresh();
  CHECK(refusal("A", "LOST").find("site LOST has no position") != std::string::npos);
  d.falls.clear();
  CHECK(refusal("", "").find("quality falls between no two neighbours") != std::string::npos);
  Falling barred(kBeck);
  barred.ground(GroundKind::kPrivate, barred.square('C', 3000));
  CHECK_THROWS_WITH(narrowed(barred),
                    doctest::Contains("spots in the reaches between A and B is left out: "));
  CHECK_THROWS_WITH(narrowed(barred), doctest::Contains("on private ground"));
}

TEST_CASE("the mouth of a tributary that weighs more than all else is asked for first, in words of its own") {
  Falling d(kArm);
  for (const char* code : {"ARM-1", "ARM-2", "ARM-3"})
    d.drawn.builder.outfall(code, OutfallKind::kTreatedSewage, d.drawn.river.at('E'));
  d.refresh();
  d.falls = d.drawn.drops("2024-12-31");
  // 1,200 m of channel beside 250 m + 3 x 500 m up the arm.
  const Suggestions s = narrowed(d);
  CHECK(s.list[0].reason.starts_with("at the mouth of "));
  CHECK(s.list[0].reason.find(
            ": if its water is bad, look up there; if it is good, left are 1200 m of channel") !=
        std::string::npos);
  const double from_mouth = geodesic_m(d.drawn.river.at('C'), s.list[0].spot.position);
  CHECK((from_mouth >= 100 && from_mouth < 125));
}
