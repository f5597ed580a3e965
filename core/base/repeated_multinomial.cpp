#include "core/base/repeated_multinomial.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace brookmark::core {

namespace {

constexpr std::uint32_t kGreatestMean = 512;  // of one Poisson table
constexpr std::int64_t kFewPerKind = 3;       // up to so many a kind it is quicker to let each one pick
constexpr std::int64_t kManyIndividuals = 16 * 1024;  // beyond it sqrt(n) picks cost more than binomials

// Poisson numbers of a whole mean, where a chance is at least 1e-18.
struct PoissonTable {
  std::uint32_t least = 0;
  AliasTable above_least;
};

PoissonTable make_poisson(std::uint32_t mean) {
  const double lambda = mean;
  const auto chance = [&](double k) { return std::exp(k * std::log(lambda) - lambda - std::lgamma(k + 1)); };
  constexpr double kNegligible = 1e-18;
  std::uint32_t least = mean, most = mean;
  while (least > 0 && chance(least - 1) >= kNegligible) --least;
  while (chance(most + 1) >= kNegligible) ++most;
  std::vector<double> chances;
  for (std::uint32_t k = least; k <= most; ++k) chances.push_back(chance(k));
  return {least, AliasTable(chances)};
}

// One table for each whole mean from 1 on; about 2 MB, made when first wanted.
const std::vector<PoissonTable>& poisson_tables() {
  static const std::vector<PoissonTable> tables = [] {
    std::vector<PoissonTable> made(1);
    for (std::uint32_t mean = 1; mean <= kGreatestMean; ++mean) made.push_back(make_poisson(mean));
    return made;
  }();
  return tables;
}

}  // namespace

AliasTable::AliasTable(std::span<const double> weights) : entries_(weights.size()) {
  double total = 0;
  for (const double weight : weights) total += weight;
  assert(total > 0);
  const double size = static_cast<double>(weights.size());
  std::vector<double> share(weights.size());  // of its own place; 1 is a full place
  std::vector<std::uint32_t> low, high;
  for (std::uint32_t i = 0; i < weights.size(); ++i) {
    share[i] = weights[i] / total * size;
    (share[i] < 1 ? low : high).push_back(i);
  }
  const auto fill = [&](std::uint32_t place, double own, std::uint32_t alias) {
    entries_[place] = {static_cast<std::uint32_t>(std::min(own * 0x1p32, 0x1p32 - 1)), alias};
  };
  while (!low.empty() && !high.empty()) {
    const std::uint32_t small = low.back(), large = high.back();
    low.pop_back();
    fill(small, share[small], large);
    share[large] -= 1 - share[small];
    if (share[large] < 1) {
      high.pop_back();
      low.push_back(large);
    }
  }
  // Full, but for rounding. A place of weight 0 is never left over: it is the first to find a large one.
  for (const std::uint32_t i : low) fill(i, 1, i);
  for (const std::uint32_t i : high) fill(i, 1, i);
}

RepeatedMultinomial::RepeatedMultinomial(std::span<const std::int64_t> counts) {
  for (const std::int64_t count : counts) individuals_ += count;
  if (individuals_ == 0) return;
  const std::vector<double> weights(counts.begin(), counts.end());
  if (individuals_ > kManyIndividuals) {
    weights_ = weights;
    return;
  }
  pick_ = AliasTable(weights);
  if (individuals_ <= kFewPerKind * static_cast<std::int64_t>(counts.size())) return;
  for (std::uint32_t kind = 0; kind < counts.size(); ++kind)
    for (auto left = static_cast<std::uint32_t>(counts[kind]); left > 0;) {
      const std::uint32_t mean = std::min(left, kGreatestMean);
      parts_.push_back({kind, mean});
      left -= mean;
    }
}

void RepeatedMultinomial::draw(Random& random, std::span<std::int64_t> drawn) const {
  if (!weights_.empty()) {
    draw_multinomial(random, individuals_, weights_, drawn);
    return;
  }
  std::int64_t missing = individuals_;
  if (parts_.empty()) {
    std::fill(drawn.begin(), drawn.end(), 0);
  } else {
    const PoissonTable* const tables = poisson_tables().data();
    do {
      std::fill(drawn.begin(), drawn.end(), 0);
      missing = individuals_;
      for (const Part part : parts_) {
        const PoissonTable& table = tables[part.mean];
        const std::int64_t number = table.least + table.above_least.draw(random);
        drawn[part.kind] += number;
        missing -= number;
      }
    } while (missing < 0);
  }
  for (; missing > 0; --missing) ++drawn[pick_.draw(random)];
}

}  // namespace brookmark::core
