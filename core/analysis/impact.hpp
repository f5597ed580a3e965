// Why: "it got worse below the outfall" may be the wet year that made it worse everywhere. A control site above tells what would
// have happened anyway: what counts is whether the difference between the two is another after the event than before.
// Use: Impact i = assess_impact(values, control, impact, {.event = date});  i.change->p, i.words
//
// Before/after/control comparison of pairs (Green 1979, Sampling Design and Statistical Methods for Environmental Biologists;
// Stewart-Oaten, Murdoch & Parker 1986, Ecology 67:929-940; both memory), judged by permutation (permutation.hpp) instead of a
// t test. It shows that the two sides of a day differ. Most days near a change do, so it does not show that the change came
// on that day, and what caused it is for people to say.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/analysis/permutation.hpp"
#include "core/analysis/site_values.hpp"
#include "core/network/channels.hpp"

namespace brookmark::core {

// Pairs farther apart than this see different water. Common practice, no source.
inline constexpr int kMostDaysApart = 14;

struct ImpactOptions {
  Date event = {};                       // its day belongs to "after"
  int most_days_apart = kMostDaysApart;  // of the two samples of a pair; 0: the same day
  PermutationOptions permutation = {};
};

// One visit to each site. Several values of one site, day and way are their median.
struct ImpactPair {
  Date control_date, impact_date;
  double control = 0, impact = 0;
  std::string way;  // the same at both: sampling protocol or unit
  bool after = false;
  double difference() const { return impact - control; }
};

struct Impact {
  std::vector<ImpactPair> pairs;  // by date at the impact site; both of a pair lie on one side of the event
  std::size_t before = 0, after = 0;
  std::optional<double> mean_before, mean_after;  // of the differences impact - control
  std::optional<PermutationResult> change;        // of the mean difference, after less before
  std::optional<PermutationResult> against_none;  // is the mean difference after the event zero?
  std::string change_why_not,
      against_none_why_not;  // a sentence where there are too few pairs, with the smallest p
  // "the difference is lower after 2022-03-01 than before, for the worse (p = 0.012); that it changed on that day is not
  // shown", "no change of the difference shown", "no answer".
  std::string words;
  std::string note;  // pairs left out and why; what to be careful of
};

// Pairs are formed nearest in time first, each value used once, within one way and one season (a quarter from December on).
// Refuses a test (absent, with a sentence) whose smallest attainable p is above 0.05: fewer than 4 and 4, 3 and 5, 2 and 8 or
// 1 and 39 pairs for the change, fewer than 6 for the difference after. Pairs taken in a way that is not there both
// before and after do not enter the change. Throws Error(kBadUse) where control and impact are one site or days apart are
// below 0.
Impact assess_impact(const SiteValues& values, SiteIndex control, SiteIndex impact,
                     const ImpactOptions& options);

// Whether the two sites lie as they should: the control upstream of the impact site by channel and, where an outfall is
// given, that draining to the impact site and not to the control. A sentence for each that does not hold or cannot be said;
// empty where all do.
std::string impact_setting(const Snapshot& snapshot, const ChannelNetwork& network, SiteIndex control,
                           SiteIndex impact, OutfallIndex outfall = OutfallIndex::none());

}  // namespace brookmark::core
