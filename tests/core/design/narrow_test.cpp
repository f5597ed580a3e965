#include "core/design/narrow.hpp"

#include <doctest/doctest.h>

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
  std::vector<Drop> falls;
};

Suggestions narrowed(const Falling& d, const DesignOptions& options = {.count = 1},
                     const NarrowOptions& n = {}) {
  return suggest_narrow(d.source(), options, fall_to_narrow(d.snapshot, d.drawn.network, d.falls, "", ""), n);
}

}  // namespace

TEST_CASE("the next visit halves what is suspect, and the visits that remain are told") {
  const Falling d(kBeck);
  const Suggestions s = narrowed(d);
  REQUIRE(s.list.size() == 1);
  // 1,200 m of channel and nothing else (the arm leads away): its middle; spots lie at 12.5, 37.5 ... of each edge.
  CHECK(near(d.metres_from('A', s.list[0]), 600, 13));
  CHECK(s.list[0].reason.find("between A and B it cuts in two") != std::string::npos);
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
  const Drop& fall = fall_to_narrow(d.snapshot, d.drawn.network, d.falls, "A", "B");
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
  const Suggestions s = narrowed(d);
  CHECK(near(d.metres_from('A', s.list[0]), 725, 13));
  CHECK(s.list[0].reason.find("if it is bad here, 7") != std::string::npos);
  CHECK(s.list[0].reason.find("of channel and TOP is left") != std::string::npos);
  CHECK(s.list[0].reason.find("with ARM") != std::string::npos);
}

TEST_CASE("no spot is taken within the mixing distance below what comes in") {
  Falling d(kArm);
  d.drawn.builder.outfall("TOP", OutfallKind::kTreatedSewage, d.drawn.river.beside('A', 0, -400));
  d.refresh();
  d.falls = d.drawn.drops("2024-12-31");
  const Suggestions s = narrowed(d, {.count = 1}, {.mixing_m = 300});
  const double m = d.metres_from('A', s.list.at(0));
  CHECK((m < 400 || m > 700));
}

TEST_CASE("several spots at once cut the heaviest part each time") {
  const Falling d(kBeck);
  const Suggestions s = narrowed(d, {.count = 3});
  REQUIRE(s.list.size() == 3);
  CHECK(near(d.metres_from('A', s.list[1]) + d.metres_from('A', s.list[2]), 1200, 30));  // 300 and 900
  CHECK(s.visits_left.value() == 2);
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
      fall_to_narrow(d.snapshot, d.drawn.network, d.falls, up, down);
    } catch (const Error& error) {
      return std::string(error.what());
    }
    return std::string("nothing was refused");
  };
  CHECK(refusal("B", "A").find("no neighbours on one flow path") != std::string::npos);
  CHECK(refusal("A", "Z") == "there is no site \"Z\" in this survey");
  d.drawn.site("LOST", kUnplaced);
  d.refresh();
  CHECK(refusal("A", "LOST").find("site LOST has no position") != std::string::npos);
  d.falls.clear();
  CHECK(refusal("", "").find("quality falls between no two neighbours") != std::string::npos);
  Falling barred(kBeck);
  barred.ground(GroundKind::kPrivate, barred.square('C', 3000));
  CHECK_THROWS_AS(narrowed(barred), Error);
}
