// From a survey's values to rows of trends: bringing down, splitting, refusing, and the words. The tests themselves are
// checked in trend_test.cpp and trend_reference_test.cpp.
#include "core/analysis/survey_trends.hpp"

#include <doctest/doctest.h>

#include <numeric>

#include "core/base/csv.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "tests/core/intake/small_survey.hpp"
#include "tests/core/scoring/survey_builder.hpp"
#include "tests/support/files.hpp"
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

// Values at two sites, S1 and S2 in catchment C1.
struct Series {
  core::Snapshot survey = test::small_survey();
  core::SiteValues values;

  Series() {
    values.of = "bmwp";
    values.way_word = "sampling protocol";
    values.higher_is_better = true;
  }
  void add(const std::string& date, double value, const std::string& way = "kick", std::size_t site = 0) {
    values.values.push_back({core::SiteIndex(site), day(date), value, way});
  }
  // Once a year, in June.
  void add_years(int first, const std::vector<double>& list, std::size_t site = 0) {
    for (std::size_t i = 0; i < list.size(); ++i)
      add(std::to_string(first + static_cast<int>(i)) + "-06-15", list[i], "kick", site);
  }
  std::vector<core::TrendRow> trends(const core::SurveyTrendOptions& options = {},
                                     std::size_t site = 0) const {
    const std::vector<core::SiteIndex> sites{core::SiteIndex(site)};
    return core::site_trends(survey, values, sites, options);
  }
  core::TrendRow only(const core::SurveyTrendOptions& options = {}) const {
    const auto rows = trends(options);
    REQUIRE(rows.size() == 1);
    return rows[0];
  }
  std::vector<core::TrendRow> catchment(const core::SurveyTrendOptions& options = {}) const {
    const std::vector<core::CatchmentIndex> all{core::CatchmentIndex(0)};
    return core::catchment_trends(survey, values, core::nest_catchments(survey), all, options);
  }
};

}  // namespace

TEST_CASE("seasons are counted from December on") {
  CHECK(core::season_number(day("2023-12-01")) == core::season_number(day("2024-02-29")));
  CHECK(core::season_number(day("2023-11-30")) == core::season_number(day("2023-12-01")) - 1);
  CHECK(core::season_number(day("2024-03-01")) == core::season_number(day("2024-02-29")) + 1);
  CHECK(core::season_number(day("2024-01-15")) / 4 == 2024);
}

// tests/reference/trend: S -1387, z -4.12806652284, slope -2.6 a year.
TEST_CASE("a value a year gives the published trend of the Nile, per year") {
  Series series;
  const core::Table table = core::read_csv_file(test::reference("trend/series_Nile.csv"));
  for (const core::TableRow& row : table.rows) series.add(row.cells[0] + "-07-01", std::stod(row.cells[1]));
  for (const auto step : {core::TrendStep::kSeason, core::TrendStep::kYear}) {
    const core::TrendRow row = series.only({.step = step});
    CHECK(row.n == 100);
    CHECK(row.test->s == -1387);
    CHECK(near(row.test->z, -4.12806652284, 1e-10));
    CHECK(near(row.test->slope.value(), -2.6, 1e-12));
    CHECK(row.answer == core::TrendAnswer::kFalling);
    CHECK(row.words == "falling, for the worse (p < 0.05)");
    CHECK(row.season_method == "none");
    CHECK(row.first == day("1871-07-01"));
    CHECK(row.last == day("1970-07-01"));
  }
  // By days a year is 365 or 366 of them.
  CHECK(near(series.only({.step = core::TrendStep::kDay}).test->slope.value(), -2.6, 0.002));
}

// tests/reference/trend: S 8874, var S 82004 and, with covariance, 983665.333333; slope 1.335 a year.
TEST_CASE("a value a month gives the published seasonal trend, without and with covariance") {
  Series series;
  const core::Table table = core::read_csv_file(test::reference("trend/series_co2_seasonal.csv"));
  for (const core::TableRow& row : table.rows)
    series.add(row.cells[0] + (row.cells[1].size() == 1 ? "-0" : "-") + row.cells[1] + "-15",
               std::stod(row.cells[2]));
  const auto rows = series.trends({.groups = core::TrendGroups::kMonths});
  REQUIRE(rows.size() == 2);
  CHECK(rows[0].season_method == "months");
  CHECK(rows[1].season_method == "months, covariance");
  for (const auto& row : rows) {
    CHECK(row.n == 468);
    CHECK(row.test->s == 8874);
    CHECK(near(row.test->slope.value(), 1.335, 1e-10));
  }
  CHECK(near(rows[0].test->var_s, 82004, 1e-6));
  CHECK(near(rows[1].test->var_s, 983665.333333, 1e-6));
}

TEST_CASE("several samples of one season of a year are one median, and that is said") {
  Series series;
  for (int year = 2001; year <= 2005; ++year) {
    const std::string y = std::to_string(year);
    series.add(y + "-04-01", year);
    series.add(y + "-04-20", year + 100);
    series.add(y + "-05-30", year + 1);
  }
  const core::TrendRow row = series.only();
  CHECK(row.n == 5);
  CHECK(row.test->slope.value() == 1);  // the median is year + 1
  CHECK(says(row.note, "5 medians of 15 values, one each season of a year"));
  CHECK(series.only({.step = core::TrendStep::kDay}).n == 15);
}

TEST_CASE("the days of one winter are one season, though they lie in two years") {
  Series series;
  for (int year = 2001; year <= 2004; ++year) {
    series.add(std::to_string(year) + "-12-20", year);
    series.add(std::to_string(year + 1) + "-01-10", year + 0.5);
  }
  CHECK(series.only().n == 4);
}

TEST_CASE("several values of one day come down to one") {
  Series series;
  for (int year = 2001; year <= 2004; ++year)
    for (const double extra : {0.0, 1.0}) series.add(std::to_string(year) + "-06-01", year + extra);
  const core::TrendRow row = series.only({.step = core::TrendStep::kDay});
  CHECK(row.n == 4);
  CHECK(row.test->s == 6);
}

TEST_CASE("a change of protocol splits the series and says so") {
  Series series;
  for (int year = 2001; year <= 2005; ++year)
    series.add(std::to_string(year) + "-06-01", 50 - year % 10, "kick");
  for (int year = 2006; year <= 2010; ++year)
    series.add(std::to_string(year) + "-06-01", 90 + year % 10, "sweep");
  const auto rows = series.trends();
  REQUIRE(rows.size() == 2);
  for (const auto& row : rows) {
    CHECK(row.n == 5);
    CHECK(says(row.note,
               "the sampling protocol changed (\"kick\" 2001-06-01 to 2005-06-01, \"sweep\" 2006-06-01 to "
               "2010-06-01): each is a series of its own"));
  }
  CHECK(rows[0].way == "kick");
  CHECK(rows[0].answer == core::TrendAnswer::kFalling);  // five values in a row: exact p 2/120
  CHECK(rows[1].way == "sweep");
}

TEST_CASE("fewer than four values have no trend, and the reason") {
  Series series;
  series.add_years(2001, {3, 2, 1});
  const core::TrendRow row = series.only();
  CHECK(row.n == 3);
  CHECK_FALSE(row.test.has_value());
  CHECK(row.answer == core::TrendAnswer::kNoAnswer);
  CHECK(says(row.note, "too few: 3 values, fewer than 4"));
  Series one_day;
  one_day.add("2001-06-01", 3);
  CHECK(says(one_day.only().note, "too few: 1 value,"));
  CHECK(says(Series{}.only().note, "no values"));
}

TEST_CASE("four values cannot show a trend, and are told so") {
  Series series;
  series.add_years(2001, {4, 3, 2, 1});
  const core::TrendRow row = series.only();
  CHECK(row.test->s == -6);
  CHECK(row.answer == core::TrendAnswer::kNone);
  CHECK(row.words == "no trend shown");
  CHECK(says(row.note, "even a steady rise has p = 0.083"));
}

TEST_CASE("equal values show no trend") {
  Series series;
  series.add_years(2001, {7, 7, 7, 7, 7, 7});
  const core::TrendRow row = series.only();
  CHECK(row.answer == core::TrendAnswer::kNone);
  CHECK(says(row.note, "all values are equal"));
  CHECK(row.test->slope.value() == 0);
}

TEST_CASE("by season a spring is never compared with an autumn") {
  Series series;
  for (int year = 2001; year <= 2006; ++year) {
    series.add(std::to_string(year) + "-04-01", 100 + year);
    series.add(std::to_string(year) + "-10-01", year - 2000);
  }
  const auto rows = series.trends({.groups = core::TrendGroups::kSeasons});
  REQUIRE(rows.size() == 2);
  CHECK(rows[0].test->s == 30);  // 15 rises in each season
  CHECK(rows[0].season_method == "seasons");
  CHECK(rows[0].answer == core::TrendAnswer::kRising);
  CHECK(says(rows[1].note, "covariance from 6 years is uncertain: ten are wanted"));
  // Both seasons say the same, so together they say less than two independent ones.
  CHECK(rows[1].test->var_s > rows[0].test->var_s);
  // Six years are too few for the covariance; here it is the more careful all the same.
  CHECK(rows[1].test->best_p() > rows[0].test->best_p());
  CHECK((rows[1].counts && !rows[0].counts));
  CHECK(says(rows[0].note, "another test of one series: go by the row with covariance"));
  CHECK_FALSE(says(rows[1].note, "another test"));
}

TEST_CASE("of two tests of one series one counts: with covariance from ten years on, else the more careful") {
  for (const int years : {6, 9, 10, 14})
    for (const int swing : {-40, -3, 0, 7, 40}) {
      Series series;
      for (int year = 0; year < years; ++year) {
        series.add(std::to_string(2001 + year) + "-04-01", 3 * year + (year % 3) * swing);
        series.add(std::to_string(2001 + year) + "-10-01", 2 * year - (year % 2) * swing);
      }
      const auto rows = series.trends({.groups = core::TrendGroups::kSeasons});
      REQUIRE(rows.size() == 2);
      CHECK(rows[0].counts != rows[1].counts);
      if (rows[1].no_variance)
        CHECK(rows[0].counts);
      else if (years >= 10)
        CHECK(rows[1].counts);
      else
        CHECK(rows[rows[1].counts ? 1 : 0].test->best_p() >= rows[rows[1].counts ? 0 : 1].test->best_p());
    }
}

TEST_CASE("one year of four seasons has nothing to compare") {
  Series series;
  for (const char* date : {"2001-01-15", "2001-04-15", "2001-07-15", "2001-10-15"}) series.add(date, 1);
  const auto rows = series.trends({.groups = core::TrendGroups::kSeasons});
  REQUIRE(rows.size() == 1);
  CHECK_FALSE(rows[0].test.has_value());
  CHECK(says(rows[0].note, "too few: 0 comparisons within seasons"));
}

TEST_CASE("a catchment compares each site with itself: a poor site that joins late makes no trend") {
  Series series;
  series.add_years(2001, {90, 91, 90, 91, 90, 91, 90, 91});
  series.add_years(2005, {20, 21, 20, 21}, 1);
  const auto rows = series.catchment();
  REQUIRE(rows.size() == 2);
  CHECK(rows[0].is_catchment);
  CHECK(rows[0].place == "C1");
  CHECK(rows[0].season_method == "sites");
  CHECK(rows[1].season_method == "sites, covariance");
  CHECK(rows[0].n == 12);
  CHECK(rows[0].answer == core::TrendAnswer::kNone);
  CHECK(near(rows[0].test->slope.value(), 0, 1e-12));
  const auto by_season = series.catchment({.groups = core::TrendGroups::kSeasons});
  CHECK(by_season[0].season_method == "sites and seasons");
}

TEST_CASE("values below detection give no trend by themselves") {
  Series series;
  series.add_years(2001, {4, 3, 2, 1, 5});
  series.values.left_out.push_back({core::SiteIndex(0), day("2006-06-01"), "below detection", true});
  const core::TrendRow row = series.only();
  CHECK_FALSE(row.test.has_value());
  CHECK(says(row.note, "1 value of 6 below detection: no trend without a number in their place"));
  Series all_low;
  all_low.values.left_out.push_back({core::SiteIndex(0), day("2006-06-01"), "below detection", true});
  CHECK(says(all_low.only().note, "1 value of 1 below detection"));
}

TEST_CASE("what was left out is counted by its reason") {
  Series series;
  series.add_years(2001, {1, 2, 3, 4, 5});
  for (const char* date : {"2006-06-01", "2007-06-01"})
    series.values.left_out.push_back(
        {core::SiteIndex(0), day(date), "outside the method's scope: too few", false});
  CHECK(says(series.only().note, "2 values left out (outside the method's scope: too few)"));
}

TEST_CASE(
    "values of a metric are those in scope; blanks never count, and a sample without a value gives its "
    "reason") {
  test::SurveyBuilder b;
  const auto site = b.site("S1", core::WaterKind::kStream);
  b.sample(site, "2001-05-01", {test::n("Baetidae", 5), test::n("Heptageniidae", 5)});
  b.sample(site, "2002-05-01", {test::n("Baetidae", 5)}, core::SampleKind::kBlank);
  b.sample(site, "2003-05-01", {test::n("Baetidae", 5)}, core::SampleKind::kReplicate);
  b.sample(site, "2004-05-01", {});
  b.sample(site, "2005-05-01", {test::n("Baetidae", 5)});
  const auto pond = b.site("S2", core::WaterKind::kPond);
  b.sample(pond, "2001-05-01", {test::n("Baetidae", 5)});
  const core::Method& method = *core::find_method("bmwp-a");
  const auto values =
      core::metric_values(b.snapshot(), core::score_samples(b.snapshot(), method), 0, day("2004-12-31"));
  REQUIRE(values.values.size() == 2);
  CHECK(values.values[0].value == 14);  // BMWP 4 and 10
  CHECK(values.values[1].value == 4);
  CHECK(values.values[0].way == "kick");
  CHECK(values.higher_is_better == true);
  REQUIRE(values.left_out.size() == 2);
  CHECK(says(values.left_out[0].why, "no value"));
  CHECK(says(values.left_out[1].why, "outside the method's scope"));
}

TEST_CASE("values of diversity are those of samples that have them, the others give their reason") {
  test::SurveyBuilder b;
  const auto site = b.site("S1", core::WaterKind::kPond);
  b.sample(site, "2001-05-01", {test::n("Baetidae", 5), test::n("Heptageniidae", 5)});
  b.sample(site, "2002-05-01", {test::present("Baetidae")});
  b.sample(site, "2003-05-01", {test::n("Baetidae", 5)}, core::SampleKind::kBlank);
  const auto values =
      core::diversity_values(b.snapshot(), core::DiversityMetric::kSimpson, day("2004-12-31"));
  REQUIRE(values.values.size() == 1);
  CHECK(near(values.values[0].value, 0.5, 1e-12));  // 1 - 2 * 0.5^2
  CHECK_FALSE(values.higher_is_better.has_value());
  REQUIRE(values.left_out.size() == 1);
  CHECK_FALSE(values.left_out[0].why.empty());
}

TEST_CASE("measurements are brought to one unit, and what cannot be stays apart") {
  core::Snapshot s = test::small_survey();
  const auto add = [&](const char* quantity, double value, const char* unit) {
    test::add_measurement(s, 0, quantity, "1", unit);
    s.measurements.value.back() = value;
  };
  add("conductivity", 0.3, "mS/cm");
  add("Cond", 310, "uS/cm");
  add("oxygen", 9, "mg/l");
  add("oxygen", 90, "%");
  add("ammonium", 1, "mg/l N");
  add("ammonium", 1.28786, "mg/l NH4");
  add("ammonium", 2, "mg/l");
  add("ammonium", -2, "mg/l");
  add("ammonium", 2, "furlong");
  add("colour", 3, "");
  const core::Date until = day("2024-12-31");
  const auto cond = core::measured_values(s, "EC", core::BelowDetection::kBound, until);
  REQUIRE(cond.values.size() == 2);
  CHECK(near(cond.values[0].value, 300, 1e-9));
  CHECK(cond.unit == "uS/cm");
  const auto oxygen = core::measured_values(s, "oxygen", core::BelowDetection::kBound, until);
  REQUIRE(oxygen.values.size() == 2);
  CHECK(oxygen.values[0].way != oxygen.values[1].way);
  const auto ammonium = core::measured_values(s, "ammonium", core::BelowDetection::kBound, until);
  REQUIRE(ammonium.values.size() == 3);
  CHECK(near(ammonium.values[1].value, 1, 1e-5));  // 18.039 / 14.007 = 1.28786
  CHECK(ammonium.values[1].way == "mg/l N");
  CHECK(ammonium.values[2].way == "mg/l");
  REQUIRE(ammonium.left_out.size() == 2);
  CHECK(says(ammonium.left_out[0].why, "not a possible value"));
  CHECK(says(ammonium.left_out[1].why, "\"furlong\" is not known here"));
  CHECK(core::measured_values(s, "Colour", core::BelowDetection::kBound, until).values.size() == 1);
  CHECK(core::measured_values(s, "EC", core::BelowDetection::kBound, day("2001-01-01")).values.empty());
  CHECK_THROWS_WITH_AS(core::measured_values(s, "radium", core::BelowDetection::kBound, until),
                       "nothing called \"radium\" was measured in this survey; it has Cond, ammonium, "
                       "colour, conductivity, oxygen",
                       brookmark::Error);
}

TEST_CASE("a value below detection is left out as such, unless a number is asked for") {
  core::Snapshot s = test::small_survey();
  test::add_measurement(s, 0, "ammonium", "1", "mg/l N");
  s.measurements.value.back() = 0.05;
  s.measurements.below_detection.back() = true;
  const core::Date until = day("2024-12-31");
  const auto bound = core::measured_values(s, "ammonium", core::BelowDetection::kBound, until);
  CHECK(bound.values.empty());
  REQUIRE(bound.left_out.size() == 1);
  CHECK(bound.left_out[0].below_detection);
  CHECK(core::measured_values(s, "ammonium", core::BelowDetection::kHalf, until).values.at(0).value == 0.025);
}
