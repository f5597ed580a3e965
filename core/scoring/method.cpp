#include "core/scoring/method.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "core/base/embedded.hpp"
#include "core/base/error.hpp"
#include "core/reference/reference.hpp"
#include "core/scoring/method_file_internal.hpp"

namespace brookmark::core {

std::string source_text(std::string_view source_key, std::string_view source_detail) {
  if (source_key.empty() || source_key == kOwnSourceKey) return std::string(source_detail);
  std::string text = citation(source_key);
  if (!source_detail.empty()) text.append(", ").append(source_detail);
  return text;
}

const Metric* Method::find_metric(std::string_view metric_id) const {
  const auto found =
      std::find_if(metrics.begin(), metrics.end(), [&](const Metric& m) { return m.id == metric_id; });
  return found == metrics.end() ? nullptr : &*found;
}

double round_for_bands(const Metric& metric, double value) {
  if (!metric.decimals) return value;
  double scale = 1;
  for (int i = 0; i < *metric.decimals; ++i) scale *= 10;
  const double scaled = std::abs(value) * scale;
  double whole = std::floor(scaled);
  // 3.755 has no exact double: a value within a few last places of the half is the half, and goes away from
  // zero.
  const double slack = 4 * std::numeric_limits<double>::epsilon() * std::max(scaled, 1.0);
  if (scaled - whole >= 0.5 - slack) whole += 1;
  return std::copysign(whole / scale, value);
}

int shown_decimals(const Metric& metric) {
  constexpr int kOfAMean = 3, kOfAShare = 2;
  switch (metric.formula) {
    case FormulaKind::kMeanScore:
    case FormulaKind::kWeightedMean:
    case FormulaKind::kMeanCodeWeight:
      return std::max(kOfAMean, metric.decimals.value_or(0));
    case FormulaKind::kSumOfScores:
    case FormulaKind::kGroupCodeWeights:
    case FormulaKind::kGroupWeights:
      return std::max(metric.table_decimals, metric.decimals.value_or(0));
    case FormulaKind::kTaxaShare:
    case FormulaKind::kAnimalShare:
    case FormulaKind::kDominance:
      return std::max(kOfAShare, metric.decimals.value_or(0));
    case FormulaKind::kRichness:
      break;
  }
  return 0;
}

bool uses_set(FormulaKind formula) {
  return formula == FormulaKind::kRichness || formula == FormulaKind::kTaxaShare ||
         formula == FormulaKind::kAnimalShare || formula == FormulaKind::kDominance;
}

std::string_view class_name(const Metric& metric, int rank) {
  for (const ClassBand& band : metric.bands)
    if (band.rank == rank) return band.name;
  return {};
}

const ClassBand* class_of(const Metric& metric, double value) {
  if (!std::isfinite(value)) return nullptr;
  const double rounded = round_for_bands(metric, value);
  for (const ClassBand& band : metric.bands) {
    if (band.lower && (band.lower_open ? rounded <= *band.lower : rounded < *band.lower)) continue;
    if (band.upper && (band.upper_open ? rounded >= *band.upper : rounded > *band.upper)) continue;
    return &band;
  }
  return nullptr;
}

namespace {

int decimals_of(double value) {
  int decimals = 0;
  for (double scale = 1; decimals < 6 && std::abs(value * scale - std::round(value * scale)) > 1e-7;
       scale *= 10)
    ++decimals;
  return decimals;
}

std::vector<Method> parse_shipped() {
  std::vector<Method> methods;
  for (const std::string& id : shipped_method_order()) {
    MethodTexts texts{.id = id, .descriptor = {id + ".method.csv", {}}, .tables = {}};
    texts.descriptor.text = reference_file("methods/" + texts.descriptor.file);
    for (const char* kind : kMethodTables) {
      const std::string file = id + "." + kind + ".csv";
      for (const EmbeddedText& embedded : embedded_reference())
        if (embedded.name == "methods/" + file) texts.tables[kind] = {file, std::string(embedded.text)};
    }
    methods.push_back(parse_method(texts));
  }
  return methods;
}

}  // namespace

void take_table_decimals(Method& method) {
  for (Metric& metric : method.metrics) {
    const auto see = [&](double value) {
      metric.table_decimals = std::max(metric.table_decimals, decimals_of(value));
    };
    const bool codes =
        metric.formula == FormulaKind::kGroupCodeWeights || metric.formula == FormulaKind::kMeanCodeWeight;
    if (metric.formula == FormulaKind::kSumOfScores || metric.formula == FormulaKind::kMeanScore ||
        metric.formula == FormulaKind::kWeightedMean)
      for (const ScoreUnit& unit : method.units) see(unit.score);
    if (codes || metric.formula == FormulaKind::kGroupWeights)
      for (const GroupWeight& weight : method.weights)
        if (weight.code.empty() != codes) see(weight.weight);
  }
}

std::span<const Method> shipped_methods() {
  static const std::vector<Method> methods = parse_shipped();
  return methods;
}

const Method* find_method(std::string_view id) {
  const std::span<const Method> methods = shipped_methods();
  const auto found =
      std::find_if(methods.begin(), methods.end(), [&](const Method& m) { return m.id == id; });
  return found == methods.end() ? nullptr : &*found;
}

}  // namespace brookmark::core
