// Why: a map of classes shows which sites do badly; a surveyor wants to know between which two the quality falls, by
// how much, since when, and what enters there. Compared are neighbours on one flow path only (see site_chain.hpp),
// by samples of one season and method, taken within days of each other.
// Use: auto drops = find_drops(snapshot, scores, metric, network, period);
//      add_confidence(drops, snapshot, *scores.method, metric);
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/analysis/site_chain.hpp"
#include "core/scoring/confidence.hpp"
#include "core/scoring/score.hpp"

namespace brookmark::core {

struct DropOptions {
  // The two samples of a pair lie at most so many days apart, within one season. Common practice, no source.
  int max_days_apart = 30;
  // Only these sites are looked at: between two of them no other then stands. Empty: all.
  std::vector<SiteIndex> only = {};
};

// Two samples that may be compared: one season, at most max_days_apart, and not by two different protocols (a
// protocol that was not noted agrees with any). Each sample stands in one pair at most: the pairs with the fewest
// days between them are made first, of equals the newer. Of one site's samples of one day the routine one is taken.
struct SamplePair {
  SampleIndex up, down;
  Season season = Season::kWinter;
  // How much worse the index is below than above, in the metric's unit: above minus below where higher is better,
  // else below minus above. Negative: it is better below. Empty: one of the two is a collapse and has no value.
  std::optional<double> fall;
  bool collapse_up = false, collapse_down = false;
  std::uint8_t rank_up = 0, rank_down = 0;  // 0: no class

  // Worse below: a fall above 0, or a collapse below only.
  bool is_worse() const { return fall ? *fall > 0 : collapse_down && !collapse_up; }
};

// How sure a fall is: of what the two samples' counts alone can tell, so with their own cautions (`rests_on`).
struct FallConfidence {
  double low = 0, high = 0;  // of the fall
  // Of a fall above 0: the share of draws in which the index is worse below; a draw in which both are equal counts half,
  // so that two like samples have about 0.5.
  double probability = 0;
  // What the draws of the two samples cover and what not, as confidence_text says it; only after add_confidence.
  std::string rests_on;
};

struct StretchOutfall {
  OutfallIndex outfall;
  double distance_m = 0;   // down to the lower site
  bool from_side = false;  // comes by a tributary or another arm, not straight into the stretch
};

struct StretchTributary {
  ReachIndex reach;       // its last
  double distance_m = 0;  // from where it enters down to the lower site
};

// What lies between two neighbours, and what their samples say.
struct Drop {
  SiteIndex up, down;  // those of the newest pair; without one the first sites of the two places
  FlowStretch stretch;
  std::vector<SamplePair> pairs;  // all of the period, oldest first; the last one is the picture at its end
  std::optional<FallConfidence> confidence;  // of the newest pair; only after add_confidence
  // In use on the day of the lower sample of the newest pair (without a pair: on the last day asked for), uppermost first.
  std::vector<StretchOutfall> outfalls;
  std::vector<StretchTributary> tributaries;  // uppermost first; of one name only the lowest
  // Only after add_confidence. The first pair (day of its lower sample) from which on every pair up to the newest is
  // clearly worse below; empty where the newest is not. A rule, not a test: one pair may be chance, so the count
  // stands beside it.
  std::optional<Date> since;
  std::size_t worse_in_a_row = 0;  // pairs from `since` on
  std::string note;                // sentences parted by "; ", empty where there is nothing to say

  const SamplePair* newest() const { return pairs.empty() ? nullptr : &pairs.back(); }
  bool is_worse() const { return !pairs.empty() && pairs.back().is_worse(); }
};

// Worst first: a collapse below a site that has a value; then, where the metric has classes, by how many are lost (a sum
// of scores differs most between two rich waters); then by fall; then those without a fall to give. Of equals the
// shorter stretch, then by code. Also neighbours that do not fall or have no pair are given.
std::vector<Drop> find_drops(const Snapshot& snapshot, const ScoreTable& scores, std::size_t metric,
                             const ChannelNetwork& network, const Period& period,
                             const DropOptions& options = {});

// Those of the drops whose stretches lie on the shortest way from the upper to the lower end of `whole`, the uppermost first: how a fall
// between two sites that are no neighbours is shared out among the sites between.
std::vector<Drop> drops_within(const Snapshot& snapshot, const ChannelNetwork& network, const Drop& whole,
                               std::span<const Drop> drops);

// Interval and probability of each newest pair that has a fall, by draws of both samples (see confidence.hpp), and since
// when the stretch has been clearly worse. A pair is clearly worse below
//  * by a collapse below only, or by a class lost;
//  * or, with one class at both, by a fall whose whole interval lies above 0;
//  * or, by a metric without classes whose samples cannot be drawn, by any fall above 0; the note then says so.
// Older pairs are drawn only where that decides. The note also says why a fall is not a clear one, why there is no
// probability, and when the falls reach back to the first pair there is.
void add_confidence(std::span<Drop> drops, const Snapshot& snapshot, const Method& method, std::size_t metric,
                    const ConfidenceOptions& options = {});
// From the draws of two independent samples, one beside the other; draws in which one has no value are left out, and
// what lies within a millionth of 0 is 0. The interval is the one between the quantiles (1 - level) / 2 and
// (1 + level) / 2. `centred`: all are moved so that their middle one is their mean. Draws of counts have the sample's
// value for their mean (CONFIDENCE.md), but taxa are lost more often by ones than by many, so that most draws of a sum
// lie to one side of it. Nothing where no draw is left.
std::optional<FallConfidence> fall_confidence(std::span<const double> up, std::span<const double> down,
                                              bool higher_is_better, double level, bool centred);

// "OUT-2 storm sewage, 117 m above Q04" and so on, parted by "; ".
std::string outfalls_text(const Snapshot& snapshot, const Drop& drop);
std::string tributaries_text(const Snapshot& snapshot, const Drop& drop);

}  // namespace brookmark::core
