#include "core/analysis/drops.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>

#include "tests/core/analysis/drawn_survey.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::core;
using namespace brookmark::test;

namespace {

const char* const kLine = R"(
   A
   |
   b
   |
   |
   |
   c
   |
   D
)";
const char* const kMeeting = R"(
   a   b
    \ /
     C
     |
     d
     |
     E
)";

bool says(const Drop& drop, const std::string& words) {
  return drop.note.find(words) != std::string::npos;
}

}  // namespace

TEST_CASE("only neighbours are compared, the greatest fall comes first, a rise is a negative fall") {
  DrawnSurvey s(kLine);
  s.sample('A', "2024-04-10", kFair);
  s.sample('D', "2024-04-11", kFair);
  s.sample('b', "2024-04-10", kGood);
  s.sample('c', "2024-04-12", kPoor);
  const auto drops = s.drops("2024-12-31");
  CHECK(s.said(drops) == "b>c 57, c>D -17, A>b -40");  // 60 - 3; 3 - 20; 20 - 60
  CHECK(near(drops[0].stretch.length_m, 4 * kCellM, 0.1));
  CHECK(drops[0].is_worse());
  CHECK_FALSE(drops[1].is_worse());
  REQUIRE(drops[0].newest() != nullptr);
  CHECK(drops[0].newest()->season == Season::kSpring);
  CHECK(drops[0].newest()->rank_up < drops[0].newest()->rank_down);
  CHECK(says(drops[0], "unexplained"));
  CHECK_FALSE(says(drops[1], "unexplained"));
}

TEST_CASE("a site below a confluence has a neighbour up each branch; what else enters is told") {
  DrawnSurvey s(kMeeting);
  s.sample('a', "2024-04-10", kGood);
  s.sample('b', "2024-04-10", kPoor);
  s.sample('d', "2024-04-10", kFair);
  const auto drops = s.drops("2024-12-31");
  CHECK(s.said(drops) == "a>d 40, b>d -17");
  REQUIRE(drops[0].tributaries.size() == 1);
  CHECK(tributaries_text(s.builder.snapshot(), drops[0]) == "stroke 2, 200 m above d");
  CHECK(tributaries_text(s.builder.snapshot(), drops[1]) == "stroke 1, 200 m above d");
  CHECK_FALSE(says(drops[0], "unexplained"));
}

TEST_CASE("outfalls between the two are named with kind and distance, as far as they were in use that day") {
  DrawnSurvey s(kMeeting);
  s.builder.outfall("O1", OutfallKind::kStormSewage, s.river.beside('d', 0, 100));
  s.builder.outfall("O2", OutfallKind::kTrade, s.river.beside('d', 0, 100), "",
                    "2023-12-31");                                                 // closed before
  s.builder.outfall("O3", OutfallKind::kUnknown, s.river.beside('b', 100, -100));  // on the other branch
  s.builder.outfall("O4", OutfallKind::kTrade, s.river.beside('E', 0, 100));       // below both
  s.builder.outfall("O5", OutfallKind::kTrade, {-37, 41});                         // on no channel
  s.sample('a', "2024-04-10", kGood);
  s.sample('d', "2024-04-10", kFair);
  const auto drops = s.drops("2024-12-31");
  REQUIRE(drops.size() == 1);
  const std::string words = outfalls_text(s.builder.snapshot(), drops[0]);
  CHECK(words.find("O1 storm sewage, 100 m above d") != std::string::npos);
  CHECK(words.find("from the side") != std::string::npos);
  CHECK(words.find("O3 of unknown kind") < words.find("O1"));  // uppermost first
  for (const char* other : {"O2", "O4", "O5"}) CHECK(words.find(other) == std::string::npos);
}

TEST_CASE("an outfall above an assessed site on the tributary is that site's own affair") {
  DrawnSurvey s(kMeeting);
  s.builder.outfall("O1", OutfallKind::kTrade, s.river.at('b'));
  s.sample('a', "2024-04-10", kGood);
  s.builder.sample(s.site("b2", s.river.beside('b', -100, -100)), "2024-04-10", kPoor);
  s.sample('d', "2024-04-10", kFair);
  const auto drops = s.drops("2024-12-31");
  CHECK(s.said(drops) == "a>d 40, b2>d -17");
  CHECK(drops[0].outfalls.empty());
}

TEST_CASE("sites on two streams that no channel joins are never compared, nor is one off every channel") {
  DrawnSurvey s(R"(
   A     e
   |     |
   b     f
   |     |
   C     G
)");
  s.sample('A', "2024-04-10", kGood);
  s.sample('b', "2024-04-10", kFair);
  s.sample('e', "2024-04-10", kGood);
  s.sample('f', "2024-04-10", kPoor);
  s.builder.sample(s.site("pond", s.river.beside('b', 60, 0), WaterKind::kPond), "2024-04-10", kPoor);
  s.builder.sample(s.site("nowhere", kUnplaced), "2024-04-10", kPoor);
  CHECK(s.said(s.drops("2024-12-31")) == "e>f 57, A>b 40");
}

TEST_CASE(
    "samples of two seasons, too many days or two protocols apart are not compared, and the row says so") {
  DrawnSurvey s(kLine);
  SUBCASE("seasons") {
    s.sample('A', "2024-05-31", kGood);
    s.sample('b', "2024-06-01", kPoor);
  }
  SUBCASE("days") {
    s.sample('A', "2024-03-02", kGood);
    s.sample('b', "2024-04-02", kPoor);  // 31 days
  }
  SUBCASE("protocols") {
    s.sample('A', "2024-04-10", kGood);
    s.builder.protocol = "Surber";
    s.sample('b', "2024-04-10", kPoor);
  }
  const auto drops = s.drops("2024-12-31");
  REQUIRE(drops.size() == 1);
  CHECK(drops[0].pairs.empty());
  CHECK_FALSE(drops[0].is_worse());
  CHECK_FALSE(drops[0].since.has_value());
  CHECK(says(drops[0], "no two samples of one season and protocol within 30 days"));
}

TEST_CASE("thirty days apart in one season is a pair, and so is a protocol written otherwise or not at all") {
  DrawnSurvey s(kLine);
  s.sample('A', "2024-03-02", kGood);
  s.builder.protocol = "KICK";
  s.sample('b', "2024-04-01", kFair);
  s.builder.protocol = "";
  s.sample('c', "2024-04-02", kPoor);
  const auto drops = s.drops("2024-12-31");
  CHECK(s.said(drops) == "A>b 40, b>c 17");
  CHECK_FALSE(says(drops[0], "protocol"));
  CHECK(says(drops[1], "protocol of one of the two samples was not noted"));
}

TEST_CASE("in the south of the equator seasons are turned") {
  // 31 May and 1 June part autumn from winter there; 30 November and 1 December part spring from summer everywhere,
  // so a pair across a month's end inside one southern season must be found.
  SurveyBuilder b;
  Reach reach;
  reach.line = {{10, -30}, {10, -30.01}};
  b.reaches({reach});
  b.sample(b.site("A", WaterKind::kStream, {10, -30.001}), "2024-01-20", kGood);
  b.sample(b.site("B", WaterKind::kStream, {10, -30.005}), "2024-01-25", kPoor);
  const auto network = build_channels(b.snapshot().reaches);
  const auto drops = find_drops(b.snapshot(), score_samples(b.snapshot(), *find_method("bmwp-a")), 0, network,
                                *parse_date("2024-12-31"));
  REQUIRE(drops.size() == 1);
  REQUIRE(drops[0].newest() != nullptr);
  CHECK(drops[0].newest()->season == Season::kSummer);
}

TEST_CASE("each sample stands in one pair, the nearest days first, and the newest pair is the picture") {
  DrawnSurvey s(kLine);
  s.sample('A', "2023-04-10", kGood);
  s.sample('A', "2023-10-10", kFair);
  s.sample('A', "2024-04-20", kGood);
  s.sample('b', "2023-04-12", kGood);
  s.sample('b', "2023-10-01", kGood);
  s.sample('b', "2024-04-05", kFair);
  s.sample('b', "2024-04-19", kPoor);
  const auto drops = s.drops("2024-12-31");
  REQUIRE(drops.size() == 1);
  const Drop& d = drops[0];
  REQUIRE(d.pairs.size() == 3);  // the sample of 5 April 2024 has lost its partner to the one of the 19th
  CHECK(d.pairs[0].fall == 0.0);
  CHECK(d.pairs[1].fall == kFairScore - kGoodScore);
  CHECK(d.pairs[2].fall == kGoodScore - kPoorScore);
  CHECK(s.said(s.drops("2024-04-10")) == "A>b -40");  // on that day 2024 has no pair yet
  CHECK(s.said(s.drops("2023-06-01")) == "A>b 0");
}

TEST_CASE("a stretch is worse since the first pair from which on every later one loses a class") {
  DrawnSurvey s(kLine);
  // 2021 falls by one point of 60 (without the worms) and loses no class.
  const std::vector<Found> hardly(kGood.begin(), kGood.end() - 1);
  const std::vector<std::pair<std::string, std::vector<Found>>> below{{"2019-04-10", kFair},
                                                                      {"2020-04-10", kGood},
                                                                      {"2021-04-10", hardly},
                                                                      {"2022-04-10", kFair},
                                                                      {"2023-04-10", kFair}};
  for (const auto& [day, found] : below) s.sample('A', day, kGood);
  for (const auto& [day, found] : below) s.sample('b', day, found);
  const auto judged = [&](const char* until) {
    auto drops = s.drops(until);
    REQUIRE(drops.size() == 1);
    add_confidence(drops, s.builder.snapshot(), *find_method("bmwp-a"), 0);
    return drops[0];
  };
  const Drop now = judged("2023-12-31");
  CHECK(now.pairs[2].fall == 1.0);
  CHECK(now.since == parse_date("2022-04-10"));
  CHECK(now.worse_in_a_row == 2);
  CHECK(now.pairs.size() == 5);
  CHECK_FALSE(says(now, "as far back"));
  const Drop hair = judged("2021-12-31");  // presence only: nothing tells whether one point is chance
  CHECK(hair.is_worse());
  CHECK_FALSE(hair.since.has_value());
  CHECK(hair.worse_in_a_row == 0);
  CHECK(says(hair, "not clearly different: no class is lost, and there is no interval"));
  CHECK_FALSE(judged("2020-12-31").since.has_value());
  const Drop first = judged("2019-12-31");
  CHECK(first.since == parse_date("2019-04-10"));
  // One comparison goes back nowhere.
  CHECK(first.pairs.size() == 1);
  CHECK(says(first, "there is no other comparison"));
  CHECK_FALSE(says(first, "as far back"));
}

TEST_CASE(
    "within one class, and by a metric without classes, a fall counts once its whole interval lies above 0") {
  DrawnSurvey s(kLine);
  // Mayflies, stoneflies, caddisflies: six families of forty animals, of which no draw loses one, against two.
  const auto tray = [](std::initializer_list<const char*> names, int each) {
    std::vector<Found> found;
    for (const char* name : names) found.push_back(n(name, each));
    return found;
  };
  const auto rich =
      tray({"Heptageniidae", "Leuctridae", "Perlidae", "Ephemeridae", "Baetidae", "Caenidae"}, 40);
  const auto bare = tray({"Baetidae", "Caenidae"}, 40);
  // Six again, of which the second half are single animals: lost in about a third of the draws each, so that three
  // families fewer below would be no surprise, and one fewer says nothing.
  auto chancy = tray({"Heptageniidae", "Leuctridae", "Perlidae"}, 40);
  for (const char* name : {"Ephemeridae", "Baetidae", "Caenidae"}) chancy.push_back(n(name, 1));
  auto fewer = chancy;
  fewer.pop_back();
  s.sample('A', "2021-04-10", chancy);
  s.sample('A', "2022-04-10", rich);
  s.sample('A', "2023-04-10", rich);
  s.sample('b', "2021-04-10", fewer);
  s.sample('b', "2022-04-10", bare);
  s.sample('b', "2023-04-10", bare);
  const Method& ept = *find_method("ept-richness");
  auto drops = s.drops("2023-12-31", "ept-richness");
  REQUIRE(drops.size() == 1);
  CHECK(drops[0].pairs[0].fall == 1.0);
  CHECK(drops[0].pairs[1].fall == 4.0);
  add_confidence(drops, s.builder.snapshot(), ept, 0);
  CHECK(drops[0].since == parse_date("2022-04-10"));
  CHECK(drops[0].worse_in_a_row == 2);
  CHECK(says(drops[0], "any fall"));  // forty of each kind: drawing them again says nothing
  auto then = s.drops("2021-12-31", "ept-richness");
  add_confidence(then, s.builder.snapshot(), ept, 0);
  CHECK_FALSE(then[0].since.has_value());
  CHECK(says(then[0], "not clearly different: the interval reaches 0"));
  CHECK(then[0].confidence->rests_on.find("counting error only") == 0);
  CHECK(then[0].confidence->rests_on.find("the interval is too narrow") != std::string::npos);
  CHECK(then[0].confidence->rests_on.find("counting error", 1) == std::string::npos);  // of both samples once
}

TEST_CASE("without classes and without numbers any fall counts, and the row says so") {
  DrawnSurvey s(kLine);
  s.sample('A', "2024-04-10", kGood);
  s.sample('b', "2024-04-10", kFair);
  auto drops = s.drops("2024-12-31", "ept-richness");
  add_confidence(drops, s.builder.snapshot(), *find_method("ept-richness"), 0);
  CHECK(drops[0].since == parse_date("2024-04-10"));
  CHECK(says(drops[0], "no interval, so any fall counts as worse"));
}

TEST_CASE("a sample outside the method's scope and one grown old do not part two sites") {
  DrawnSurvey s(R"(
   A
   |
   b
   |
   c
   |
   d
   |
   E
)");
  s.sample('A', "2024-04-10", kGood);
  s.sample('E', "2024-04-10", kFair);
  s.builder.sample(s.site('b', WaterKind::kDitch), "2024-04-10", kPoor);  // may stand or flow: out of scope
  s.sample('c', "2022-04-09", kPoor);                                     // 732 days before the day asked for
  s.sample('d', "2024-04-10", kPoor, SampleKind::kBlank);
  CHECK(s.said(s.drops("2024-04-10")) == "A>E 40");
  CHECK(s.said(s.drops("2022-04-10")).empty());  // one site alone
}

TEST_CASE("a collapse below comes first and has no fall to show; above it says so") {
  DrawnSurvey s(kLine);
  s.sample('A', "2024-04-10", kGood);
  s.sample('b', "2024-04-10", kPoor);
  s.sample('c', "2024-04-10", {absent("Baetidae")});
  s.sample('D', "2024-04-10", kPoor);
  auto drops = s.drops("2024-12-31");
  add_confidence(drops, s.builder.snapshot(), *find_method("bmwp-a"), 0);
  CHECK(s.said(drops) == "b>c ?, A>b 57, c>D ?");
  CHECK(drops[0].is_worse());
  CHECK(says(drops[0], "a collapse at c"));
  CHECK(drops[0].since == parse_date("2024-04-10"));
  CHECK_FALSE(drops[2].since.has_value());
  CHECK_FALSE(drops[2].is_worse());
  CHECK(says(drops[2], "a collapse at c"));
}

TEST_CASE("where a low value is good, a rise of the index is the fall") {
  // Family biotic index by hand, tolerance values as in Hilsenhoff 1988: Baetidae 4, Chironomidae 6 (other than
  // blood-red). 100 animals of one family have that value: 4 above, 6 below.
  DrawnSurvey s(kLine);
  s.sample('A', "2024-04-10", {n("Baetidae", 120)});
  s.sample('b', "2024-04-10", {n("Chironomidae", 120)});
  const auto drops = s.drops("2024-12-31", "family-biotic-index");
  REQUIRE(drops.size() == 1);
  REQUIRE(drops[0].newest() != nullptr);
  REQUIRE(drops[0].newest()->fall.has_value());
  CHECK(near(*drops[0].newest()->fall, 2, 1e-12));
  CHECK(drops[0].is_worse());
}

TEST_CASE("a method without classes has falls without classes, also from presence alone") {
  DrawnSurvey s(kLine);
  s.sample('A', "2024-04-10", kGood);
  s.sample('b', "2024-04-10", kFair);
  const auto drops = s.drops("2024-12-31", "ept-richness");
  // Mayflies, stoneflies, caddisflies: Heptageniidae, Leuctridae, Perlidae, Ephemeridae, Rhyacophilidae, Baetidae; 6
  // above, and Rhyacophilidae and Baetidae below.
  CHECK(s.said(drops) == "A>b 4");
  CHECK(drops[0].newest()->rank_up == 0);
  CHECK(drops[0].newest()->rank_down == 0);
}

TEST_CASE("two sites on one spot are one place: their samples go together") {
  DrawnSurvey s(kLine);
  s.sample('A', "2024-04-10", kGood);
  s.builder.sample(s.site("b left", s.river.beside('b', -20, 0)), "2023-10-10", kGood);
  s.builder.sample(s.site("b right", s.river.beside('b', 20, 0)), "2024-04-12", kFair);
  s.sample('c', "2023-10-10", kPoor);
  const auto drops = s.drops("2024-12-31");
  CHECK(s.said(drops) == "b left>c 57, A>b right 40");
}

TEST_CASE("a replicate stands in for a routine sample only where that day has none") {
  DrawnSurvey s(kLine);
  s.sample('A', "2024-04-10", kPoor, SampleKind::kReplicate);
  s.sample('A', "2024-04-10", kGood);
  s.sample('b', "2024-04-10", kFair);
  s.sample('b', "2024-04-10", kPoor, SampleKind::kReplicate);
  const auto drops = s.drops("2024-12-31");
  CHECK(s.said(drops) == "A>b 40");
  CHECK(drops[0].pairs.size() == 1);
}

TEST_CASE("on a circle of channels each of two sites is below the other, and both rows say so") {
  DrawnSurvey s(R"(
     B-->--C
     |     |
     a     d
     ^     |
     F--<--E
)");
  s.sample('a', "2024-04-10", kGood);
  s.sample('d', "2024-04-10", kPoor);
  const auto drops = s.drops("2024-12-31");
  REQUIRE(drops.size() == 2);
  for (const Drop& d : drops) CHECK(says(d, "circle"));
}

TEST_CASE("without channels, without samples, or with one site there is nothing to compare") {
  DrawnSurvey none(kLine);
  CHECK(none.drops("2024-12-31").empty());
  none.sample('A', "2024-04-10", kGood);
  CHECK(none.drops("2024-12-31").empty());
  DrawnSurvey dry("");
  dry.builder.sample(dry.site("A", {-38, 40}), "2024-04-10", kGood);
  dry.builder.sample(dry.site("B", {-38, 40.001}), "2024-04-10", kPoor);
  CHECK(dry.drops("2024-12-31").empty());
}

TEST_CASE("a site moved far to its channel is said to have been moved") {
  DrawnSurvey s(kLine);
  s.sample('A', "2024-04-10", kGood);
  s.builder.sample(s.site("far", s.river.beside('b', 80, 0)), "2024-04-10", kPoor);
  const auto drops = s.drops("2024-12-31");
  REQUIRE(drops.size() == 1);
  CHECK(says(drops[0], "far was moved 80 m to the channel"));
}

TEST_CASE("the fall of two samples is drawn draw by draw") {
  // By hand: falls 3, -1, 0, 4 in order -1, 0, 3, 4. Above 0: two of four, and one is 0, which counts half. Halfway
  // between the quantiles of level 0 both ends are the median, 1.5; of level 1 they are the least and the greatest.
  const std::vector<double> up{5, 2, 3, 9}, down{2, 3, 3, 5};
  const auto median = fall_confidence(up, down, true, 0, false);
  REQUIRE(median.has_value());
  CHECK(median->probability == 0.625);
  CHECK(median->low == 1.5);
  CHECK(median->high == 1.5);
  const auto all = fall_confidence(up, down, true, 1, false);
  CHECK(all->low == -1);
  CHECK(all->high == 4);
  const auto turned = fall_confidence(up, down, false, 1, false);
  CHECK(turned->probability == 0.375);  // of 1, 0, -3, -4 one and a half
  // A draw without a value is left out, and without any there is nothing.
  const double kNone = std::numeric_limits<double>::quiet_NaN();
  CHECK(fall_confidence(std::vector{kNone, 4.0}, std::vector{1.0, 1.0}, true, 0.9, true)->probability == 1);
  CHECK_FALSE(fall_confidence(std::vector{kNone}, std::vector{1.0}, true, 0.9, true).has_value());
  CHECK_FALSE(fall_confidence({}, down, true, 0.9, true).has_value());
}

TEST_CASE("falls drawn to one side of their mean are moved so that the middle one is the mean") {
  // By hand: falls 1, 1, 1, -3 with mean 0 and middle 1. Moved by -1 they are 0, 0, 0, -4: none above 0, three ties.
  const std::vector<double> up{1, 1, 1, -3}, down{0, 0, 0, 0};
  const auto found = fall_confidence(up, down, true, 1, true);
  CHECK(found->low == -4);
  CHECK(found->high == 0);
  CHECK(found->probability == 0.375);
  CHECK(fall_confidence(up, down, true, 1, false)->probability == 0.75);
  // Rounding leaves no side to what is equal: 0.1 + 0.2 and 0.3.
  const std::vector<double> dust(7, 0.1 + 0.2), three(7, 0.3);
  CHECK(fall_confidence(dust, three, true, 0.9, true)->probability == 0.5);
}

TEST_CASE("counted animals give the fall an interval and a probability, presence alone none and says why") {
  DrawnSurvey s(kLine);
  const std::vector<Found> good{n("Heptageniidae", 40), n("Leuctridae", 40), n("Perlidae", 1),
                                n("Baetidae", 40)};
  s.sample('A', "2024-04-10", good);                                           // 10 + 10 + 10 + 4
  s.sample('b', "2024-04-10", {n("Chironomidae", 80), n("Oligochaeta", 80)});  // 2 + 1
  s.sample('c', "2024-04-10", {present("Oligochaeta")});
  s.sample('D', "2024-04-10", {present("Oligochaeta")});
  auto drops = s.drops("2024-12-31");
  CHECK(s.said(drops) == "A>b 31, b>c 2, c>D 0");
  add_confidence(drops, s.builder.snapshot(), *find_method("bmwp-a"), 0);
  REQUIRE(drops[0].confidence.has_value());
  // Only the one Perlidae may be lost from a draw, and that takes 10 of 31 away: worse below in every draw.
  CHECK(near(drops[0].confidence->probability, 1, 1e-12));
  CHECK(drops[0].confidence->low <= 31);
  CHECK(drops[0].confidence->high >= 31);
  for (const std::size_t i : {1U, 2U}) {
    CHECK_FALSE(drops[i].confidence.has_value());
    CHECK(says(drops[i], "no probability"));
  }
}

TEST_CASE("two samples of one and the same tray fall by chance alone: about as often as not") {
  // Means over many animals: the index of a draw is as often above as below, and ties are rare.
  DrawnSurvey s(kLine);
  const std::vector<Found> tray{n("Baetidae", 70), n("Chironomidae", 60), n("Simuliidae", 50),
                                n("Asellidae", 40)};
  s.sample('A', "2024-04-10", tray);
  s.sample('b', "2024-04-10", tray);
  auto drops = s.drops("2024-12-31", "family-biotic-index");
  REQUIRE(drops.size() == 1);
  add_confidence(drops, s.builder.snapshot(), *find_method("family-biotic-index"), 0, {.draws = 4000});
  REQUIRE(drops[0].confidence.has_value());
  // Standard error of a half over 4,000 draws: 0.008. Five of them.
  CHECK(near(drops[0].confidence->probability, 0.5, 0.04));
  CHECK(drops[0].confidence->low < 0);
  CHECK(drops[0].confidence->high > 0);
  // The same seed, the same answer.
  auto again = s.drops("2024-12-31", "family-biotic-index");
  add_confidence(again, s.builder.snapshot(), *find_method("family-biotic-index"), 0, {.draws = 4000});
  CHECK(again[0].confidence->low == drops[0].confidence->low);
}

TEST_CASE(
    "a sum of scores of two like samples has a probability near a half too, and equal sums of two trays") {
  // Single animals are lost from a draw more often than not made up for: draws of a sum lean to one side of it.
  DrawnSurvey s(kLine);
  std::vector<Found> tray{n("Chironomidae", 40), n("Gammaridae", 30)};
  for (const char* name :
       {"Heptageniidae", "Leuctridae", "Perlidae", "Ephemeridae", "Baetidae", "Oligochaeta"})
    tray.push_back(n(name, 1));
  // The same sum in other hands: one of its families of 10 points stands twenty animals strong.
  std::vector<Found> surer = tray;
  surer[2] = n("Heptageniidae", 20);
  s.sample('A', "2024-04-10", tray);
  s.sample('b', "2024-04-10", tray);
  s.sample('c', "2024-04-10", surer);
  auto drops = s.drops("2024-12-31");
  CHECK(s.said(drops) == "A>b 0, b>c 0");
  add_confidence(drops, s.builder.snapshot(), *find_method("bmwp-a"), 0, {.draws = 4000});
  for (const Drop& drop : drops) {
    REQUIRE(drop.confidence.has_value());
    // Like samples: 0.008 is one standard error. Unlike ones: the two leanings differ by a few hundredths.
    CHECK(near(drop.confidence->probability, 0.5, drop.up.value() == 0 ? 0.04 : 0.1));
    CHECK(drop.confidence->low < 0);
    CHECK(drop.confidence->high > 0);
    CHECK(
        near(drop.confidence->low, -drop.confidence->high, 10));  // centred: one family of ten points at most
  }
}

TEST_CASE("the loss of more classes stands before a greater fall between two rich waters") {
  // Sums by hand: kGood 60, with Sericostomatidae 10 and Hydropsychidae 5 is 75; with eight families of 10 more, 155.
  // Class bands A (core/reference/methods/bmwp-a.bands.csv): Excellent from 85, Good 70 to 84, seriously polluted
  // below 15. So 155 to 75 loses 80 points and one class, and 75 to 3 loses 72 points and three.
  DrawnSurvey s(kLine);
  std::vector<Found> second = kGood;
  for (const char* name : {"Sericostomatidae", "Hydropsychidae"}) second.push_back(present(name));
  std::vector<Found> first = second;
  for (const char* name : {"Taeniopterygidae", "Capniidae", "Chloroperlidae", "Leptophlebiidae",
                           "Aphelocheiridae", "Goeridae", "Lepidostomatidae", "Brachycentridae"})
    first.push_back(present(name));
  s.sample('A', "2024-04-10", first);
  s.sample('b', "2024-04-10", second);
  s.sample('c', "2024-04-10", kPoor);
  const auto drops = s.drops("2024-12-31");
  CHECK(s.said(drops) == "b>c 72, A>b 80");
  CHECK(drops[0].newest()->rank_down - drops[0].newest()->rank_up == 3);
  CHECK(drops[1].newest()->rank_down - drops[1].newest()->rank_up == 1);
}
