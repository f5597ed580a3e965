// Why: spots are to differ in habitat, and what is known of habitat lies in the network, in a terrain model, and at the sites where
// somebody looked. For every spot a value of every variable, or nothing where nobody knows.
// Use: HabitatColumn c = habitat_column(source, spots, {HabitatVariable::kHabitat}, {});  c.known()
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <string_view>
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
  kKind,      // of the water, in words: of a named channel that of the sites on it, where they agree
  kHabitat,  // what was noted of the habitat at the site that speaks for the spot, in words: "riffle, cobbles" is two
  kAltitude,  // metres, of a terrain model
  kSlope,  // metres in 1000 m down the channel, 100 m up and down within its edge, of a terrain model; 0 at a water
  kMeasured,  // the mean of what was measured at the site that speaks for the spot; with the quantity's name
};
inline constexpr std::size_t kHabitatVariables =
    10;  // without kMeasured, which goes by the names of quantities
const char* habitat_variable_name(HabitatVariable variable);  // "east" ...
std::optional<HabitatVariable> parse_habitat_variable(std::string_view word);

struct HabitatChoice {
  HabitatVariable variable = HabitatVariable::kEast;
  std::string quantity = {};  // of kMeasured, as written
  bool operator==(const HabitatChoice&) const = default;
  std::string name() const {
    return variable == HabitatVariable::kMeasured ? quantity : habitat_variable_name(variable);
  }
};
// A word of a person: a variable, or the name of something that was measured in the survey. Throws Error(kNotFound), saying what
// there is.
HabitatChoice parse_habitat_choice(std::string_view word, const Snapshot& snapshot, Date until);

// Heights in metres; nothing where the terrain model has none. Empty: no terrain model.
using HeightAt = std::function<std::optional<double>(LonLat)>;

struct HabitatColumn {
  HabitatChoice choice;
  std::string unit;                            // of a measurement
  std::vector<std::optional<double>> numbers;  // one a spot; empty for words
  std::vector<std::vector<std::string>>
      words;  // one a spot, folded; empty for numbers. Nothing noted: an empty list
  bool is_words() const { return !words.empty(); }
  bool knows(std::size_t spot) const { return is_words() ? !words[spot].empty() : numbers[spot].has_value(); }
  std::size_t known() const;
};

// "riffle, gravel and silt" as "gravel", "riffle" and "silt".
std::vector<std::string> habitat_words(std::string_view noted);

// The site that speaks for a spot: on its own stretch of channel, from one confluence or split to the next, the nearest within
// kMeasuredReachM along the channel; at a water one that stands in it or at its shore (the nearest). Retired sites speak too: habitat outlives
// them. One a spot.
std::vector<std::optional<SiteIndex>> sites_for_spots(const DesignSource& source,
                                                      std::span<const Spot> spots);

// Throws Error(kBadUse) for altitude or slope without a terrain model, Error(kNotFound) for a quantity that was not measured.
HabitatColumn habitat_column(const DesignSource& source, std::span<const Spot> spots,
                             const HabitatChoice& choice, const HeightAt& height);

}  // namespace brookmark::core
