// Why: two catches can be equally rich and share not one kind. How alike they are in what lives there, and in how
// many of each.
// Use: std::vector<SampleSimilarity> p = similarity_of(snapshot, {{a, b}});  p[0].bray_curtis, p[0].note
//
// Which taxa a sample has, and with how many animals, is decided in taxon_counts.hpp. On top of that, for two samples
// as named: a name in one of them and something finer within it in the other cannot be told apart, so both
// count as the coarser name (common practice, no source). Better compare at a rank that both were named to.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "core/scoring/taxon_counts.hpp"
#include "core/survey/snapshot.hpp"

namespace brookmark::core {

// Both are 1 for two equal catches and 0 for two without a common taxon; 1 minus each is the dissimilarity of the same
// name. Both lists hold one number a taxon, the same taxa in the same order, 0 or more.

// 2 sum(min(a, b)) / (sum(a) + sum(b)) (Bray & Curtis 1957, Ecol. Monogr. 27, p. 325; they give one minus this as the
// distance). Nothing where neither has an animal.
std::optional<double> bray_curtis_similarity(std::span<const double> a, std::span<const double> b);
// 2 c / (taxa of a + taxa of b), c in both (Sorensen 1948, Biol. Skr. 5(4)). Nothing where neither has a taxon.
std::optional<double> sorensen_similarity(std::size_t taxa_a, std::size_t taxa_b, std::size_t shared);

struct SampleSimilarity {
  SampleIndex a, b;
  std::size_t taxa_a = 0, taxa_b = 0, shared = 0;  // as counted for this pair
  std::optional<double>
      bray_curtis;                 // similarity; of the whole catches, where only shares of them were sorted
  std::optional<double> sorensen;  // similarity
  std::string note;                // what is missing and why, what was counted under a coarser name
};

std::vector<SampleSimilarity> similarity_of(const Snapshot& snapshot,
                                            std::span<const std::pair<SampleIndex, SampleIndex>> pairs,
                                            std::optional<Rank> rank = std::nullopt);

// Every two samples, blanks left out: of one site, or of the whole survey without a site; up to a date.
std::vector<std::pair<SampleIndex, SampleIndex>> sample_pairs(const Snapshot& snapshot,
                                                              std::optional<SiteIndex> site, Date until);

}  // namespace brookmark::core
