// Why: quality falls between two sites and several things may be to blame. The next visit should clear half of them.
// Use: Suggestions s = suggest_narrow(source, options, task, {});  s.visits_left
//
// What is suspect: the channel between the two sites, each outfall in use on it, and each tributary that comes in between with the
// outfalls it brings. A spot at which the water is bad already clears all below it; one at which it is good still, all above.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

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

// The stretch between two sites as suspects and spots; spots are those of `found` that lie on it.
SuspectStretch suspects_of(const DesignSource& source, const Drop& fall, const SpotFrame& found,
                           const NarrowOptions& narrow);

// A fall to narrow down, and how it is shared out among the sites between its two ends.
struct FallToNarrow {
  Drop fall;                // over the stretch that is left to narrow down
  std::vector<Drop> steps;  // neighbours on the way, uppermost first; of two neighbours none
  // Where sites between leave only a part of the stretch: the fall that was asked for, and what they say.
  std::optional<Drop> asked = {};
  std::string evidence = {};
};

// What falls are found by.
struct FallSource {
  const Snapshot& snapshot;
  const ScoreTable& scores;
  std::size_t metric;
  const ChannelNetwork& network;
  const Period& period;
};
// The worst of the falls, as find_drops gives them. Throws AnswerIsNo where quality falls nowhere.
FallToNarrow worst_fall(std::span<const Drop> falls);
// That between any two sites on one flow path, by code, whatever sites stand between; `falls` are those of the source. A site between
// that is still good leaves only what lies below it, one that is bad already only what lies above it (see sites_between.cpp for which is
// which). Throws Error(kNotFound) with a sentence: no such site, a site without a position or on no channel, no water that runs from the
// one to the other; AnswerIsNo: no sample that counts, or no fall.
FallToNarrow fall_between(const FallSource& source, std::span<const Drop> falls, std::string_view up,
                          std::string_view down);

// "on the way from A to C: A to B no difference, B to C worse by 12.00; it falls most between B and C, ..."; empty for neighbours.
std::string steps_words(const Snapshot& snapshot, const FallToNarrow& task);

// options.count spots: the first halves the suspects, each further one the heaviest part that is left, and says after which answer it is
// needed; visits_left is what may still be needed after all of them. The count is a day's round: one at a time needs the fewest visits.
// How the fall is shared out between sites on the way is told. Throws AnswerIsNo where nothing is left to tell apart, or no free spot
// lies between; else as find_spots does.
Suggestions suggest_narrow(const DesignSource& source, const DesignOptions& options, const FallToNarrow& task,
                           const NarrowOptions& narrow = {});

}  // namespace brookmark::core
