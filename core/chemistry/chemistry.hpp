// Why: the animals say how the water has been, the meter says how it is now. For each visit: what was measured, what
// follows from it by a published formula, and what cannot follow and why.
// Use: for (const ChemistryRow& row : chemistry_of(snapshot, {})) ...
//
// A value below detection stays a bound: it has a limit and no value, and what is worked out from it is a bound too. Only
// where `below_detection` asks for it a number stands in its place, and the note says which.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/chemistry/quantities.hpp"
#include "core/scoring/method.hpp"
#include "core/survey/snapshot.hpp"

namespace brookmark::core {

// What stands for a value below detection. All but kBound are substitutions of common practice, no source: they bias means
// and trends, and are done only when asked for.
enum class BelowDetection : std::uint8_t { kBound, kZero, kHalf, kLimit };
std::optional<BelowDetection> parse_below_detection(
    std::string_view word);  // "bound", "zero", "half", "limit"
// The number that stands for a value below `limit`; nothing for kBound, and nothing without a limit except for kZero.
std::optional<double> stand_in(BelowDetection choice, std::optional<double> limit);
std::string stand_in_words(BelowDetection choice);  // "half the limit of detection"; empty for kBound

struct ChemistryOptions {
  // For visits at which no air pressure was measured; without it they get no saturation.
  std::optional<double> pressure_hpa = std::nullopt;
  CountedAs ammonia_as = CountedAs::kUnsaid;  // what total ammonia in plain mg/l counts: kN or kNh4
  BelowDetection below_detection = BelowDetection::kBound;
};

struct ChemistryRow {
  VisitIndex visit;
  SampleIndex sample;          // none(): measured in the water
  bool derived = false;        // worked out here
  std::string quantity, unit;  // as written for what was measured
  std::optional<double> value;
  std::optional<double> below;  // the true value is below this one; then there is no value
  bool below_detection = false;
  int decimals = -1;  // of a derived value; -1: as many as it has
  Plausible plausible = Plausible::kYes;
  std::string source;                  // of a derived value: its formula; of a doubt: the limits
  std::optional<Confirmed> confirmed;  // of that source
  std::string note;                    // why there is no value, or what was assumed; may be empty
};

// Visits in the order of the snapshot; at each one first what was measured, as entered, then what follows:
// * from oxygen in mg/l its saturation, and the other way (needs temperature and air pressure; salinity 0 unless measured);
// * from total ammonia the share and the amount that is un-ionised (needs pH and temperature);
// * from conductivity that at 25 C (needs temperature).
// Of several temperatures (pH values, pressures, salinities) of one visit the middle one is taken, and that is said. An
// impossible value (pH 20, a negative concentration) is flagged and never used.
std::vector<ChemistryRow> chemistry_of(const Snapshot& snapshot, const ChemistryOptions& options = {});

}  // namespace brookmark::core
