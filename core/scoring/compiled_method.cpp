#include <algorithm>
#include <cmath>
#include <string_view>
#include <unordered_map>

#include "core/reference/reference.hpp"
#include "core/scoring/compiled_method_internal.hpp"
#include "core/taxa/checklist.hpp"

namespace brookmark::core {

namespace {

// The smallest power of ten that makes every value whole (values have six decimals at most).
double scale_of(const std::vector<double>& values) {
  double scale = 1;
  for (int i = 0; i < 6; ++i, scale *= 10)
    if (std::all_of(values.begin(), values.end(),
                    [&](double v) { return std::abs(v * scale - std::round(v * scale)) < 1e-7; }))
      break;
  return scale;
}

}  // namespace

std::set<std::string, std::less<>> names_above(const std::vector<std::string>& names) {
  std::set<std::string, std::less<>> above;
  for (const std::string& name : names)
    for (const ChecklistEntry* entry = checklist().find(name); entry != nullptr && !entry->parent.empty();
         entry = checklist().find(entry->parent))
      above.insert(entry->parent);
  return above;
}

CompiledMethod::CompiledMethod(const TaxonColumns& taxa, const Method& of) : method(&of) {
  place_taxa(taxa);
  take_numbers();
  for (const Metric& metric : method->metrics)
    richness.push_back(metric.formula == FormulaKind::kRichness ? plan_richness(taxa, metric)
                                                                : RichnessPlan{});
}

// Walks up from each taxon: the nearest member decides; a unit that excepts a taxon on the way is passed
// over.
void CompiledMethod::place_taxa(const TaxonColumns& taxa) {
  std::unordered_map<std::string_view, std::uint16_t> member;
  std::unordered_map<std::string_view, std::vector<std::uint16_t>> excepted;
  for (std::size_t u = 0; u < method->units.size(); ++u) {
    const ScoreUnit& unit = method->units[u];
    for (const std::string& name : unit.members) member.emplace(name, static_cast<std::uint16_t>(u));
    for (const std::string& name : unit.except) excepted[name].push_back(static_cast<std::uint16_t>(u));
    stage_of_unit.push_back(unit.stage.value_or(LifeStage::kUnknown));
  }
  unit_of_taxon.assign(taxa.size(), kNoUnit);
  std::vector<std::uint16_t> passed_over;
  for (std::size_t t = 0; t < taxa.size(); ++t) {
    passed_over.clear();
    for (TaxonIndex at(t); at.has_value(); at = taxa.parent[at.value()]) {
      if (!taxa.listed[at.value()]) continue;  // a surveyor's own name never scores by itself
      const std::string_view name = taxa.name[at.value()];
      if (const auto it = excepted.find(name); it != excepted.end())
        passed_over.insert(passed_over.end(), it->second.begin(), it->second.end());
      const auto it = member.find(name);
      if (it == member.end() ||
          std::find(passed_over.begin(), passed_over.end(), it->second) != passed_over.end())
        continue;
      unit_of_taxon[t] = it->second;
      break;
    }
  }
}

void CompiledMethod::take_numbers() {
  std::vector<double> scores, weights;
  for (const ScoreUnit& unit : method->units) scores.push_back(unit.score);
  for (const GroupWeight& weight : method->weights) weights.push_back(weight.weight);
  score_scale = scale_of(scores);
  weight_scale = scale_of(weights);
  std::vector<std::string> names;
  for (const AbundanceClass& c : abundance_classes()) {
    if (method->abundance_scheme.empty() || c.scheme != method->abundance_scheme) continue;
    codes.push_back({c.min_count, c.max_count < 0 ? RecordColumns::kOpen : c.max_count});
    names.push_back(c.code);
  }
  const auto weight_of = [&](const std::string& group, const std::string& code) {
    for (const GroupWeight& w : method->weights)
      if (w.group == group && w.code == code) return std::round(w.weight * weight_scale);
    return 0.0;
  };
  for (const ScoreUnit& unit : method->units) {
    unit_score.push_back(std::round(unit.score * score_scale));
    unit_group_weight.push_back(weight_of(unit.group, ""));
    for (const std::string& code : names) unit_code_weight.push_back(weight_of(unit.group, code));
  }
}

RichnessPlan CompiledMethod::plan_richness(const TaxonColumns& taxa, const Metric& metric) const {
  const std::set<std::string, std::less<>> above = names_above(metric.set);
  RichnessPlan plan;
  plan.as_named = !metric.level;
  plan.members = metric.set.size();
  plan.covers.resize(taxa.size());
  for (std::size_t m = 0; m < metric.set.size(); ++m) {
    const std::set<std::string, std::less<>> over = names_above({metric.set[m]});
    for (std::size_t t = 0; t < taxa.size(); ++t)
      if (taxa.listed[t] && (taxa.name[t] == metric.set[m] || over.contains(taxa.name[t])))
        plan.covers[t].push_back(static_cast<std::uint16_t>(m));
  }
  for (std::size_t t = 0; t < taxa.size(); ++t) {
    bool in_set = metric.set.empty();
    TaxonIndex at_level, nearest_listed;
    for (TaxonIndex at(t); at.has_value(); at = taxa.parent[at.value()]) {
      if (!taxa.listed[at.value()]) continue;
      if (!nearest_listed.has_value()) nearest_listed = at;
      if (metric.level && taxa.rank[at.value()] == *metric.level && !at_level.has_value()) at_level = at;
      if (std::find(metric.set.begin(), metric.set.end(), taxa.name[at.value()]) != metric.set.end())
        in_set = true;
    }
    TaxonIndex counted;
    if (in_set) counted = metric.level ? at_level : TaxonIndex(t);
    plan.counted_as.push_back(counted);
    plan.in_set.push_back(in_set ? 1 : 0);
    // A name without a place could be anything; a place inside the set, or above a part of it, could hold a
    // member.
    const bool may = !counted.has_value() && (in_set || !nearest_listed.has_value() ||
                                              above.contains(taxa.name[nearest_listed.value()]));
    plan.may_belong.push_back(may ? 1 : 0);
  }
  return plan;
}

}  // namespace brookmark::core
