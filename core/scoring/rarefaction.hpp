// Why: a sample of 300 animals has more kinds than one of 100 from the same water. Richness compares only at a
// common number of animals: how many kinds would n of them show, drawn at random without putting back?
// Use: Rarefier rarefier;  auto r = rarefier.rarefy(group_counts({12, 7, 1}), 10);  r->taxa, r->standard_error
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "core/scoring/diversity.hpp"

namespace brookmark::core {

struct Rarefied {
  double taxa = 0;  // expected number (Hurlbert 1971, Ecology 52, p. 577)
  // Of the drawing alone (Heck, van Belle & Simberloff 1975, Ecology 56, p. 1459): 0 when all animals are drawn.
  // It does not say how the sample would differ from another one of the same water.
  double standard_error = 0;
};

// The chance that none of `k` given animals is among `n` drawn out of `all` without putting back:
// C(all - k, n) / C(all, n). 0 <= k, n <= all < 2^53. Relative error below 1e-12 up to k or n of 10^7.
double miss_probability(std::int64_t all, std::int64_t n, std::int64_t k);

// Keeps its working memory from sample to sample; rarefying never allocates.
class Rarefier {
 public:
  Rarefier();
  // Nothing where n is below 1 or the sample has fewer animals than n.
  std::optional<Rarefied> rarefy(std::span<const CountGroup> groups, std::int64_t n);

 private:
  std::vector<double> miss_;  // miss_probability by k, up to a fixed k
};

}  // namespace brookmark::core
