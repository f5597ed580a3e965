// Why: for one day's diverse catch the few spots should differ as much as they can, in place and in kind of habitat.
// Use: Suggestions s = suggest_variety(source, options, {});
//
// Each variable is brought to mean 0 and standard deviation 1 over the free spots of the area, so that none counts more for its
// unit. The spots chosen are those whose smallest distance to one another is as large as can be (max-min distance; the greedy choice
// of the farthest next reaches at least half of the best: Gonzalez 1985, Theor. Comput. Sci. 38:293-306; memory), bettered by
// exchanges while that helps.
#pragma once

#include <string>
#include <vector>

#include "core/design/suggestion.hpp"

namespace brookmark::core {

enum class HabitatVariable : std::uint8_t {
  kEast,      // metres
  kNorth,     // metres
  kOrder,     // stream order; 0 at a water
  kUpstream,  // log10 of 1 + metres of channel that drain to it: how large the stream is; 0 at a water
  kBend,      // metres along the channel for a metre in a straight line, 100 m up and down; 1 at a water
  kStill,     // 1 at the shore of a water, 0 on a channel
};
inline constexpr std::size_t kHabitatVariables = 6;
const char* habitat_variable_name(HabitatVariable variable);  // "east" ...
std::optional<HabitatVariable> parse_habitat_variable(std::string_view word);

struct VarietyOptions {
  std::vector<HabitatVariable> by = {};  // empty: all
};

// A variable that is the same everywhere is left out and told. The seed is not used: there is nothing of chance in it. Throws as
// find_spots does, and Error(kBadUse) for a count of 0.
Suggestions suggest_variety(const DesignSource& source, const DesignOptions& options,
                            const VarietyOptions& variety = {});

// `count` of the points (rows of `width` values) whose smallest distance is large: ascending. All of them where there are no more.
std::vector<std::uint32_t> most_different(std::span<const double> values, std::size_t width,
                                          std::size_t count);
// The smallest distance between two of these rows; nothing for fewer than two.
std::optional<double> smallest_distance(std::span<const double> values, std::size_t width,
                                        std::span<const std::uint32_t> rows);

}  // namespace brookmark::core
