#include "core/chemistry/units.hpp"

#include <array>
#include <cmath>

#include "core/base/text.hpp"

namespace brookmark::core {

namespace {

struct KnownUnit {
  const char* written;  // lower case, without spaces, the micro sign as u
  UnitKind kind;
  double factor;
  double offset = 0;
};

// By definition of the units: 1 atm = 1013.25 hPa = 760 mmHg (to 1.5e-7), 1 inHg = 25.4 mmHg, F = 1.8 C + 32.
constexpr double kMmHg = 1013.25 / 760;
constexpr std::array kUnits{
    KnownUnit{"", UnitKind::kNone, 1},
    KnownUnit{"-", UnitKind::kNone, 1},
    KnownUnit{"ph", UnitKind::kNone, 1},
    KnownUnit{"phunits", UnitKind::kNone, 1},
    KnownUnit{"degc", UnitKind::kTemperature, 1},
    KnownUnit{"\u00b0c", UnitKind::kTemperature, 1},
    KnownUnit{"\u2103", UnitKind::kTemperature, 1},
    KnownUnit{"c", UnitKind::kTemperature, 1},
    KnownUnit{"celsius", UnitKind::kTemperature, 1},
    KnownUnit{"cel", UnitKind::kTemperature, 1},
    KnownUnit{"degf", UnitKind::kTemperature, 1 / 1.8, -32 / 1.8},
    KnownUnit{"\u00b0f", UnitKind::kTemperature, 1 / 1.8, -32 / 1.8},
    KnownUnit{"f", UnitKind::kTemperature, 1 / 1.8, -32 / 1.8},
    KnownUnit{"fahrenheit", UnitKind::kTemperature, 1 / 1.8, -32 / 1.8},
    KnownUnit{"k", UnitKind::kTemperature, 1, -273.15},
    KnownUnit{"kelvin", UnitKind::kTemperature, 1, -273.15},
    KnownUnit{"hpa", UnitKind::kPressure, 1},
    KnownUnit{"mbar", UnitKind::kPressure, 1},
    KnownUnit{"pa", UnitKind::kPressure, 0.01},
    KnownUnit{"kpa", UnitKind::kPressure, 10},
    KnownUnit{"bar", UnitKind::kPressure, 1000},
    KnownUnit{"atm", UnitKind::kPressure, 1013.25},
    KnownUnit{"mmhg", UnitKind::kPressure, kMmHg},
    KnownUnit{"torr", UnitKind::kPressure, kMmHg},
    KnownUnit{"inhg", UnitKind::kPressure, 25.4 * kMmHg},
    KnownUnit{"us/cm", UnitKind::kConductivity, 1},
    KnownUnit{"uscm-1", UnitKind::kConductivity, 1},
    KnownUnit{"umhos/cm", UnitKind::kConductivity, 1},
    KnownUnit{"umho/cm", UnitKind::kConductivity, 1},
    KnownUnit{"ms/m", UnitKind::kConductivity, 10},
    KnownUnit{"ms/cm", UnitKind::kConductivity, 1000},
    KnownUnit{"mscm-1", UnitKind::kConductivity, 1000},
    KnownUnit{"s/m", UnitKind::kConductivity, 10'000},
    KnownUnit{"mg/l", UnitKind::kConcentration, 1},
    KnownUnit{"mgl-1", UnitKind::kConcentration, 1},
    KnownUnit{"ppm", UnitKind::kConcentration, 1},
    KnownUnit{"g/m3", UnitKind::kConcentration, 1},
    KnownUnit{"ug/l", UnitKind::kConcentration, 0.001},
    KnownUnit{"ugl-1", UnitKind::kConcentration, 0.001},
    KnownUnit{"ppb", UnitKind::kConcentration, 0.001},
    KnownUnit{"ng/l", UnitKind::kConcentration, 1e-6},
    KnownUnit{"g/l", UnitKind::kConcentration, 1000},
    KnownUnit{"%", UnitKind::kShare, 1},
    KnownUnit{"percent", UnitKind::kShare, 1},
    KnownUnit{"%sat", UnitKind::kShare, 1},
    KnownUnit{"%saturation", UnitKind::kShare, 1},
    KnownUnit{"psu", UnitKind::kSalinity, 1},
    KnownUnit{"pss", UnitKind::kSalinity, 1},
    KnownUnit{"ppt", UnitKind::kSalinity, 1},
    KnownUnit{"g/kg", UnitKind::kSalinity, 1},
    KnownUnit{"\u2030", UnitKind::kSalinity, 1},
};

struct Substance {
  const char* written;
  CountedAs counted_as;
};
// "NH4-N" counts the nitrogen in ammonium, and so says N. "O2" says nothing: oxygen is counted in one way only.
constexpr std::array kSubstances{
    Substance{"nh4-n", CountedAs::kN}, Substance{"nh3-n", CountedAs::kN},   Substance{"no3-n", CountedAs::kN},
    Substance{"no2-n", CountedAs::kN}, Substance{"po4-p", CountedAs::kP},   Substance{"nh4", CountedAs::kNh4},
    Substance{"nh3", CountedAs::kNh3}, Substance{"no3", CountedAs::kNo3},   Substance{"no2", CountedAs::kNo2},
    Substance{"po4", CountedAs::kPo4}, Substance{"o2", CountedAs::kUnsaid}, Substance{"n", CountedAs::kN},
    Substance{"p", CountedAs::kP},
};

constexpr double kN = 14.007, kH = 1.008, kO = 15.999, kP = 30.974;  // g/mol

// The mass of the element in one mass of the substance; the element's own is 1. Zero: has no part in conversions.
double element_share(CountedAs counted_as) {
  switch (counted_as) {
    case CountedAs::kN:
    case CountedAs::kP:
      return 1;
    case CountedAs::kNh4:
      return kN / (kN + 4 * kH);
    case CountedAs::kNh3:
      return kN / (kN + 3 * kH);
    case CountedAs::kNo3:
      return kN / (kN + 3 * kO);
    case CountedAs::kNo2:
      return kN / (kN + 2 * kO);
    case CountedAs::kPo4:
      return kP / (kP + 4 * kO);
    case CountedAs::kUnsaid:
      return 0;
  }
  return 0;
}

bool has_nitrogen(CountedAs counted_as) {
  return element_share(counted_as) > 0 && counted_as != CountedAs::kP && counted_as != CountedAs::kPo4;
}

// One is the element of the other.
bool is_element_of(CountedAs a, CountedAs b) {
  if (element_share(a) == 0 || element_share(b) == 0 || has_nitrogen(a) != has_nitrogen(b)) return false;
  const CountedAs element = has_nitrogen(a) ? CountedAs::kN : CountedAs::kP;
  return a == element || b == element;
}

std::string plain_spelling(std::string_view unit) {
  std::string plain = to_lower_ascii(unit);
  std::erase(plain, ' ');
  for (const std::string_view micro : {"\u00b5", "\u03bc"})
    for (auto at = plain.find(micro); at != std::string::npos; at = plain.find(micro))
      plain.replace(at, micro.size(), "u");
  for (const std::string_view minus : {"\u2212", "\u207b"})
    for (auto at = plain.find(minus); at != std::string::npos; at = plain.find(minus))
      plain.replace(at, minus.size(), "-");
  return plain;
}

std::optional<Unit> find_unit(std::string_view plain) {
  for (const KnownUnit& known : kUnits)
    if (plain == known.written) return Unit{known.kind, known.factor, known.offset, CountedAs::kUnsaid};
  return std::nullopt;
}

std::string quoted_unit(std::string_view unit) {
  return unit.empty() ? "a number without a unit" : "\"" + std::string(unit) + "\"";
}

}  // namespace

std::optional<Unit> parse_unit(std::string_view written) {
  const std::string plain = plain_spelling(written);
  if (const auto unit = find_unit(plain)) return unit;
  // "mg/l n", "mg/las nh4", "mg/l(nh4)", and "mg n/l".
  for (const Substance& substance : kSubstances) {
    const std::string word = substance.written;
    for (const std::string& tail : {word, "as" + word, "(" + word + ")"}) {
      if (plain.size() <= tail.size() || !plain.ends_with(tail)) continue;
      auto unit = find_unit(std::string_view(plain).substr(0, plain.size() - tail.size()));
      if (unit && unit->kind == UnitKind::kConcentration) {
        unit->counted_as = substance.counted_as;
        return unit;
      }
    }
    const auto slash = plain.find('/');
    if (slash == std::string::npos || slash < word.size() ||
        plain.substr(slash - word.size(), word.size()) != word)
      continue;
    auto unit = find_unit(plain.substr(0, slash - word.size()) + plain.substr(slash));
    if (unit && unit->kind == UnitKind::kConcentration) {
      unit->counted_as = substance.counted_as;
      return unit;
    }
  }
  return std::nullopt;
}

Calculated convert(double value, std::string_view from, std::string_view to) {
  const auto source = parse_unit(from), target = parse_unit(to);
  if (!source) return {{}, "the unit " + quoted_unit(from) + " is not known here"};
  if (!target) return {{}, "the unit " + quoted_unit(to) + " is not known here"};
  if (source->kind != target->kind)
    return {
        {},
        quoted_unit(from) + " cannot be turned into " + quoted_unit(to) + ": they measure different things"};
  double factor = source->factor;
  if (source->counted_as != target->counted_as) {
    if (source->counted_as == CountedAs::kUnsaid || target->counted_as == CountedAs::kUnsaid)
      return {{},
              quoted_unit(source->counted_as == CountedAs::kUnsaid ? from : to) +
                  " does not say what it counts (N or NH4, P or PO4); write it out, as in \"mg/l N\""};
    if (!is_element_of(source->counted_as, target->counted_as))
      return {{},
              quoted_unit(from) + " cannot be turned into " + quoted_unit(to) +
                  ": they count different substances"};
    factor *= element_share(source->counted_as) / element_share(target->counted_as);
  }
  const double result = (value * factor + source->offset - target->offset) / target->factor;
  if (!std::isfinite(result)) return {{}, "the number is too large to be converted"};
  return {result, ""};
}

}  // namespace brookmark::core
