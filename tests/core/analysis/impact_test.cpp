// The permutation tests themselves are checked in permutation_test.cpp; here the pairs, the refusals and the words.
#include "core/analysis/impact.hpp"

#include <doctest/doctest.h>

#include "core/base/error.hpp"
#include "tests/core/intake/small_survey.hpp"
#include "tests/support/near.hpp"

namespace core = brookmark::core;
namespace test = brookmark::test;
using test::near;

namespace {

core::Date day(const std::string& text) {
  return core::parse_date(text).value();
}

bool says(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

const core::SiteIndex kControl(0), kImpact(1);

struct Pairs {
  core::SiteValues values;
  Pairs() {
    values.way_word = "sampling protocol";
    values.higher_is_better = true;
  }
  void control(const std::string& date, double value, const std::string& way = "kick") {
    values.values.push_back({kControl, day(date), value, way});
  }
  void impact(const std::string& date, double value, const std::string& way = "kick") {
    values.values.push_back({kImpact, day(date), value, way});
  }
  // One pair a year, on one day, with this difference; the control goes up and down with the years.
  void years(int first, const std::vector<double>& differences, const std::string& way = "kick") {
    for (std::size_t i = 0; i < differences.size(); ++i) {
      const int year = first + static_cast<int>(i);
      const double base = 80 + 10 * (year % 3);
      control(std::to_string(year) + "-05-01", base, way);
      impact(std::to_string(year) + "-05-01", base + differences[i], way);
    }
  }
  core::Impact judged(const std::string& event, int days = core::kMostDaysApart) const {
    return core::assess_impact(values, kControl, kImpact, {.event = day(event), .most_days_apart = days});
  }
};

}  // namespace

// SciPy 1.10 permutation_test of these two groups, all 462 arrangements: difference -1.07, p 0.012987012987012988.
TEST_CASE("the change of the difference is that of a permutation test of the differences") {
  Pairs p;
  p.years(2001, {2.1, 1.8, 2.6, 2.2, 1.9});
  p.years(2006, {1.1, 0.4, 1.9, 1.2, 0.7, 1.0});
  const core::Impact i = p.judged("2006-01-01");
  CHECK(i.before == 5);
  CHECK(i.after == 6);
  CHECK(near(i.mean_before.value(), 2.12, 1e-9));
  CHECK(near(i.mean_after.value(), 1.05, 1e-9));
  REQUIRE(i.change.has_value());
  CHECK(near(i.change->statistic, -1.07, 1e-9));
  CHECK(near(i.change->p, 0.012987012987012988, 1e-12));
  CHECK(i.change->arrangements == 462);
  CHECK(i.change->low.value() < -1.07);
  CHECK(i.change->high.value() < 0);
  REQUIRE(i.against_none.has_value());
  CHECK(near(i.against_none->p, 2.0 / 64, 1e-12));  // all six differences above zero
  CHECK(i.words ==
        "the difference is lower after 2006-01-01 than before, for the worse (p = 0.013); that it changed on "
        "that "
        "day is not shown");
  CHECK(says(i.note, "samples of one site follow each other and are not independent, so p may be too small"));
}

TEST_CASE("a day beside the true one divides the values nearly as well, so no day is claimed") {
  Pairs p;  // the fall is in 2006
  p.years(2001, {2.1, 1.8, 2.6, 2.2, 1.9});
  p.years(2006, {-8.9, -9.6, -8.1, -8.8, -9.3, -9.0});
  for (const char* wrong : {"2005-01-01", "2006-01-01", "2007-01-01"}) {
    const core::Impact i = p.judged(wrong);
    CHECK(i.change.value().p < 0.05);
    CHECK(says(i.words, std::string("lower after ") + wrong + " than before"));
    CHECK(says(i.words, "that it changed on that day is not shown"));
  }
}

TEST_CASE("a bad year at both sites is no impact") {
  Pairs p;
  p.years(2001, {1, -1, 2, 0, -2});
  for (int year = 2006; year <= 2010; ++year) {  // everything is 40 lower, above and below
    p.control(std::to_string(year) + "-05-01", 40 + year % 3);
    p.impact(std::to_string(year) + "-05-01", 40 + year % 2);
  }
  const core::Impact i = p.judged("2006-01-01");
  CHECK(i.change->p > 0.05);
  CHECK(i.words == "no change of the difference shown");
}

TEST_CASE("too few pairs are refused, with the smallest p they allow") {
  Pairs p;
  p.years(2001, {2, 3, 2});
  p.years(2004, {-5, -6, -7});
  const core::Impact i = p.judged("2004-01-01");
  CHECK_FALSE(i.change.has_value());
  CHECK(says(i.change_why_not,
             "3 pairs before and 3 pairs after are too few: the smallest p they allow is 0.100"));
  CHECK_FALSE(i.against_none.has_value());
  CHECK(says(i.against_none_why_not, "0.250"));
  CHECK(i.words == "no answer");
  CHECK(i.mean_before.has_value());  // the means are no test, and are told
  Pairs none;
  CHECK(says(none.judged("2004-01-01").change_why_not, "nothing to compare"));
}

TEST_CASE(
    "without pairs before, the difference after is still judged, and nothing is blamed on the way of "
    "sampling") {
  Pairs p;
  p.years(2001, {-5, -6, -7, -5, -6, -7, -8});
  const core::Impact i = p.judged("2000-01-01");
  CHECK_FALSE(i.change.has_value());
  CHECK(near(i.against_none.value().p, 2.0 / 128, 1e-12));
  CHECK(i.note.empty());
}

TEST_CASE("the fewest pairs that serve are those that are named") {
  for (const auto& [before, after, serves] : {std::tuple{4, 4, true},
                                              {3, 5, true},
                                              {2, 8, true},
                                              {1, 39, true},
                                              {3, 4, false},
                                              {2, 7, false},
                                              {1, 38, false}}) {
    Pairs p;
    p.years(2000 - before, std::vector<double>(static_cast<std::size_t>(before), 1.0));
    p.years(2000, std::vector<double>(static_cast<std::size_t>(after), 2.0));
    CAPTURE(before);
    CAPTURE(after);
    CHECK(p.judged("2000-01-01").change.has_value() == serves);
  }
}

TEST_CASE(
    "pairs are nearest in time, each value once, within the days, the season and the side of the event") {
  Pairs p;
  p.control("2001-05-01", 80);
  p.control("2001-05-08", 81);
  p.impact("2001-05-07", 70);   // nearest to the 8th
  p.impact("2001-05-20", 71);   // 12 days from the 8th, which is taken; 19 from the 1st: alone
  p.control("2001-06-10", 82);  // summer
  p.impact("2001-08-30", 72);   // too far
  p.control("2001-11-29", 83);
  p.impact("2001-12-02", 73);  // winter: another season
  p.control("2002-04-10", 84);
  p.impact("2002-04-12", 74);  // the event lies between
  const core::Impact i = p.judged("2002-04-11");
  REQUIRE(i.pairs.size() == 1);
  CHECK(i.pairs[0].control == 81);
  CHECK(i.pairs[0].impact == 70);
  CHECK(i.pairs[0].difference() == -11);
  CHECK_FALSE(i.pairs[0].after);
  CHECK(says(i.note, "8 days at one site without the other within 14 days"));
  CHECK(p.judged("2002-04-11", 30).pairs.size() == 2);
  CHECK(p.judged("2002-04-11", 0).pairs.empty());
}

TEST_CASE("the day of the event belongs to after") {
  Pairs p;
  p.years(2001, {1});
  CHECK(p.judged("2001-05-01").after == 1);
  CHECK(p.judged("2001-05-02").before == 1);
}

TEST_CASE("a pair needs one way of sampling, and a change of it at the event is not taken for the event's") {
  Pairs p;
  p.control("2001-05-01", 80, "kick");
  p.impact("2001-05-01", 70, "sweep");
  CHECK(p.judged("2002-01-01").pairs.empty());
  Pairs changed;
  changed.years(2001, {1, 2, 1, 2, 1}, "kick");
  changed.years(2006, {-9, -8, -9, -8, -9}, "sweep");
  const core::Impact i = changed.judged("2006-01-01");
  CHECK_FALSE(i.change.has_value());
  CHECK(says(i.note,
             "10 pairs taken in a way that is not there both before and after do not enter the change"));
}

TEST_CASE("several values of one day are their median, and several pairs of a season are warned of") {
  Pairs p;
  p.years(2001, {1, 2, 1, 2});
  p.years(2005, {1, 2, 1, 2});
  p.impact("2001-05-01", 500);  // a replicate: the median of 81 + ... and 500
  const core::Impact i = p.judged("2005-01-01");
  CHECK(i.pairs.size() == 8);
  CHECK(i.pairs[0].impact > 200);
  CHECK_FALSE(says(i.note, "several pairs"));
  p.control("2001-05-20", 80);
  p.impact("2001-05-20", 80);
  CHECK(says(p.judged("2005-01-01").note, "some seasons have several pairs"));
}

TEST_CASE("equal values show no change") {
  Pairs p;
  p.years(2001, {0, 0, 0, 0});
  p.years(2005, {0, 0, 0, 0});
  const core::Impact i = p.judged("2005-01-01");
  CHECK(i.change->p == 1);
  CHECK(i.words == "no change of the difference shown");
}

TEST_CASE("a site is not its own control, and days apart are not negative") {
  const Pairs p;
  CHECK_THROWS_AS(core::assess_impact(p.values, kControl, kControl, {}), brookmark::Error);
  CHECK_THROWS_AS(p.judged("2001-01-01", -1), brookmark::Error);
}

TEST_CASE("whether the sites lie as they should to the outfall is said") {
  core::Snapshot s = test::small_survey();  // S1 at 10.00 E, S2 at 10.01 E
  s.reaches.push_back({"r", "Beck", {{9.995, 60.0}, {10.015, 60.0}}});
  const auto outfall = [](const char* code, double lon) {
    core::Outfall one;
    one.key = one.code = code;
    one.position = {lon, 60.0};
    return one;
  };
  s.outfalls = {outfall("above", 9.997), outfall("below", 10.013), outfall("between", 10.005)};
  const core::ChannelNetwork network = core::build_channels(s.reaches);
  const auto said = [&](std::size_t which) {
    return core::impact_setting(s, network, kControl, kImpact, core::OutfallIndex(which));
  };
  CHECK(said(2).empty());
  CHECK(core::impact_setting(s, network, kControl, kImpact).empty());
  CHECK(core::impact_setting(s, network, kImpact, kControl) ==
        "S2 lies downstream of S1: control and impact seem to be reversed");
  CHECK(says(core::impact_setting(s, network, kImpact, kControl, core::OutfallIndex(2)),
             "S2 lies downstream of S1: control and impact seem to be reversed; by channel between does not "
             "drain to S1"));
  CHECK(says(said(0), "above drains to S1 too, so that is no control"));
  CHECK(says(said(1), "below does not drain to S2 (downstream)"));
}

TEST_CASE("a control on another water, another branch, off the channel or without a position is warned of") {
  core::Snapshot s = test::small_survey();  // S1 at 10.00 E, S2 at 10.01 E
  const auto said = [&] {
    return core::impact_setting(s, core::build_channels(s.reaches), kControl, kImpact);
  };
  CHECK(says(said(), "it is not known whether S1 lies upstream of S2: S1 is on no channel"));
  s.reaches.push_back({"a", "Beck", {{9.998, 60.0}, {10.002, 60.0}}});
  s.reaches.push_back({"b", "Burn", {{10.008, 60.0}, {10.012, 60.0}}});
  CHECK(says(said(), "no channel joins S1 and S2, so S1 may be on another water"));
  s.reaches.push_back({"c", "River", {{10.012, 60.0}, {10.012, 59.99}}});
  s.reaches.push_back({"d", "Brook", {{10.002, 60.0}, {10.002, 59.99}, {10.012, 59.99}}});
  CHECK(says(said(), "S1 does not lie upstream of S2 but on another branch"));
  s.sites.position[0] = core::kUnplaced;
  CHECK(says(said(), "S1 has no position"));
}
