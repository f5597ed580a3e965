// Why: a handful of samples follows no textbook distribution. What chance alone could have done with these very numbers
// can be counted: every exchange of labels is tried, or, where they are too many, a stated number of seeded draws.
// Use: PermutationResult r = permute_groups(before, after);  r.p, r.low, r.high, r.exact
//
// p is two-sided: twice the smaller of the two one-sided shares, at most 1. The interval holds every shift that the same
// test, two-sided at 1 - level, does not refuse (inversion of the permutation test: Tritchler 1984, J. Am. Stat. Assoc.
// 79:200-207; Garthwaite 1996, Biometrics 52:1387-1393; both recalled: memory). It assumes that the groups differ by a
// shift and that samples are exchangeable: independent of each other, or at least of their order.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

namespace brookmark::core {

struct PermutationOptions {
  std::uint64_t exact_up_to = 200'000;  // arrangements; with more, `draws` random ones are taken instead
  std::uint64_t draws = 99'999;         // used only beyond exact_up_to
  std::uint64_t seed = 1;               // the same seed gives the same answer
  double level = 0.95;                  // of the interval, above 0 and below 1
};

struct PermutationResult {
  double statistic = 0;             // the mean difference, in the unit of the values
  double p = 1;                     // two-sided
  double smallest_p = 1;            // below this no data of this size can come: 2 / arrangements, at most 1
  bool exact = true;                // every arrangement was tried
  std::uint64_t arrangements = 1;   // tried, the one found included
  std::optional<double> low, high;  // absent where the arrangements are too few for the level
};

// Is the mean of paired differences zero? Their signs are exchanged: 2^n arrangements. Throws Error(kBadUse) for no
// differences at all or a value that is not finite.
PermutationResult permute_signs(std::span<const double> differences, const PermutationOptions& options = {});

// How much larger is the mean of `after` than that of `before`? Members of the groups are exchanged. Throws
// Error(kBadUse) for an empty group or a value that is not finite.
PermutationResult permute_groups(std::span<const double> before, std::span<const double> after,
                                 const PermutationOptions& options = {});

// Ranks 1..n; equal values share the mean of theirs.
std::vector<double> mid_ranks(std::span<const double> values);

struct SpearmanResult {
  double rho = 0;  // -1..1: the correlation of the ranks, equal values sharing the mean rank
  double p = 1;
  double smallest_p = 1;
  bool exact = true;
  std::uint64_t arrangements = 1;
  double chance_low = -1, chance_high = 1;  // where rho lies, at the level, if there is no relation at all
};

// Spearman 1904, Am. J. Psychol. 15:72-101 (memory). Nothing where there are fewer than three pairs or one side is all
// equal. Throws Error(kBadUse) for spans of different length or a value that is not finite.
std::optional<SpearmanResult> spearman(std::span<const double> x, std::span<const double> y,
                                       const PermutationOptions& options = {});

}  // namespace brookmark::core
