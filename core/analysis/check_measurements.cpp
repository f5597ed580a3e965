#include "core/analysis/check_internal.hpp"
#include "core/chemistry/quantities.hpp"

namespace brookmark::core {

namespace {

void check_measurement(Check& check, std::size_t m, double value) {
  const MeasurementColumns& all = check.survey.measurements;
  const Quantity* quantity = find_quantity(all.quantity[m], all.unit[m]);
  if (quantity == nullptr) return;  // a quantity or unit that is not known here cannot be judged
  const auto plain = convert(value, all.unit[m], quantity->unit).value;
  // A unit that does not say what it counts (mg/l for mg/l N) still says whether the value is below zero.
  const Plausible verdict = judge(*quantity, plain.value_or(value));
  if (verdict == Plausible::kYes) return;
  const std::string where =
      all.sample[m].has_value() ? check.sample(all.sample[m].value()) : check.visit(all.visit[m].value());
  const std::string said = std::string(all.quantity[m]) + " " + std::string(all.verbatim_value[m]) +
                           (all.unit[m].empty() ? "" : " " + std::string(all.unit[m]));
  if (verdict == Plausible::kImpossible)
    check.find(Severity::kError, "impossible measurement", where,
               said + " is not possible for " + quantity->title + " (" + limits_text(*quantity, verdict) +
                   "). Correct the value or its unit.");
  else
    check.find(Severity::kWarning, "measurement out of line", where,
               said + " is out of line for " + quantity->title + " (usually " +
                   limits_text(*quantity, verdict) +
                   "). Look at the field sheet again; the value is kept as it is.");
}

}  // namespace

void check_measurements(Check& check) {
  const MeasurementColumns& all = check.survey.measurements;
  for (std::size_t m = 0; m < all.size(); ++m)
    if (all.value[m] && !all.below_detection[m]) check_measurement(check, m, *all.value[m]);
}

}  // namespace brookmark::core
