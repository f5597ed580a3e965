// Why: what the page of suggestions was asked, what it answered, and what a hand does with it, as plain values.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/design/narrow.hpp"
#include "core/design/spread.hpp"
#include "core/design/suggestion.hpp"

namespace brookmark::viewer {

// How many spots the page asks for until a hand changes it: a narrowing goes one visit at a time.
inline int usual_count(core::Purpose purpose) {
  return purpose == core::Purpose::kNarrow ? 1 : 5;
}

struct DesignQuestion {
  core::Purpose purpose = core::Purpose::kSpread;
  int count = usual_count(core::Purpose::kSpread);
  std::uint64_t seed = 1;
  core::SpotOn on = core::SpotOn::kChannels;
  core::Strata strata = core::Strata::kNone;
  double mixing_m = 0;    // 0: not said
  bool in_sight = false;  // only within what the map shows
  std::string within;     // key of a catchment: only within that; empty: not by catchment
  // Metres, as the core's own options; walk_m 0: not asked.
  double road_m = core::KeepOutOptions{}.road_m, around_m = core::KeepOutOptions{}.around_m, walk_m = 0;
  double clear_m = core::ClearOptions{}.clear_m, spacing_m = core::SpotOptions{}.spacing_m;
  bool beside_sites = true;  // a spread counts the sites that are there
  int below = 1;             // spots below each outfall of a bracket
  std::string upper, lower;  // site codes of a narrowing; both empty: the worst fall
  double fine_m = core::NarrowOptions{}.fine_m, outfall_m = core::NarrowOptions{}.outfall_m,
         tributary_m = core::NarrowOptions{}.tributary_m;
  std::vector<std::string> by;  // words of a variety's variables; empty: what is known at every spot
  bool operator==(const DesignQuestion&) const = default;
};

// A spot that was accepted or refused: it stands in the list again while its site, or its refusal, is taken back.
struct TakenSpot {
  core::Suggestion spot;
  std::string key;      // of the site or the refused ground
  std::size_t row = 0;  // at which it stood
  bool open = false;    // in the list again
};

struct Design {
  DesignQuestion question;
  std::optional<DesignQuestion> asked;  // that the answer, or the trouble, belongs to
  core::Suggestions answer;
  std::string trouble;               // why there is no answer
  std::optional<std::size_t> focus;  // row of the answer that is brought out
  std::optional<std::size_t> held;   // row that a hand drags over the map
  std::optional<core::LonLat> dragged_to;
  bool more = false;                    // the question is shown in full
  std::optional<std::size_t> refusing;  // row whose refusal waits for its reason
  std::string why;                      // the reason, as far as it is written
  std::vector<TakenSpot> taken = {};    // of this answer, oldest first
};

}  // namespace brookmark::viewer
