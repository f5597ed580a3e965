// Why: when nothing is known yet, or all of it should be told by a few, spots are drawn evenly over the channels or waters, each
// with a known chance, so that what is found there can be weighed up to the whole.
// Use: Suggestions s = suggest_spread(source, options, {.strata = Strata::kOrder});
//
// The design is the local pivotal method (balanced_sample.hpp). Chances are in proportion to length of channel; each water counts as
// one. Metres of channel and waters are strata of their own, and so never in one sum. Strata get their points one by one, first
// one each in order of size while there are enough, then each to the stratum with the most size for each point it has (the
// divisors 1/2, 3/2, 5/2 ... of Webster and Sainte-Lague; memory).
// A site that is there counts as a point of its stratum and lowers the chances around it (legacy_sites.hpp). What each stands for is
// shared as Foster et al. 2017 weigh the two estimates together (secondary): the whole is parted by number, so that n spots and m sites
// stand for the (n + m)th part each. It holds so far as the sites were not picked for being special. The weight, 1 / chance, weighs the
// new spots alone up to all that had a chance, in the mean over many draws: to the strata that got a point, but for the places where sites
// stand. What had none is named in the notes.
#pragma once

#include "core/design/suggestion.hpp"

namespace brookmark::core {

enum class Strata : std::uint8_t { kNone, kKind, kOrder, kCatchment };

struct SpreadOptions {
  Strata strata = Strata::kNone;
  bool count_sites =
      true;  // existing sites, but retired ones and proposed ones without a sample; false: as if there were none
};

// Fewer than asked where there are fewer spots; a note says so. Throws as find_spots does, and Error(kBadUse) for a count of 0.
Suggestions suggest_spread(const DesignSource& source, const DesignOptions& options,
                           const SpreadOptions& spread = {});

// Points to strata: `there` holds those that they have already. At most `most` in each.
std::vector<std::size_t> share_points(std::span<const double> sizes, std::span<const std::size_t> there,
                                      std::span<const std::size_t> most, std::size_t points);

}  // namespace brookmark::core
