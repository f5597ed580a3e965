#include <algorithm>
#include <array>
#include <string_view>

#include "core/analysis/check_internal.hpp"
#include "core/base/text.hpp"

namespace brookmark::core {

namespace {

// What a field measurement can be, and what it usually is. Outside `possible` the value is a mistake;
// outside `usual` it is out of line: it may be true, and should be looked at again. Common practice, no
// source, and the finding says so.
struct Limits {
  const char* quantity;  // in the sentence
  const char* names;     // folded names, separated by '|'
  const char* unit;      // plain unit; "" where the quantity has none
  double possible_min, possible_max;
  double usual_min, usual_max;
};

constexpr double kAny = 1e300;  // no limit
constexpr const char* kOxygenNames =
    "oxygen|dissolved oxygen|o2|do|oxyg|oxygen saturation|dissolved oxygen saturation|oxygen concentration|"
    "saturation";

constexpr std::array<Limits, 5> kLimits{{
    {"pH", "ph|ph value", "", 0, 14, 4, 10},
    {"water temperature", "temperature|water temperature|temp|water temp", "degc", -kAny, kAny, -1, 40},
    {"dissolved oxygen", kOxygenNames, "mg/l", 0, kAny, 0, 25},
    {"oxygen saturation", kOxygenNames, "%", 0, kAny, 20, 200},
    {"conductivity", "conductivity|cond|electrical conductivity|specific conductance|ec", "us/cm", 0, kAny, 0,
     100'000},
}};

struct PlainUnit {
  const char* written;
  const char* plain;
  double factor;
};
// Written without spaces, in lower case, with the micro sign as u.
constexpr std::array<PlainUnit, 24> kUnits{{{"degc", "degc", 1},
                                            {"\u00b0c", "degc", 1},
                                            {"c", "degc", 1},
                                            {"celsius", "degc", 1},
                                            {"cel", "degc", 1},
                                            {"\u2103", "degc", 1},
                                            {"mg/l", "mg/l", 1},
                                            {"mgl-1", "mg/l", 1},
                                            {"ppm", "mg/l", 1},
                                            {"mg/lo2", "mg/l", 1},
                                            {"mgo2/l", "mg/l", 1},
                                            {"%", "%", 1},
                                            {"percent", "%", 1},
                                            {"%sat", "%", 1},
                                            {"%saturation", "%", 1},
                                            {"us/cm", "us/cm", 1},
                                            {"uscm-1", "us/cm", 1},
                                            {"ms/m", "us/cm", 10},
                                            {"ms/cm", "us/cm", 1000},
                                            {"s/m", "us/cm", 10'000},
                                            {"ph", "", 1},
                                            {"phunits", "", 1},
                                            {"-", "", 1},
                                            {"", "", 1}}};

std::string plain_spelling(std::string_view unit) {
  std::string plain = to_lower_ascii(unit);
  std::erase(plain, ' ');
  for (const std::string_view micro : {"\u00b5", "\u03bc"})
    for (auto at = plain.find(micro); at != std::string::npos; at = plain.find(micro))
      plain.replace(at, 2, "u");
  return plain;
}

bool in_list(std::string_view list, std::string_view word) {
  while (!list.empty()) {
    const auto end = list.find('|');
    if (list.substr(0, end) == word) return true;
    list = end == std::string_view::npos ? std::string_view{} : list.substr(end + 1);
  }
  return false;
}

// "4 to 10", "0 mg/l or more"; behind it, that nobody published it.
std::string range_text(const Limits& limits, double min, double max) {
  const std::string unit = *limits.unit ? " " + std::string(limits.unit) : "";
  return (max == kAny ? format_number(min) + unit + " or more"
                      : format_number(min) + " to " + format_number(max) + unit) +
         "; a limit of common practice, without a published source";
}

void check_measurement(Check& check, std::size_t m, double value) {
  const MeasurementColumns& all = check.survey.measurements;
  const std::string name = fold_name(all.quantity[m]);
  const std::string unit = plain_spelling(all.unit[m]);
  const auto known =
      std::find_if(kUnits.begin(), kUnits.end(), [&](const PlainUnit& u) { return unit == u.written; });
  if (known == kUnits.end()) return;  // a unit that is not known here cannot be judged
  const double plain = value * known->factor;
  for (const Limits& limits : kLimits) {
    if (std::string_view(limits.unit) != known->plain || !in_list(limits.names, name)) continue;
    const std::string where =
        all.sample[m].has_value() ? check.sample(all.sample[m].value()) : check.visit(all.visit[m].value());
    const std::string said = std::string(all.quantity[m]) + " " + std::string(all.verbatim_value[m]) +
                             (all.unit[m].empty() ? "" : " " + std::string(all.unit[m]));
    if (plain < limits.possible_min || plain > limits.possible_max)
      check.find(Severity::kError, "impossible measurement", where,
                 said + " is not possible for " + limits.quantity + " (" +
                     range_text(limits, limits.possible_min, limits.possible_max) +
                     "). Correct the value or its unit.");
    else if (plain < limits.usual_min || plain > limits.usual_max)
      check.find(Severity::kWarning, "measurement out of line", where,
                 said + " is out of line for " + limits.quantity + " (usually " +
                     range_text(limits, limits.usual_min, limits.usual_max) +
                     "). Look at the field sheet again; the value is kept as it is.");
    return;
  }
}

}  // namespace

void check_measurements(Check& check) {
  const MeasurementColumns& all = check.survey.measurements;
  for (std::size_t m = 0; m < all.size(); ++m)
    if (all.value[m] && !all.below_detection[m]) check_measurement(check, m, *all.value[m]);
}

}  // namespace brookmark::core
