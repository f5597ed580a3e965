// Expected values: published (Fisher 1935), by SciPy 1.10 (stats.permutation_test, two-sided, all arrangements), or by
// counting every arrangement here.
#include "core/analysis/permutation.hpp"

#include <doctest/doctest.h>

#include <bit>
#include <cmath>
#include <limits>
#include <random>

#include "core/base/error.hpp"
#include "tests/support/near.hpp"

namespace core = brookmark::core;
using brookmark::test::near;

namespace {

constexpr double kRound = 1e-12;  // sums of a few doubles

double mean(const std::vector<double>& values) {
  double sum = 0;
  for (const double v : values) sum += v;
  return sum / static_cast<double>(values.size());
}

// Two-sided p of the difference of means, by every set of the right size among bit masks.
double p_by_counting(const std::vector<double>& before, const std::vector<double>& after) {
  std::vector<double> all = before;
  all.insert(all.end(), after.begin(), after.end());
  const double found = mean(after) - mean(before);
  double total = 0, at_least = 0, at_most = 0;
  for (unsigned mask = 0; mask < 1U << all.size(); ++mask) {
    if (static_cast<std::size_t>(std::popcount(mask)) != after.size()) continue;
    std::vector<double> in, out;
    for (std::size_t i = 0; i < all.size(); ++i) ((mask >> i & 1U) != 0 ? in : out).push_back(all[i]);
    const double here = mean(in) - mean(out);
    ++total;
    at_least += here >= found - 1e-9 ? 1 : 0;
    at_most += here <= found + 1e-9 ? 1 : 0;
  }
  return std::min(1.0, 2 * std::min(at_least, at_most) / total);
}

std::vector<double> shifted(std::vector<double> values, double by) {
  for (double& v : values) v += by;
  return values;
}

}  // namespace

// Fisher 1935, The Design of Experiments, sec. 21 (memory): Darwin's fifteen pairs of maize, differences in eighths of an
// inch; 1,726 of 32,768 arrangements differ by as much. SciPy gives the same.
TEST_CASE("Darwin's maize has the p that Fisher counted") {
  const std::vector<double> maize{49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48};
  const auto r = core::permute_signs(maize);
  CHECK(r.exact);
  CHECK(r.arrangements == 32768);
  CHECK(near(r.p, 1726.0 / 32768, kRound));
  CHECK(near(r.statistic, 314.0 / 15, kRound));
  REQUIRE(r.low.has_value());
  CHECK(*r.low < 0);  // p is above 0.05
  CHECK(*r.high > 0);
}

TEST_CASE("two groups have the p that SciPy counts") {
  const std::vector<double> before{2.1, 1.8, 2.6, 2.2, 1.9}, after{1.1, 0.4, 1.9, 1.2, 0.7, 1.0};
  const auto r = core::permute_groups(before, after);
  CHECK(r.arrangements == 462);
  CHECK(near(r.statistic, -1.07, kRound));
  CHECK(near(r.p, 0.012987012987012988, kRound));
  CHECK(near(r.smallest_p, 2.0 / 462, kRound));
  const auto s = core::permute_groups(std::vector<double>{3, 1, 4, 1}, std::vector<double>{5, 9, 2, 6, 5});
  CHECK(near(s.statistic, 3.15, kRound));
  CHECK(near(s.p, 0.07936507936507936, kRound));
}

TEST_CASE("the p of two groups is that of counting, ties and all") {
  std::mt19937 random(7);
  for (int round = 0; round < 60; ++round) {
    std::vector<double> before(2 + random() % 4), after(2 + random() % 5);
    for (double& v : before) v = static_cast<double>(random() % 6);
    for (double& v : after) v = static_cast<double>(random() % 6) + (round % 3);
    CAPTURE(round);
    CHECK(near(core::permute_groups(before, after).p, p_by_counting(before, after), kRound));
  }
}

TEST_CASE("the interval holds exactly the shifts that the test does not refuse") {
  std::mt19937 random(11);
  int intervals = 0;
  for (int round = 0; round < 40; ++round) {
    std::vector<double> before(4), after(4 + random() % 2);
    for (double& v : before) v = static_cast<double>(random() % 1000) / 100;
    for (double& v : after) v = static_cast<double>(random() % 1000) / 100 + 3;
    const auto r = core::permute_groups(before, after);
    REQUIRE(r.low.has_value());
    ++intervals;
    CAPTURE(round);
    const double step = 1e-6;
    CHECK(p_by_counting(before, shifted(after, -(*r.low + step))) > 0.05);
    CHECK(p_by_counting(before, shifted(after, -(*r.low - step))) <= 0.05);
    CHECK(p_by_counting(before, shifted(after, -(*r.high - step))) > 0.05);
    CHECK(p_by_counting(before, shifted(after, -(*r.high + step))) <= 0.05);
  }
  CHECK(intervals == 40);
}

TEST_CASE("the interval of paired differences holds exactly the shifts that the test does not refuse") {
  std::mt19937 random(13);
  for (int round = 0; round < 40; ++round) {
    std::vector<double> d(6 + random() % 4);
    for (double& v : d) v = static_cast<double>(random() % 1000) / 100 - 2;
    const auto r = core::permute_signs(d);
    REQUIRE(r.low.has_value());
    CAPTURE(round);
    const double step = 1e-6;
    CHECK(core::permute_signs(shifted(d, -(*r.low + step))).p > 0.05);
    CHECK(core::permute_signs(shifted(d, -(*r.low - step))).p <= 0.05);
    CHECK(core::permute_signs(shifted(d, -(*r.high - step))).p > 0.05);
    CHECK(core::permute_signs(shifted(d, -(*r.high + step))).p <= 0.05);
  }
}

TEST_CASE("too few values have no interval, and the smallest p says why") {
  const auto five = core::permute_signs(std::vector<double>{1, 2, 3, 4, 5});
  CHECK(near(five.smallest_p, 0.0625, kRound));  // 2 / 2^5
  CHECK(near(five.p, 0.0625, kRound));
  CHECK_FALSE(five.low.has_value());
  const auto three = core::permute_groups(std::vector<double>{1, 2, 3}, std::vector<double>{7, 8, 9});
  CHECK(near(three.p, 0.1, kRound));  // 2 / C(6, 3)
  CHECK_FALSE(three.low.has_value());
}

TEST_CASE("equal values differ by nothing") {
  const auto r = core::permute_groups(std::vector<double>(5, 2.5), std::vector<double>(5, 2.5));
  CHECK(r.p == 1);
  CHECK(r.statistic == 0);
  CHECK(*r.low == 0);
  CHECK(*r.high == 0);
}

TEST_CASE("random draws come near to the full count, the same for the same seed") {
  const std::vector<double> before{2.1, 1.8, 2.6, 2.2, 1.9, 2.4, 1.7},
      after{1.9, 1.4, 2.5, 1.2, 1.7, 2.0, 2.3};
  const auto all = core::permute_groups(before, after);
  core::PermutationOptions few{.exact_up_to = 10, .draws = 20'000, .seed = 5};
  const auto drawn = core::permute_groups(before, after, few);
  CHECK_FALSE(drawn.exact);
  CHECK(drawn.arrangements == 20'001);
  // Standard error of twice a share near 0.1 from 20,000 draws: 0.0042; four of them.
  CHECK(near(drawn.p, all.p, 0.017));
  CHECK(near(*drawn.low, *all.low, 0.05));  // within a few of the thresholds that lie close there
  CHECK(core::permute_groups(before, after, few).p == drawn.p);
  few.seed = 6;
  CHECK(near(core::permute_groups(before, after, few).p, all.p, 0.017));
  const auto pairs = core::permute_signs(before, few);
  CHECK_FALSE(pairs.exact);
  CHECK(near(pairs.p, core::permute_signs(before).p, 0.005));  // 2 / 128: standard error 0.0012
}

// Ranks, rho and p of all 5,040 pairings: SciPy 1.10 spearmanr and permutation_test.
TEST_CASE("the rank correlation and its p are SciPy's") {
  const auto r =
      core::spearman(std::vector<double>{1, 2, 3, 4, 5, 6, 7}, std::vector<double>{2, 1, 4, 3, 7, 5, 5});
  REQUIRE(r.has_value());
  CHECK(near(r->rho, 0.8108437164260032, kRound));
  CHECK(near(r->p, 0.03492063492063492, kRound));
  CHECK(r->arrangements == 5040);
  CHECK(r->chance_high < r->rho);
  CHECK(near(r->chance_low, -r->chance_high, 0.05));  // nearly symmetric: one tie
  // Ten pairs without ties, rho = 1 - 6 * 194 / 990 by hand; more pairings than are tried, so p comes from draws.
  const auto ten = core::spearman(std::vector<double>{86, 97, 99, 100, 101, 103, 106, 110, 112, 113},
                                  std::vector<double>{2, 20, 28, 27, 50, 29, 7, 17, 6, 12});
  CHECK(near(ten->rho, 1 - 6 * 194.0 / 990, kRound));
  CHECK_FALSE(ten->exact);
  CHECK(near(ten->p, 0.6321, 0.02));  // the t approximation is 0.627; ranks are few, hence the width
}

TEST_CASE("a correlation needs three pairs and something that varies") {
  CHECK_FALSE(core::spearman(std::vector<double>{1, 2}, std::vector<double>{1, 2}).has_value());
  CHECK_FALSE(core::spearman(std::vector<double>{1, 2, 3}, std::vector<double>{4, 4, 4}).has_value());
  CHECK_THROWS_AS(core::spearman(std::vector<double>{1, 2, 3}, std::vector<double>{4, 4}), brookmark::Error);
}

TEST_CASE("nothing, and what is not a number, is refused") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  CHECK_THROWS_AS(core::permute_signs(std::vector<double>{}), brookmark::Error);
  CHECK_THROWS_AS(core::permute_signs(std::vector<double>{1, nan}), brookmark::Error);
  CHECK_THROWS_AS(core::permute_groups(std::vector<double>{1}, std::vector<double>{}), brookmark::Error);
  CHECK_THROWS_AS(core::permute_groups(std::vector<double>{1}, std::vector<double>{nan}), brookmark::Error);
  CHECK_THROWS_AS(core::permute_signs(std::vector<double>{1, 2}, {.level = 1}), brookmark::Error);
}
