// Why: for one day's diverse catch the few spots should differ as much as they can, in place and in kind of habitat.
// Use: Suggestions s = suggest_variety(source, options, {});
//
// Each variable is brought to mean 0 and standard deviation 1 over the free spots of the area, so that none counts more for its
// unit; one of words becomes a 0 or 1 for each word, and all of these together have that deviation. The spots chosen are those whose smallest distance to one another is as large as can be (max-min distance; the greedy choice
// of the farthest next reaches at least half of the best: Gonzalez 1985, Theor. Comput. Sci. 38:293-306; memory), bettered by
// exchanges while that helps.
#pragma once

#include <string>
#include <vector>

#include "core/design/habitat.hpp"

namespace brookmark::core {

struct VarietyOptions {
  // Only spots at which all of these are known are chosen among. Empty: every variable that is known at each spot, what was measured
  // left aside.
  std::vector<HabitatChoice> by = {};
  HeightAt height = {};  // for altitude and slope
};

// A variable that is the same everywhere is left out and told. The seed is not used: there is nothing of chance in it. Throws as
// find_spots and habitat_column do, Error(kBadUse) for a count of 0, Error(kNotFound) where no spot has all variables asked for.
Suggestions suggest_variety(const DesignSource& source, const DesignOptions& options,
                            const VarietyOptions& variety = {});

// `count` of the points (rows of `width` values) whose smallest distance is large: ascending. All of them where there are no more.
std::vector<std::uint32_t> most_different(std::span<const double> values, std::size_t width,
                                          std::size_t count);
// The smallest distance between two of these rows; nothing for fewer than two.
std::optional<double> smallest_distance(std::span<const double> values, std::size_t width,
                                        std::span<const std::uint32_t> rows);

}  // namespace brookmark::core
