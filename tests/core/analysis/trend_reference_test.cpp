// Against tests/reference/trend (R's own series, checked there with SciPy 1.10) and tests/reference/methods/10 (worked
// examples; each row with its source, tolerance and how it was confirmed).
#include <doctest/doctest.h>

#include <cmath>
#include <map>
#include <set>

#include "core/analysis/trend.hpp"
#include "core/base/csv.hpp"
#include "core/base/text.hpp"
#include "tests/support/files.hpp"
#include "tests/support/near.hpp"

namespace core = brookmark::core;
using brookmark::test::near;
using brookmark::test::near_relative;
using brookmark::test::reference;

namespace {

using Row = std::map<std::string, std::string>;

std::vector<Row> rows_of(const std::string& file) {
  const core::Table table = core::read_csv_file(reference(file));
  std::vector<Row> rows;
  for (const core::TableRow& row : table.rows) {
    Row one;
    for (std::size_t i = 0; i < table.columns.size(); ++i) one[table.columns[i]] = row.cells[i];
    rows.push_back(std::move(one));
  }
  return rows;
}

double number(const Row& row, const std::string& column) {
  return core::parse_number(row.at(column)).value();
}

// The printed digits: twelve significant ones in tests/reference/trend.
constexpr double kPrinted = 1e-11;

// A dataset of methods/10, by season in the order of the file.
std::vector<core::TrendGroup> worked_example(const std::string& dataset) {
  std::map<int, core::TrendGroup> seasons;
  for (const Row& row : rows_of("methods/10_trend_data.csv")) {
    if (row.at("dataset") != dataset) continue;
    core::TrendGroup& group = seasons[static_cast<int>(number(row, "season"))];
    group.times.push_back(number(row, "year"));
    group.values.push_back(number(row, "value"));
  }
  std::vector<core::TrendGroup> groups;
  for (auto& [season, group] : seasons) groups.push_back(std::move(group));
  return groups;
}

// What the program says to each quantity of methods/10; nothing for those answered elsewhere.
std::optional<double> answer(const std::string& dataset, const std::string& quantity) {
  const std::vector<core::TrendGroup> groups = worked_example(dataset);
  if (groups.empty()) return std::nullopt;
  if (quantity.starts_with("season") && quantity.ends_with("_S") && !quantity.starts_with("seasonal")) {
    const auto at = static_cast<std::size_t>(std::stoi(quantity.substr(6))) - 1;
    return static_cast<double>(core::kendall_s(groups.at(at).values));
  }
  if (quantity.starts_with("season") && quantity.ends_with("_varS") && !quantity.starts_with("seasonal"))
    return core::kendall_variance(
        groups.at(static_cast<std::size_t>(std::stoi(quantity.substr(6))) - 1).values);
  const auto n = static_cast<double>(groups[0].values.size());
  const bool seasonal = groups.size() > 1;
  const core::TrendTest t =
      seasonal ? core::grouped_kendall(groups) : core::mann_kendall(groups[0].times, groups[0].values);
  if (quantity == "S" || quantity == "seasonal_kendall_S") return static_cast<double>(t.s);
  if (quantity == "varS_ties" || quantity == "varS" || quantity == "seasonal_kendall_varS") return t.var_s;
  if (quantity == "varS_no_ties") return n * (n - 1) * (2 * n + 5) / 18;
  if (quantity == "Z" || quantity == "seasonal_kendall_Z") return t.z;
  if (quantity == "p_two_sided" || quantity == "p_two_sided_normal" || quantity == "seasonal_kendall_p")
    return t.p;
  if (quantity == "tau_a") return static_cast<double>(t.s) / (n * (n - 1) / 2);
  if (quantity == "tau") return t.tau_b;  // no ties there
  if (quantity == "theil_sen_slope" || quantity == "seasonal_kendall_slope_per_year") return t.slope;
  if (quantity == "n_slopes" || quantity == "n_pairwise_slopes") return static_cast<double>(t.slopes);
  if (quantity == "tie_groups") return static_cast<double>(t.tie_groups);
  return std::nullopt;
}

}  // namespace

TEST_CASE("Mann-Kendall and Theil-Sen give the reference values of three long series") {
  const auto wanted = rows_of("trend/ref_mannkendall_theilsen.csv");
  REQUIRE(wanted.size() == 3);
  for (const Row& want : wanted) {
    CAPTURE(want.at("series"));
    std::vector<double> x, y;
    for (const Row& row : rows_of("trend/series_" + want.at("series") + ".csv")) {
      x.push_back(number(row, "x"));
      y.push_back(number(row, "y"));
    }
    const core::TrendTest t = core::mann_kendall(x, y);
    CHECK(static_cast<double>(t.n) == number(want, "n"));
    CHECK(static_cast<double>(t.s) == number(want, "S"));
    CHECK(static_cast<double>(t.tie_groups) == number(want, "ties_groups"));
    CHECK(near_relative(t.var_s, number(want, "var_ties"), kPrinted));
    CHECK(near_relative(t.z, number(want, "Z"), kPrinted));
    CHECK(near_relative(t.p, number(want, "p"), kPrinted));
    CHECK(near_relative(t.tau_b.value(), number(want, "tau_b"), kPrinted));
    CHECK(static_cast<double>(t.slopes) == number(want, "n_slopes"));
    CHECK(near_relative(t.slope.value(), number(want, "slope"), kPrinted));
    CHECK(near_relative(t.slope_low.value(), number(want, "slope_lo95"), kPrinted));
    CHECK(near_relative(t.slope_high.value(), number(want, "slope_hi95"), kPrinted));
  }
}

TEST_CASE("seasonal Kendall gives the reference values, with and without covariance") {
  const Row want = rows_of("trend/ref_seasonal_kendall.csv").at(0);
  std::map<int, core::TrendGroup> months;
  for (const Row& row : rows_of("trend/series_co2_seasonal.csv")) {
    core::TrendGroup& month = months[static_cast<int>(number(row, "season"))];
    month.times.push_back(number(row, "year"));
    month.values.push_back(number(row, "y"));
  }
  std::vector<core::TrendGroup> groups;
  for (auto& [season, group] : months) groups.push_back(group);
  const core::TrendTest apart = core::grouped_kendall(groups);
  CHECK(static_cast<double>(apart.n) == number(want, "n"));
  CHECK(static_cast<double>(apart.s) == number(want, "S"));
  CHECK(near_relative(apart.var_s, number(want, "var_indep"), kPrinted));
  CHECK(near_relative(apart.z, number(want, "Z_indep"), kPrinted));
  CHECK(near_relative(apart.p, number(want, "p_indep"), 1e-9));  // z = 31: an error of z grows 31 z-fold
  CHECK(near_relative(apart.slope.value(), number(want, "slope"),
                      1e-11));  // differences of 315.42 and the like
  CHECK(static_cast<double>(apart.slopes) == number(want, "n_slopes"));
  const core::TrendTest together = core::grouped_kendall(groups, {.covariance = true});
  CHECK(together.s == apart.s);
  CHECK(near_relative(together.var_s, number(want, "var_cov"), kPrinted));
  CHECK(near_relative(together.z, number(want, "Z_cov"), kPrinted));
  CHECK(near_relative(together.p, number(want, "p_cov"), 1e-10));
}

TEST_CASE("the worked examples come out within their stated tolerance") {
  // Left out, and why: the input was not recovered (usgs_*); a list of sizes; a table of critical values and the exact
  // p, both checked by counting in trend_test.cpp; an intercept, which the program does not give.
  const std::set<std::string> elsewhere{"tie_group_sizes", "p_two_sided_exact",
                                        "intercept = median(y) - slope*median(x)"};
  int checked = 0;
  for (const Row& row : rows_of("methods/10_trend_examples.csv")) {
    const std::string &dataset = row.at("dataset"), &quantity = row.at("quantity");
    if (dataset.starts_with("usgs_") || dataset == "wisconsin_table_b" || elsewhere.contains(quantity))
      continue;
    CAPTURE(dataset);
    CAPTURE(quantity);
    const auto got = answer(dataset, quantity);
    REQUIRE(got.has_value());
    // Ten printed digits are finer than a tolerance of 0.
    CHECK(near(*got, number(row, "expected"), std::max(number(row, "tolerance"), 1e-8)));
    ++checked;
  }
  CHECK(checked == 55);
}

// Wisconsin Administrative Code, Mann-Kendall Table B (secondary): S at or below the printed value is accepted as
// declining at alpha = 0.2, one-sided. (-5 for five values and -6 for six cannot occur: S has the parity of the pairs.)
TEST_CASE("the exact distribution of S gives the printed critical values") {
  int checked = 0;
  for (const Row& row : rows_of("methods/10_trend_examples.csv")) {
    if (row.at("dataset") != "wisconsin_table_b") continue;
    const std::string& quantity = row.at("quantity");
    const auto n = static_cast<std::size_t>(std::stoi(quantity.substr(quantity.rfind('n') + 1)));
    const auto pairs = static_cast<std::int64_t>(n * (n - 1) / 2);
    for (std::int64_t s = pairs; s > 0; s -= 2) {
      CAPTURE(quantity);
      CAPTURE(s);
      CHECK((core::exact_kendall_p(n, s) / 2 <= 0.2) == (static_cast<double>(-s) <= number(row, "expected")));
    }
    ++checked;
  }
  CHECK(checked == 7);
}
