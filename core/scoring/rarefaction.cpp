#include "core/scoring/rarefaction.hpp"

#include <algorithm>
#include <cmath>

namespace brookmark::core {

namespace {

constexpr std::int64_t kTable = 4096;  // miss probabilities that are worked out in one go
constexpr std::int64_t kFactors =
    1 << 16;  // that many are multiplied one by one; of more the logarithm is summed

// ln(a! / (a - m)!) by Stirling's series (Abramowitz & Stegun 1964, 6.1.40), arranged so that nothing large
// cancels; a - m >= 1.
long double log_falling(long double a, long double m) {
  const long double b = a - m;
  const long double series = (1 / a - 1 / b) / 12 - (1 / (a * a * a) - 1 / (b * b * b)) / 360;
  return m * std::log(a) - (b + 0.5L) * std::log1p(-m / a) - m + series;
}

// The logarithm of the chance, for many factors.
long double log_miss(std::int64_t all, std::int64_t few, std::int64_t many) {
  const auto a = static_cast<long double>(all), m = static_cast<long double>(few);
  return log_falling(a - static_cast<long double>(many), m) - log_falling(a, m);
}

// A taxon's chance to be missed and to be seen, each with all its digits.
struct Chance {
  long double miss = 1, seen = 0;
};

Chance chance_of(std::int64_t all, std::int64_t n, std::int64_t k) {
  const std::int64_t few = std::min(n, k), many = std::max(n, k);
  if (few > all - many) return {0, 1};
  if (few > kFactors && few < all - many) {
    const long double log = log_miss(all, few, many);
    return {std::exp(log), -std::expm1(log)};
  }
  Chance chance;
  for (std::int64_t i = 0; i < few && chance.miss != 0; ++i) {
    const auto left = static_cast<long double>(all - i);
    chance.seen += chance.miss * (static_cast<long double>(many) / left);
    chance.miss *= static_cast<long double>(all - many - i) / left;
  }
  return chance;
}

// How much rarer it is that two taxa of `a` and `b` animals are both missed than if each were missed by itself.
long double covariance(std::int64_t all, std::int64_t n, std::int64_t a, std::int64_t b) {
  const long double apart = chance_of(all, n, a).miss * chance_of(all, n, b).miss;
  if (apart == 0 || a + b > all - n) return -apart;
  const std::int64_t few = std::min(a, b), many = std::max(a, b);
  if (few > kFactors) return chance_of(all, n, a + b).miss - apart;
  long double log = 0;
  for (std::int64_t i = 0; i < few; ++i)
    log += std::log1p(-static_cast<long double>(many) * static_cast<long double>(n) /
                      (static_cast<long double>(all - many - i) * static_cast<long double>(all - n - i)));
  return apart * std::expm1(log);
}

// The variance of the number of taxa drawn, with as many digits as can be had: slow.
long double careful_variance(std::span<const CountGroup> groups, std::int64_t all, std::int64_t n) {
  long double variance = 0;
  for (std::size_t i = 0; i < groups.size(); ++i) {
    const auto taxa = static_cast<long double>(groups[i].taxa);
    const Chance chance = chance_of(all, n, groups[i].animals);
    if (chance.miss == 0) break;
    variance += taxa * chance.miss * chance.seen;
    if (groups[i].taxa > 1)
      variance += taxa * (taxa - 1) * covariance(all, n, groups[i].animals, groups[i].animals);
    for (std::size_t j = 0; j < i; ++j)
      variance += 2 * taxa * static_cast<long double>(groups[j].taxa) *
                  covariance(all, n, groups[i].animals, groups[j].animals);
  }
  return variance;
}

}  // namespace

double miss_probability(std::int64_t all, std::int64_t n, std::int64_t k) {
  return static_cast<double>(chance_of(all, n, k).miss);
}

Rarefier::Rarefier() : miss_(static_cast<std::size_t>(kTable) + 1) {}

std::optional<Rarefied> Rarefier::rarefy(std::span<const CountGroup> groups, std::int64_t n) {
  std::int64_t all = 0, taxa = 0;
  for (const CountGroup& group : groups) {
    all += group.animals * group.taxa;
    taxa += group.taxa;
  }
  if (n < 1 || n > all) return std::nullopt;
  // No chance is left in these: all are drawn, one is drawn, or every animal is of its own kind.
  if (n == all) return Rarefied{static_cast<double>(taxa), 0};
  if (n == 1 || taxa == 1) return Rarefied{1, 0};
  if (groups.back().animals == 1) return Rarefied{static_cast<double>(n), 0};

  const std::int64_t end = std::min({2 * groups.back().animals, all - n, kTable});
  miss_[0] = 1;
  const double rest = static_cast<double>(all - n + 1), whole = static_cast<double>(all + 1);
  for (std::int64_t k = 1; k <= end; ++k) {
    const double at = static_cast<double>(k);
    miss_[static_cast<std::size_t>(k)] =
        miss_[static_cast<std::size_t>(k - 1)] * ((rest - at) / (whole - at));
  }
  const auto miss = [&](std::int64_t k) {
    if (k > all - n) return 0.0;
    return k <= end ? miss_[static_cast<std::size_t>(k)] : miss_probability(all, n, k);
  };

  Rarefied rarefied;
  double variance = 0, sum = 0;
  for (std::size_t i = 0; i < groups.size(); ++i) {
    const double p = miss(groups[i].animals), in_group = static_cast<double>(groups[i].taxa);
    rarefied.taxa += in_group * (1 - p);
    if (p == 0) continue;  // never missed, as are all commoner taxa
    variance += in_group * p * (1 - p);
    sum += in_group * p;
    if (groups[i].taxa > 1) variance += in_group * (in_group - 1) * (miss(2 * groups[i].animals) - p * p);
    double pairs = 0;
    for (std::size_t j = 0; j < i; ++j)
      pairs += static_cast<double>(groups[j].taxa) *
               (miss(groups[i].animals + groups[j].animals) - p * miss(groups[j].animals));
    variance += 2 * in_group * pairs;
  }
  // Where nearly all of it cancelled, again with more digits.
  if (variance < 1e-5 * (sum + sum * sum)) variance = static_cast<double>(careful_variance(groups, all, n));
  rarefied.standard_error = std::sqrt(std::max(variance, 0.0));
  return rarefied;
}

}  // namespace brookmark::core
