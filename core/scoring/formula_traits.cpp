// What a formula's values can be, and what drawing again does to them.
#include <algorithm>
#include <limits>

#include "core/scoring/confidence_internal.hpp"

namespace brookmark::core {

namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();

ValueLimits limits_of(const std::vector<double>& values, double scale) {
  if (values.empty()) return {-kInfinity, kInfinity};
  const auto [least, most] = std::minmax_element(values.begin(), values.end());
  return {*least / scale, *most / scale};
}

}  // namespace

bool counts_taxa_once(FormulaKind formula) {
  switch (formula) {
    case FormulaKind::kSumOfScores:
    case FormulaKind::kMeanScore:
    case FormulaKind::kGroupWeights:
    case FormulaKind::kGroupCodeWeights:
    case FormulaKind::kMeanCodeWeight:
    case FormulaKind::kRichness:
    case FormulaKind::kTaxaShare:
      return true;
    default:
      return false;
  }
}

bool adds_up(FormulaKind formula) {
  switch (formula) {
    case FormulaKind::kSumOfScores:
    case FormulaKind::kGroupWeights:
    case FormulaKind::kGroupCodeWeights:
    case FormulaKind::kRichness:
      return true;
    default:
      return false;
  }
}

bool only_loses(FormulaKind formula, double least) {
  return adds_up(formula) && formula != FormulaKind::kGroupCodeWeights && least >= 0;
}

ValueLimits value_limits(const CompiledMethod& compiled, std::size_t m) {
  const Metric& metric = compiled.method->metrics[m];
  const auto of_sum = [](ValueLimits one) {  // one line at least; more lines only add when none is negative
    return one.least >= 0 ? ValueLimits{one.least, kInfinity} : ValueLimits{-kInfinity, kInfinity};
  };
  switch (metric.formula) {
    case FormulaKind::kMeanScore:
    case FormulaKind::kWeightedMean:
      return limits_of(compiled.unit_score, compiled.score_scale);
    case FormulaKind::kSumOfScores:
      return of_sum(limits_of(compiled.unit_score, compiled.score_scale));
    case FormulaKind::kGroupWeights:
      return of_sum(limits_of(compiled.unit_group_weight, compiled.weight_scale));
    case FormulaKind::kGroupCodeWeights:
      return of_sum(limits_of(compiled.unit_code_weight, compiled.weight_scale));
    case FormulaKind::kMeanCodeWeight:
      return limits_of(compiled.unit_code_weight, compiled.weight_scale);
    case FormulaKind::kRichness:
      return {0, kInfinity};
    case FormulaKind::kTaxaShare:
    case FormulaKind::kAnimalShare:
    case FormulaKind::kDominance:
      return {0, 100};
  }
  return {-kInfinity, kInfinity};
}

}  // namespace brookmark::core
