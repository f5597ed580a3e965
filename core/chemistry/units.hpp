// Why: a meter shows mS/m, a laboratory writes mg/l NH4, a barometer mmHg. A number is compared, or put into a formula,
// only after its unit is known; what a unit does not say is not guessed.
// Use: auto v = convert(7.2, "mg/l NH4", "mg/l N");  if (v.value) ...; else say(v.why_not)
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace brookmark::core {

// A number, or the sentence that says why there is none.
struct Calculated {
  std::optional<double> value;
  std::string why_not;  // empty with a value
};

enum class UnitKind : std::uint8_t {
  kNone,           // "", "-", "pH"
  kTemperature,    // plain unit degC
  kPressure,       // hPa
  kConductivity,   // uS/cm
  kConcentration,  // mg/l
  kShare,          // %
  kSalinity        // psu (g/kg and parts per thousand are taken as the same: they differ by less than 1 %)
};

// What a concentration is counted as: 1 mg/l of ammonium (NH4) holds 0.776 mg/l of nitrogen (N).
enum class CountedAs : std::uint8_t { kUnsaid, kN, kNh4, kNh3, kNo3, kNo2, kP, kPo4 };

struct Unit {
  UnitKind kind = UnitKind::kNone;
  double factor = 1, offset = 0;  // plain = value * factor + offset
  CountedAs counted_as = CountedAs::kUnsaid;
};

// Case, spaces, the micro sign and "mg L-1" for "mg/l" make no difference. Nothing for a unit that is not known here.
std::optional<Unit> parse_unit(std::string_view written);

// From one written unit to another of the same kind. A substance is counted as its element and back (N with NH4, NH3,
// NO3, NO2; P with PO4) by molar masses (IUPAC standard atomic weights: N 14.007, H 1.008, O 15.999, P 30.974); never one
// substance as another, and never where one of the two units does not say what it counts.
Calculated convert(double value, std::string_view from, std::string_view to);

}  // namespace brookmark::core
