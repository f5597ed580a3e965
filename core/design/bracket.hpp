// Why: what an outfall does is seen between two spots of one water: a control above it, and one below where its water has mixed in.
// Use: Suggestions s = suggest_bracket(source, options, {.clear = {.mixing_m = 300}, .below = 2});
//
// Both stand on the outfall's own stretch, from one confluence or split to the next:
// * the control at least clear_m above the outfall and below the confluence above it, with no other outfall in between, and beyond the
//   mixing distance of any outfall above itself; where the confluence leaves no room, it is sought on the larger of the waters that
//   meet there, and the reason says that the other's water is not in it;
// * those below beyond the mixing distance, each farther one by as much again, clear_m above the next outfall and the next
//   confluence.
// How far below an outfall its water has mixed in over the whole width depends on width, depth, bends and flow; no single published
// distance exists, so the user sets it.
#pragma once

#include <vector>

#include "core/design/clearance.hpp"
#include "core/design/suggestion.hpp"

namespace brookmark::core {

struct BracketOptions {
  ClearOptions clear = {};                  // the mixing distance must be said: there is no default
  std::size_t below = 1;                    // spots below each outfall, 1 or more
  std::vector<OutfallIndex> outfalls = {};  // empty: all in use on the day
};

// In the order of the outfalls, the control before those below. A site that stands in the right place already is told in a note and
// nothing is suggested beside it; so is every spot that cannot be had, and why. Throws Error(kBadUse) without a mixing distance,
// Error(kNotFound) where there is no outfall to bracket; else as find_spots does.
Suggestions suggest_bracket(const DesignSource& source, const DesignOptions& options,
                            const BracketOptions& bracket);

}  // namespace brookmark::core
