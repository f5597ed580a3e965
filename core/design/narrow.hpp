// Why: quality falls between two sites and several things may be to blame. The next visit should clear half of them.
// Use: Suggestions s = suggest_narrow(source, options, *fall, {});  s.visits_left
//
// What is suspect: the channel between the two sites, each outfall in use on it, and each tributary that comes in between with the
// outfalls it brings. A spot at which the water is bad already clears all below it; one at which it is good still, all above.
#pragma once

#include "core/analysis/drops.hpp"
#include "core/design/clearance.hpp"
#include "core/design/suggestion.hpp"
#include "core/design/suspects.hpp"

namespace brookmark::core {

struct NarrowOptions {
  // What an outfall and a tributary weigh, as metres of channel. Common practice, no source: change them for what is known.
  double outfall_m = 500;
  double tributary_m = 250;
  ClearOptions clear = {};  // no spot too near an outfall or a confluence
  double fine_m = 100;      // see SuspectStretch
};

// The stretch between two neighbours as suspects and spots; spots are those of `found` that lie on it.
SuspectStretch suspects_of(const DesignSource& source, const Drop& fall, const SpotFrame& found,
                           const NarrowOptions& narrow);

// options.count spots: the first halves the suspects, each further one the heaviest part that is left, and says after which answer it is
// needed; visits_left is what may still be needed after all of them. The count is a day's round: one at a time needs the fewest visits.
// Throws Error(kNotFound) where nothing is left to tell apart, or no free spot lies between; else as find_spots does.
Suggestions suggest_narrow(const DesignSource& source, const DesignOptions& options, const Drop& fall,
                           const NarrowOptions& narrow = {});

// The worst fall, or that between two sites by code. Throws Error(kNotFound) with a sentence: no such site, a site without a
// position or on no channel, no stretch between the two, or no fall.
const Drop& fall_to_narrow(const Snapshot& snapshot, const ChannelNetwork& network,
                           std::span<const Drop> falls, std::string_view up, std::string_view down);

}  // namespace brookmark::core
