#include <algorithm>
#include <cmath>
#include <string_view>
#include <unordered_map>

#include "core/reference/reference.hpp"
#include "core/scoring/compiled_method_internal.hpp"
#include "core/taxa/checklist.hpp"

namespace brookmark::core {

namespace {

// The nearest listed taxon of each, itself or a parent; none() where there is none.
std::vector<TaxonIndex> nearest_listed(const TaxonColumns& taxa) {
  std::vector<TaxonIndex> nearest;
  for (std::size_t t = 0; t < taxa.size(); ++t) {
    TaxonIndex at(t);
    while (at.has_value() && !taxa.listed[at.value()]) at = taxa.parent[at.value()];
    nearest.push_back(at);
  }
  return nearest;
}

// A name without a place could be anything; one above a part of the set could hold a member.
std::vector<Belongs> answers_of(const TaxonColumns& taxa, const std::vector<TaxonIndex>& nearest,
                                const std::vector<std::string>& set) {
  if (set.empty()) return std::vector<Belongs>(taxa.size() * kLifeStageCount, Belongs::kYes);
  std::vector<std::string> names, trait_names;
  for (const std::string& part : set)
    if (const std::string_view trait = trait_in_set(part); trait.empty())
      names.push_back(part);
    else
      trait_names.emplace_back(trait);
  const std::set<std::string, std::less<>> members(names.begin(), names.end()), above = names_above(names);
  std::vector<Belongs> answers;
  for (std::size_t t = 0; t < taxa.size(); ++t) {
    Belongs by_name = nearest[t].has_value() ? Belongs::kNo : Belongs::kMaybe;
    if (nearest[t].has_value() && above.contains(taxa.name[nearest[t].value()])) by_name = Belongs::kMaybe;
    for (TaxonIndex at = nearest[t]; at.has_value(); at = taxa.parent[at.value()])
      if (taxa.listed[at.value()] && members.contains(taxa.name[at.value()])) by_name = Belongs::kYes;
    for (std::size_t stage = 0; stage < kLifeStageCount; ++stage) {
      Belongs best = by_name;
      for (const std::string& trait : trait_names)
        if (nearest[t].has_value())
          best = std::max(
              best, traits().of(trait, taxa.name[nearest[t].value()], static_cast<LifeStage>(stage)).has);
      answers.push_back(best);
    }
  }
  return answers;
}

SetPlan plan_set(const TaxonColumns& taxa, const Metric& metric) {
  const std::vector<TaxonIndex> nearest = nearest_listed(taxa);
  SetPlan plan;
  plan.as_named = !metric.level;
  plan.in_set = answers_of(taxa, nearest, metric.set);
  plan.in_base = answers_of(taxa, nearest, metric.base);
  const std::vector<std::string> members = taxa_of_set(metric.set);
  plan.members = members.size();
  plan.covers.resize(taxa.size());
  for (std::size_t m = 0; m < members.size(); ++m) {
    const std::set<std::string, std::less<>> over = names_above({members[m]});
    for (std::size_t t = 0; t < taxa.size(); ++t)
      if (taxa.listed[t] && (taxa.name[t] == members[m] || over.contains(taxa.name[t])))
        plan.covers[t].push_back(static_cast<std::uint16_t>(m));
  }
  for (std::size_t t = 0; t < taxa.size(); ++t) {
    TaxonIndex counted(t);
    if (metric.level)
      while (counted.has_value() &&
             !(taxa.listed[counted.value()] && taxa.rank[counted.value()] == *metric.level))
        counted = taxa.parent[counted.value()];
    plan.counted_as.push_back(counted);
  }
  return plan;
}

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

std::vector<std::string> taxa_of_set(const std::vector<std::string>& set) {
  std::vector<std::string> names;
  for (const std::string& part : set)
    if (const std::string_view trait = trait_in_set(part); trait.empty()) {
      names.push_back(part);
    } else {
      const std::vector<std::string> with = traits().taxa_with(trait);
      names.insert(names.end(), with.begin(), with.end());
    }
  return names;
}

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
    sets.push_back(uses_set(metric.formula) ? plan_set(taxa, metric) : SetPlan{});
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

}  // namespace brookmark::core
