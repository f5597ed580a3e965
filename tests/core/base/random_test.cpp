#include "core/base/random.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <vector>

#include "tests/support/near.hpp"

using namespace brookmark::test;
namespace core = brookmark::core;

namespace {

// Probability of k of n by the formula itself, in logarithms.
double binomial_probability(std::int64_t n, std::int64_t k, double p) {
  const auto of = [](std::int64_t v) { return static_cast<double>(v); };
  return std::exp(std::lgamma(of(n) + 1) - std::lgamma(of(k) + 1) - std::lgamma(of(n - k) + 1) +
                  of(k) * std::log(p) + of(n - k) * std::log1p(-p));
}

// Pearson's statistic over cells of at least 10 expected, as standard normal deviate (Wilson & Hilferty 1931).
double deviate(const std::vector<double>& expected, const std::vector<double>& seen) {
  double statistic = 0, cell_expected = 0, cell_seen = 0;
  int cells = 0;
  for (std::size_t i = 0; i < expected.size(); ++i) {
    cell_expected += expected[i];
    cell_seen += seen[i];
    const double rest =
        std::accumulate(expected.begin() + static_cast<std::ptrdiff_t>(i) + 1, expected.end(), 0.0);
    if (cell_expected < 10 || (rest < 10 && i + 1 != expected.size())) continue;
    statistic += (cell_seen - cell_expected) * (cell_seen - cell_expected) / cell_expected;
    cell_expected = cell_seen = 0;
    ++cells;
  }
  const double df = cells - 1;
  return (std::cbrt(statistic / df) - (1 - 2 / (9 * df))) / std::sqrt(2 / (9 * df));
}

}  // namespace

TEST_CASE("the generator gives the published known answers") {
  // Philox 4x32-10 known-answer vectors of its authors' reference implementation (kat_vectors).
  CHECK(core::philox_4x32_10({0, 0, 0, 0}, {0, 0}) ==
        core::PhiloxBlock{0x6627e8d5, 0xe169c58d, 0xbc57ac4c, 0x9b00dbd8});
  constexpr std::uint32_t ones = 0xffffffff;
  CHECK(core::philox_4x32_10({ones, ones, ones, ones}, {ones, ones}) ==
        core::PhiloxBlock{0x408f276d, 0x41c83b0e, 0xa20bc7c6, 0x6d5451fd});
  CHECK(core::philox_4x32_10({0x243f6a88, 0x85a308d3, 0x13198a2e, 0x03707344}, {0xa4093822, 0x299f31d0}) ==
        core::PhiloxBlock{0xd16cfe09, 0x94fdcceb, 0x5001e420, 0x24126ea1});
}

TEST_CASE("a stream is the blocks of its counter, in order") {
  const std::uint64_t seed = 0x123456789abcdef0, stream = 0x0fedcba987654321;
  core::Random random(seed, stream);
  bool same = true;
  for (std::uint32_t position = 0; position < 100; ++position)
    for (const std::uint32_t word :
         core::philox_4x32_10({position, 0, 0x87654321, 0x0fedcba9}, {0x9abcdef0, 0x12345678}))
      same = same && random.next_32() == word;
  CHECK(same);
}

TEST_CASE("streams are named by text and differ") {
  CHECK(core::stream_of("") == 0xcbf29ce484222325);   // FNV-1a's offset basis
  CHECK(core::stream_of("a") == 0xaf63dc4c8601ec8c);  // published test value of FNV-1a, 64 bits
  CHECK(core::Random(1, core::stream_of("S1")).next_64() != core::Random(1, core::stream_of("S2")).next_64());
  CHECK(core::Random(1, 7).next_64() != core::Random(2, 7).next_64());
}

TEST_CASE("uniform numbers are even, and neighbours and streams are not alike") {
  core::Random random(20240503, 1), beside(20240503, 2);
  constexpr int kDraws = 400'000, kBins = 100;
  std::vector<double> expected(kBins, kDraws / static_cast<double>(kBins)), seen(kBins, 0);
  double lag = 0, across = 0, before = 0.5, least = 1, most = 0;
  for (int i = 0; i < kDraws; ++i) {
    const double u = random.uniform();
    least = std::min(least, u), most = std::max(most, u);
    seen[static_cast<std::size_t>(u * kBins)] += 1;
    lag += (u - 0.5) * (before - 0.5);
    across += (u - 0.5) * (beside.uniform() - 0.5);
    before = u;
  }
  CHECK(least >= 0);
  CHECK(most < 1);
  CHECK(std::abs(deviate(expected, seen)) < 4);  // 1 in 16,000 by chance; the seed is fixed
  // A correlation of n pairs has standard deviation 1 / sqrt(n).
  CHECK(near(lag / kDraws * 12, 0, 4 / std::sqrt(kDraws)));
  CHECK(near(across / kDraws * 12, 0, 4 / std::sqrt(kDraws)));
}

TEST_CASE("a whole number below n is even and never n") {
  core::Random random(5, 5);
  for (const std::uint64_t n : {1ULL, 2ULL, 3ULL, 7ULL, 100ULL}) {
    std::vector<double> expected(n, 100'000.0 / static_cast<double>(n)), seen(n, 0);
    for (int i = 0; i < 100'000; ++i) seen.at(random.below(n)) += 1;
    if (n > 1) CHECK(std::abs(deviate(expected, seen)) < 4);
  }
  // Without rejection the lower third of this range would come up twice as often.
  const std::uint64_t n = 3ULL << 30;
  int low = 0;
  for (int i = 0; i < 30'000; ++i) low += random.below(n) < n / 3 ? 1 : 0;
  CHECK(near(low, 10'000, 4 * std::sqrt(30'000 * 2.0 / 9)));
  const std::uint64_t huge = (1ULL << 63) + 12345;
  int half = 0;
  for (int i = 0; i < 10'000; ++i) {
    const std::uint64_t drawn = random.below(huge);
    CHECK_MESSAGE(drawn < huge, drawn);
    half += drawn < huge / 2 ? 1 : 0;
  }
  CHECK(near(half, 5000, 4 * 50));
}

TEST_CASE("binomial draws follow their exact probabilities, by both ways of drawing" *
          doctest::test_suite("many draws")) {
  core::Random random(11, 3);
  struct Case {
    std::int64_t n;
    double p;
  };
  for (const auto& [n, p] : {Case{1, 0.3},
                             {5, 0.5},
                             {40, 0.05},
                             {40, 0.24},
                             {40, 0.26},
                             {40, 0.9},
                             {200, 0.1},
                             {1000, 0.5},
                             {20'000, 0.001}}) {
    constexpr int kDraws = 200'000;
    std::vector<double> expected(static_cast<std::size_t>(n) + 1), seen(static_cast<std::size_t>(n) + 1, 0);
    for (std::int64_t k = 0; k <= n; ++k)
      expected[static_cast<std::size_t>(k)] = kDraws * binomial_probability(n, k, p);
    for (int i = 0; i < kDraws; ++i)
      seen.at(static_cast<std::size_t>(core::draw_binomial(random, n, p))) += 1;
    INFO("n ", n, " p ", p);
    CHECK(std::abs(deviate(expected, seen)) < 4);
  }
}

TEST_CASE("binomial draws keep to their ends") {
  core::Random random(1, 1);
  CHECK(core::draw_binomial(random, 0, 0.5) == 0);
  CHECK(core::draw_binomial(random, 10, 0) == 0);
  CHECK(core::draw_binomial(random, 10, 1) == 10);
  CHECK(core::draw_binomial(random, 1'000'000'000, 1e-300) == 0);
  // A thousand million trials: mean and spread within four standard errors of those of the formula.
  const double n = 1e9, p = 0.3, deviation = std::sqrt(n * p * (1 - p));
  double sum = 0, squares = 0;
  constexpr int kDraws = 20'000;
  for (int i = 0; i < kDraws; ++i) {
    const double off = static_cast<double>(core::draw_binomial(random, 1'000'000'000, p)) - n * p;
    sum += off, squares += off * off;
  }
  CHECK(near(sum / kDraws, 0, 4 * deviation / std::sqrt(kDraws)));
  CHECK(near(squares / kDraws / (deviation * deviation), 1, 4 * std::sqrt(2.0 / kDraws)));
}

TEST_CASE("multinomial draws add up and follow their exact probabilities") {
  core::Random random(17, 9);
  const std::vector<double> weights = {2, 0, 1, 1};
  std::map<std::vector<std::int64_t>, double> seen;
  std::vector<std::int64_t> counts(4);
  constexpr int kDraws = 200'000;
  for (int i = 0; i < kDraws; ++i) {
    core::draw_multinomial(random, 4, weights, counts);
    CHECK_MESSAGE(std::accumulate(counts.begin(), counts.end(), std::int64_t{0}) == 4, i);
    seen[counts] += 1;
  }
  std::vector<double> expected, drawn;
  for (std::int64_t a = 0; a <= 4; ++a)
    for (std::int64_t b = 0; a + b <= 4; ++b) {
      const std::int64_t c = 4 - a - b;
      const auto factorial = [](std::int64_t k) { return std::tgamma(static_cast<double>(k) + 1); };
      expected.push_back(kDraws * 24 / (factorial(a) * factorial(b) * factorial(c)) *
                         std::pow(0.5, static_cast<double>(a)) * std::pow(0.25, static_cast<double>(b + c)));
      drawn.push_back(seen[{a, 0, b, c}]);
    }
  CHECK(std::accumulate(drawn.begin(), drawn.end(), 0.0) == kDraws);  // never a kind without weight
  CHECK(std::abs(deviate(expected, drawn)) < 4);
  core::draw_multinomial(random, 0, std::vector<double>{0, 0}, std::span(counts).first(2));
  CHECK(counts[0] + counts[1] == 0);
}
