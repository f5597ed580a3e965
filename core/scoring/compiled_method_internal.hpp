// Why: names and trees are resolved once for a snapshot's few thousand taxa, so that scoring millions of
// records only looks things up.
// Use: CompiledMethod c(snapshot.taxa, method);  c.unit_of_taxon[t]
#pragma once

#include <algorithm>
#include <cstdint>
#include <functional>
#include <limits>
#include <set>
#include <string>
#include <vector>

#include "core/scoring/method.hpp"
#include "core/survey/snapshot.hpp"
#include "core/taxa/traits.hpp"

namespace brookmark::core {

inline constexpr std::uint16_t kNoUnit = std::numeric_limits<std::uint16_t>::max();

// How a metric over a set sees each taxon. A taxon belongs at each life stage for itself, since a trait may hold for
// one stage only.
struct SetPlan {
  bool as_named = true;  // else: at metric.level
  std::vector<TaxonIndex>
      counted_as;  // per taxon: itself or its parent at the level; none(): too coarse for it
  std::vector<Belongs> in_set, in_base;  // [taxon * kLifeStageCount + stage]
  std::size_t members = 0;               // named taxa of the set; 0: every taxon
  std::vector<std::vector<std::uint16_t>>
      covers;  // per taxon: the members of the set that it is or contains; an absence of it is theirs
};

// The best answer over a taxon's stages, given as bits 1 << LifeStage.
inline Belongs best_of(const std::vector<Belongs>& answers, std::size_t taxon, std::uint8_t stages) {
  Belongs best = Belongs::kNo;
  for (std::size_t stage = 0; stage < kLifeStageCount; ++stage)
    if ((stages >> stage & 1U) != 0) best = std::max(best, answers[taxon * kLifeStageCount + stage]);
  return best;
}

// Numbers are kept as whole multiples of 1 / scale, so that sums are exact: the order of records changes
// nothing, and an index of 40.0 is never 40.000000000000007.
struct CompiledMethod {
  CompiledMethod(const TaxonColumns& taxa, const Method& method);

  const Method* method;
  std::vector<std::uint16_t> unit_of_taxon;  // kNoUnit where the method has no line for the taxon
  std::vector<LifeStage> stage_of_unit;      // kUnknown: any stage

  double score_scale = 1;
  std::vector<double> unit_score;  // times score_scale
  double weight_scale = 1;
  std::vector<double> unit_group_weight;  // times weight_scale; for kGroupWeights

  struct Code {
    std::int64_t min, max;
  };
  std::vector<Code> codes;               // of the method's abundance scheme
  std::vector<double> unit_code_weight;  // [unit * codes.size() + code], times weight_scale

  std::vector<SetPlan> sets;  // per metric; empty plans for formulas over a score table

  // The code whose limits hold everything from low to high; codes.size() when none does.
  std::size_t code_of(std::int64_t low, std::int64_t high) const {
    std::size_t code = 0;
    while (code < codes.size() && (low < codes[code].min || high > codes[code].max)) ++code;
    return code;
  }

 private:
  void place_taxa(const TaxonColumns& taxa);
  void take_numbers();
};

// The taxa that the parts of a set name, those with a trait included.
std::vector<std::string> taxa_of_set(const std::vector<std::string>& set);

// Every taxon of the checklist above one of `names`: an animal called by such a name may or may not be one of
// them.
std::set<std::string, std::less<>> names_above(const std::vector<std::string>& names);

}  // namespace brookmark::core
