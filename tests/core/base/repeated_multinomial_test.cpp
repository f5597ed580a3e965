#include "core/base/repeated_multinomial.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <map>
#include <numeric>
#include <vector>

#include "tests/support/near.hpp"

using namespace brookmark::test;
namespace core = brookmark::core;

namespace {

double of(std::int64_t value) {
  return static_cast<double>(value);
}

// The exact probability of one outcome.
double chance(const std::vector<std::int64_t>& counts, const std::vector<std::int64_t>& outcome) {
  const double n = of(std::accumulate(counts.begin(), counts.end(), std::int64_t{0}));
  double log = std::lgamma(n + 1);
  for (std::size_t i = 0; i < counts.size(); ++i) {
    log -= std::lgamma(of(outcome[i]) + 1);
    if (outcome[i] > 0) log += of(outcome[i]) * std::log(of(counts[i]) / n);
  }
  return std::exp(log);
}

}  // namespace

TEST_CASE("individuals drawn again follow the multinomial exactly, whichever way they are drawn" *
          doctest::test_suite("many draws")) {
  // Few individuals a kind, then many: three kinds, one of them empty, every outcome against its probability.
  for (const std::vector<std::int64_t>& counts :
       {std::vector<std::int64_t>{2, 0, 1, 1}, {1, 3}, {9, 0, 2, 4}, {30, 1, 9}, {5}, {700, 20}}) {
    const core::RepeatedMultinomial again(counts);
    core::Random random(3, 14);
    std::map<std::vector<std::int64_t>, double> seen;
    std::vector<std::int64_t> drawn(counts.size());
    constexpr int kDraws = 100'000;
    for (int i = 0; i < kDraws; ++i) {
      again.draw(random, drawn);
      seen[drawn] += 1;
    }
    double statistic = 0, cells = 0, rest_seen = 0, rest_expected = kDraws;
    for (const auto& [outcome, times] : seen) {
      CHECK_MESSAGE(std::accumulate(outcome.begin(), outcome.end(), std::int64_t{0}) == again.individuals(),
                    cells);
      for (std::size_t i = 0; i < counts.size(); ++i)
        if (counts[i] == 0) CHECK_MESSAGE(outcome[i] == 0, "an empty kind was drawn");
      const double expected = kDraws * chance(counts, outcome);
      if (expected < 10) {
        rest_seen += times;
        continue;
      }
      statistic += (times - expected) * (times - expected) / expected;
      rest_expected -= expected;
      ++cells;
    }
    if (rest_expected > 10) {
      statistic += (rest_seen - rest_expected) * (rest_seen - rest_expected) / rest_expected;
      ++cells;
    }
    INFO("kinds ", counts.size(), " individuals ", again.individuals(), " cells ", cells);
    // A chi-square has mean df and variance 2 df; four deviations, with room for its skew at few cells.
    if (cells > 1) CHECK(statistic < cells - 1 + 4 * std::sqrt(2 * (cells - 1)) + 6);
  }
}

TEST_CASE("the spread of drawn numbers is that of the multinomial, few or a thousand million" *
          doctest::test_suite("many draws")) {
  for (const std::vector<std::int64_t>& counts : {std::vector<std::int64_t>{400, 100, 3, 1200},
                                                  {9000, 7000, 10},
                                                  {12'000, 20'000, 5},
                                                  {999'000'000, 1'000'000, 3}}) {
    const core::RepeatedMultinomial again(counts);
    const double n = of(again.individuals());
    core::Random random(1, 2);
    std::vector<std::int64_t> drawn(counts.size());
    std::vector<double> sum(counts.size()), squares(counts.size());
    double across = 0;
    constexpr int kDraws = 20'000;
    for (int d = 0; d < kDraws; ++d) {
      again.draw(random, drawn);
      CHECK_MESSAGE(std::accumulate(drawn.begin(), drawn.end(), std::int64_t{0}) == again.individuals(), d);
      for (std::size_t i = 0; i < counts.size(); ++i) {
        const double off = of(drawn[i] - counts[i]);
        sum[i] += off, squares[i] += off * off;
      }
      across += of(drawn[0] - counts[0]) * of(drawn[1] - counts[1]);
    }
    INFO("individuals ", again.individuals());
    for (std::size_t i = 0; i < counts.size(); ++i) {
      const double variance = of(counts[i]) * (1 - of(counts[i]) / n);
      CHECK(near(sum[i] / kDraws, 0, 4 * std::sqrt(variance / kDraws)));
      // The variance of a squared deviation: 2 for a normal, 2 + 1 / variance for a Poisson-like one.
      CHECK(near(squares[i] / kDraws / variance, 1, 4 * std::sqrt((2 + 1 / variance) / kDraws)));
    }
    const double p = of(counts[0]) / n, q = of(counts[1]) / n;
    // Covariance -n p q; the product's variance is at most twice the product of the two variances.
    CHECK(near(across / kDraws, -n * p * q, 4 * n * std::sqrt(2 * p * (1 - p) * q * (1 - q) / kDraws)));
  }
}

TEST_CASE("nobody to draw draws nobody") {
  core::Random random(1, 1);
  std::vector<std::int64_t> drawn = {7, 7};
  core::RepeatedMultinomial(std::vector<std::int64_t>{0, 0}).draw(random, drawn);
  CHECK(drawn == std::vector<std::int64_t>{0, 0});
  core::RepeatedMultinomial(std::vector<std::int64_t>{}).draw(random, {});
}
