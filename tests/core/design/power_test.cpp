#include "core/design/power.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "core/base/csv.hpp"
#include "core/base/error.hpp"
#include "core/base/random.hpp"
#include "core/base/student_t.hpp"
#include "core/base/text.hpp"
#include "tests/core/scoring/survey_builder.hpp"
#include "tests/support/files.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::core;
using namespace brookmark::test;

TEST_CASE(
    "power of the t test and numbers needed agree with R, of one side and two, paired and not, equal and "
    "unequal") {
  const Table table = read_csv_file(reference("design/ref_power_t.csv"));
  REQUIRE(table.rows.size() == 102);
  for (const TableRow& row : table.rows) {
    const auto at = [&](std::size_t c) { return parse_number(row.cells[c]); };
    PowerOptions options;
    options.alpha = at(4).value();
    options.two_sided = at(5).value() == 2;
    const bool paired = row.cells[6] == "paired";
    const double effect = at(3).value(), expected = at(7).value();
    CAPTURE(row.line);
    if (row.cells[0] == "power") {
      const Visits visits{static_cast<std::size_t>(at(1).value()),
                          paired ? 0 : static_cast<std::size_t>(at(2).value())};
      CHECK(near(t_test_power(visits, effect, options), expected, 1e-9));
    } else {
      options.power = parse_number(row.cells[0].substr(12)).value();  // "n for power 0.8"
      CHECK(visits_for(effect, paired, options) == static_cast<std::size_t>(std::ceil(expected)));
    }
  }
}

TEST_CASE("numbers needed are those of the printed table") {
  // Cohen 1988, Statistical Power Analysis for the Behavioral Sciences, 2nd ed., Table 2.4.1 (two-sided alpha 0.05, power 0.80):
  // 393 for d = 0.2, 64 for 0.5, 26 for 0.8; recalled (memory). The first is printed one less than what whole numbers need.
  PowerOptions two;
  two.two_sided = true;
  CHECK(visits_for(0.5, false, two) == 64);
  CHECK(visits_for(0.8, false, two) == 26);
  CHECK(near(static_cast<double>(visits_for(0.2, false, two).value()), 393, 1));
}

TEST_CASE("the power is the share of drawn surveys in which the test sees the fall") {
  constexpr int kDraws = 20'000;
  constexpr std::size_t kBefore = 4, kAfter = 6;
  const double effect = 1.5, critical = student_t_quantile(0.95, 8);
  int seen = 0;
  for (int draw = 0; draw < kDraws; ++draw) {
    Random random(5, static_cast<std::uint64_t>(draw));
    const auto normal = [&] {
      return std::sqrt(-2 * std::log(random.uniform_open())) *
             std::cos(2 * 3.14159265358979323846 * random.uniform());
    };
    double sum[2] = {0, 0}, squares[2] = {0, 0};
    for (std::size_t i = 0; i < kBefore + kAfter; ++i) {
      const int group = i < kBefore ? 0 : 1;
      const double x = normal() - (group == 1 ? effect : 0);
      sum[group] += x;
      squares[group] += x * x;
    }
    const double within = squares[0] - sum[0] * sum[0] / kBefore + squares[1] - sum[1] * sum[1] / kAfter;
    const double t =
        (sum[0] / kBefore - sum[1] / kAfter) / std::sqrt(within / 8 * (1.0 / kBefore + 1.0 / kAfter));
    seen += t > critical ? 1 : 0;
  }
  const double power = t_test_power({kBefore, kAfter}, effect, {});
  // Five standard errors of a share of 20,000.
  CHECK(near(seen / double{kDraws}, power, 5 * std::sqrt(power * (1 - power) / kDraws)));
}

TEST_CASE(
    "with no difference the test cries wolf as often as alpha says, and no number of visits is needed for "
    "nothing") {
  CHECK(near(t_test_power({5, 5}, 0, {}), 0.05, 1e-9));
  CHECK(near(t_test_power({2, 0}, 0, {.alpha = 0.1}), 0.1, 1e-9));
  CHECK_FALSE(visits_for(0, false, {}));
  CHECK_FALSE(visits_for(-1, false, {}));
  CHECK_FALSE(visits_for(0.01, false, {}, 100));
  CHECK(t_test_power({1, 1}, 3, {}) == 0);
  CHECK(t_test_power({1, 0}, 3, {}) == 0);
  CHECK_THROWS_AS(t_test_power({5, 5}, 1, {.alpha = 0}), brookmark::Error);
  CHECK_THROWS_AS(visits_for(1, false, {.power = 1}), brookmark::Error);
}

TEST_CASE("visits after are as many as give the power beside those before, and may never be enough") {
  const auto after = visits_after(4, 1.5, {});
  REQUIRE(after);
  CHECK(t_test_power({4, *after}, 1.5, {}) >= 0.8);
  CHECK(t_test_power({4, *after - 1}, 1.5, {}) < 0.8);
  CHECK_FALSE(visits_after(1, 1.0, {}));
}

namespace {

SiteValues values_of(const std::vector<std::tuple<std::size_t, const char*, double>>& rows) {
  SiteValues values;
  for (const auto& [site, date, value] : rows)
    values.values.push_back({SiteIndex(site), parse_date(date).value(), value, "kick"});
  return values;
}

const Metric& bmwp() {
  return find_method("bmwp-a")->metrics[0];
}

}  // namespace

TEST_CASE(
    "the deviation is that of visits of one site in one season, over all sites; replicates of a day are one "
    "visit") {
  // Site 0, spring: 10, 14 (mean 12, squares 8). Site 0, autumn: one visit. Site 1, spring: 20, 23 and 26 (squares 18), the 23 as
  // replicates 22 and 24. 26 over three degrees of freedom: sqrt(26 / 3).
  const WithinSites within = deviation_within(values_of({{0, "2020-04-01", 10},
                                                         {0, "2020-10-01", 99},
                                                         {0, "2021-04-01", 14},
                                                         {1, "2020-04-01", 20},
                                                         {1, "2021-04-01", 22},
                                                         {1, "2021-04-01", 24},
                                                         {1, "2022-04-01", 26}}));
  CHECK(within.degrees == 3);
  CHECK(within.groups == 2);
  REQUIRE(within.deviation);
  CHECK(near(*within.deviation, std::sqrt(26.0 / 3), 1e-12));
  CHECK_FALSE(deviation_within(values_of({{0, "2020-04-01", 10}, {0, "2021-04-01", 14}})).deviation);
}

TEST_CASE(
    "a fall of one class leads from the mean of the last two years to the middle of the next worse class") {
  // Bands A of BMWP (core/reference/methods/bmwp-a.bands.csv): excellent from 85, good 70 to 84, so its middle is 77.
  const SiteValues values =
      values_of({{0, "2015-04-01", 20}, {0, "2023-04-01", 80}, {0, "2024-04-01", 90}, {1, "2024-04-01", 5}});
  const FallOfOneClass fall = fall_of_one_class(values, bmwp(), SiteIndex(0));
  CHECK(fall.visits == 2);
  CHECK(fall.mean == 85);
  REQUIRE(fall.fall);
  CHECK(fall.from_rank == 1);
  CHECK(fall.to_rank == 2);
  CHECK(*fall.fall == 8);
  // From 40, poor, to the worst class, which is printed as below 15: its middle lies between 0 and 14.
  const FallOfOneClass poor = fall_of_one_class(values_of({{0, "2024-04-01", 40}}), bmwp(), SiteIndex(0));
  CHECK(poor.fall.value() == 33);
  const FallOfOneClass worst = fall_of_one_class(values, bmwp(), SiteIndex(1));
  CHECK_FALSE(worst.fall);
  CHECK(worst.note == "the site is in the worst class already");
  const FallOfOneClass none = fall_of_one_class(values, bmwp(), SiteIndex(2));
  CHECK(none.visits == 0);
  CHECK(none.note == "no visit has a value in the method's scope");
}
