// What must hold for any series, and the fast ways beside the slow ones.
#include "core/analysis/trend.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <random>

#include "core/base/error.hpp"
#include "tests/support/near.hpp"

namespace core = brookmark::core;
using brookmark::test::near;

namespace {

std::int64_t s_by_pairs(const std::vector<double>& values) {
  std::int64_t s = 0;
  for (std::size_t i = 0; i < values.size(); ++i)
    for (std::size_t j = i + 1; j < values.size(); ++j)
      s += (values[j] > values[i] ? 1 : 0) - (values[j] < values[i] ? 1 : 0);
  return s;
}

std::vector<double> years(std::size_t n) {
  std::vector<double> times(n);
  std::iota(times.begin(), times.end(), 2001.0);
  return times;
}

}  // namespace

TEST_CASE("S in n log n steps is S over all pairs") {
  std::mt19937 random(3);
  for (const std::size_t n : {0, 1, 2, 3, 7, 8, 9, 15, 16, 17, 31, 64, 65, 100, 257, 1000})
    for (const unsigned kinds : {1U, 2U, 5U, 1000U, 4'000'000'000U}) {
      std::vector<double> values(n);
      for (double& v : values) v = static_cast<double>(random() % kinds);
      CAPTURE(n);
      CAPTURE(kinds);
      CHECK(core::kendall_s(values) == s_by_pairs(values));
    }
}

TEST_CASE("the slope is the middle of all slopes, by sorting them") {
  std::mt19937 random(4);
  for (int round = 0; round < 50; ++round) {
    const std::size_t n = 2 + random() % 30;
    std::vector<double> times(n), values(n), slopes;
    double now = 2000;
    for (std::size_t i = 0; i < n; ++i) {
      times[i] = now += 0.1 + static_cast<double>(random() % 10);
      values[i] = static_cast<double>(random() % 50);
    }
    for (std::size_t i = 0; i < n; ++i)
      for (std::size_t j = i + 1; j < n; ++j)
        slopes.push_back((values[j] - values[i]) / (times[j] - times[i]));
    std::sort(slopes.begin(), slopes.end());
    const double middle = (slopes[(slopes.size() - 1) / 2] + slopes[slopes.size() / 2]) / 2;
    const auto t = core::mann_kendall(times, values);
    CHECK(near(t.slope.value(), middle, 1e-12));
    if (t.slope_low) {
      CHECK(*t.slope_low <= *t.slope);
      CHECK(*t.slope_high >= *t.slope);
    }
  }
}

TEST_CASE("the exact p is that of counting all orders") {
  for (std::size_t n = 2; n <= 7; ++n) {
    std::vector<double> order(n);
    std::iota(order.begin(), order.end(), 0.0);
    std::vector<std::int64_t> all;
    do all.push_back(s_by_pairs(order));
    while (std::next_permutation(order.begin(), order.end()));
    for (std::int64_t s = 0; s <= static_cast<std::int64_t>(n * (n - 1) / 2); ++s) {
      const auto far =
          std::count_if(all.begin(), all.end(), [&](std::int64_t one) { return std::abs(one) >= s; });
      CHECK(near(core::exact_kendall_p(n, s), static_cast<double>(far) / static_cast<double>(all.size()),
                 1e-12));
      CHECK(core::exact_kendall_p(n, -s) == core::exact_kendall_p(n, s));
    }
  }
}

// Kendall's table for n = 10 (memory): P(S >= 21) = 0.036, P(S >= 19) = 0.054, both one-sided.
TEST_CASE("the exact p of ten values is that of the printed table") {
  CHECK(near(core::exact_kendall_p(10, 21) / 2, 0.036, 0.0005));
  CHECK(near(core::exact_kendall_p(10, 19) / 2, 0.054, 0.0005));
  CHECK(core::exact_kendall_p(10, 45) == 2.0 / 3628800);
}

TEST_CASE("the exact p is given without ties up to ten values, and says how small it can get") {
  const std::vector<double> four{1, 2, 3, 4};
  const auto t = core::mann_kendall(years(4), four);
  CHECK(near(t.p_exact.value(), 2.0 / 24, 1e-12));
  CHECK(near(t.smallest_p.value(), 2.0 / 24, 1e-12));
  CHECK(t.best_p() == *t.p_exact);
  const auto tied = core::mann_kendall(years(4), std::vector<double>{1, 2, 2, 4});
  CHECK_FALSE(tied.p_exact.has_value());
  CHECK(tied.best_p() == tied.p);
  std::vector<double> eleven(11);
  std::iota(eleven.begin(), eleven.end(), 0.0);
  CHECK_FALSE(core::mann_kendall(years(11), eleven).p_exact.has_value());
}

TEST_CASE("equal values have no trend: z is 0, p is 1, tau is unknown, the slope is 0") {
  const auto t = core::mann_kendall(years(8), std::vector<double>(8, 3.5));
  CHECK(t.s == 0);
  CHECK(t.var_s == 0);
  CHECK(t.z == 0);
  CHECK(t.p == 1);
  CHECK_FALSE(t.tau_b.has_value());
  CHECK(t.slope.value() == 0);
}

TEST_CASE("turning a series round turns its trend round, and shifting it changes nothing") {
  std::mt19937 random(5);
  std::vector<double> values(25), shifted, negative;
  for (double& v : values) v = static_cast<double>(random() % 12);
  for (const double v : values) shifted.push_back(v + 64), negative.push_back(-v);
  const auto t = core::mann_kendall(years(25), values), up = core::mann_kendall(years(25), shifted),
             back = core::mann_kendall(years(25), negative);
  CHECK(up.s == t.s);
  CHECK(near(up.slope.value(), t.slope.value(), 1e-12));
  CHECK(back.s == -t.s);
  CHECK(near(back.slope.value(), -t.slope.value(), 1e-12));
  CHECK(near(back.slope_low.value(), -t.slope_high.value(), 1e-12));
  CHECK(near(back.p, t.p, 1e-15));
}

TEST_CASE(
    "one group is an ordinary series, and two equal groups at the same times count once with covariance") {
  std::mt19937 random(6);
  core::TrendGroup group{years(12), std::vector<double>(12)};
  for (double& v : group.values) v = static_cast<double>(random() % 100);
  const auto plain = core::mann_kendall(group.times, group.values);
  const auto one = core::grouped_kendall(std::vector{group});
  CHECK(one.s == plain.s);
  CHECK(one.var_s == plain.var_s);
  CHECK(near(one.tau_b.value(), plain.tau_b.value(), 1e-12));
  // A copy tells nothing new: S doubles and var S grows fourfold, as for a sum of one thing with itself.
  const auto both = core::grouped_kendall(std::vector{group, group}, {.covariance = true});
  CHECK(both.s == 2 * plain.s);
  CHECK(near(both.var_s, 4 * plain.var_s, plain.var_s * 0.05));  // the estimate is of the ranks found
}

// Hirsch & Slack's estimate is a rank form of the sum of products of S_gi and S_hi; without gaps it must be that sum.
TEST_CASE("the covariance of two groups is that worked out from all pairs") {
  std::mt19937 random(8);
  for (int round = 0; round < 20; ++round) {
    const std::size_t n = 6 + random() % 6;
    core::TrendGroup g{years(n), std::vector<double>(n)}, h = g;
    for (double& v : g.values) v = static_cast<double>(random() % 20);
    for (double& v : h.values) v = static_cast<double>(random() % 20);
    const auto sign = [](double v) { return (v > 0) - (v < 0); };
    // Dietz & Killeen 1981: (K + sum over i, j, k of sign(x_j - x_i) sign(y_j - y_k)) / 3.
    double k = 0, triples = 0;
    for (std::size_t i = 0; i < n; ++i)
      for (std::size_t j = 0; j < n; ++j) {
        if (i < j) k += sign((g.values[j] - g.values[i]) * (h.values[j] - h.values[i]));
        for (std::size_t l = 0; l < n; ++l)
          triples += sign(g.values[j] - g.values[i]) * sign(h.values[j] - h.values[l]);
      }
    const double apart = core::grouped_kendall(std::vector{g, h}).var_s;
    const double together = core::grouped_kendall(std::vector{g, h}, {.covariance = true}).var_s;
    if (together > 0) CHECK(near(together - apart, 2 * (k + triples) / 3, 1e-9));
  }
}

TEST_CASE("groups with gaps are compared within themselves only") {
  const core::TrendGroup spring{{2001, 2002, 2004, 2005}, {1, 2, 3, 4}},
      autumn{{2001, 2003, 2004}, {30, 20, 10}};
  const auto t = core::grouped_kendall(std::vector{spring, autumn});
  CHECK(t.n == 7);
  CHECK(t.s == 6 - 3);
  CHECK(near(t.var_s, 4.0 * 3 * 13 / 18 + 3.0 * 2 * 11 / 18, 1e-12));
  CHECK(t.slopes == 9);
}

TEST_CASE("a series longer than all slopes can be listed for has its test and no slope") {
  std::vector<double> long_one(core::kMostSlopeValues + 1);
  std::iota(long_one.begin(), long_one.end(), 0.0);
  const auto t = core::mann_kendall(long_one, long_one);
  CHECK(t.s == static_cast<std::int64_t>(long_one.size() * (long_one.size() - 1) / 2));
  CHECK_FALSE(t.slope.has_value());
}

TEST_CASE("a single value and none have no trend") {
  CHECK(core::mann_kendall(std::vector<double>{}, std::vector<double>{}).n == 0);
  const auto one = core::mann_kendall(years(1), std::vector<double>{4});
  CHECK(one.n == 1);
  CHECK(one.p == 1);
  CHECK_FALSE(one.slope.has_value());
}

TEST_CASE("equal dates, unequal lengths and what is not a number are refused with a sentence") {
  const std::vector<double> two{1, 2};
  CHECK_THROWS_AS(core::mann_kendall(std::vector<double>{2001, 2001}, two), brookmark::Error);
  CHECK_THROWS_AS(core::mann_kendall(std::vector<double>{2002, 2001}, two), brookmark::Error);
  CHECK_THROWS_AS(core::mann_kendall(std::vector<double>{2001}, two), brookmark::Error);
  const double nan = std::numeric_limits<double>::quiet_NaN();
  CHECK_THROWS_AS(core::mann_kendall(years(2), std::vector<double>{1, nan}), brookmark::Error);
  CHECK_THROWS_AS(core::mann_kendall(years(2), two, {.level = 0}), brookmark::Error);
}
