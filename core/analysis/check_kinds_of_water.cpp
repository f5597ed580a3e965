// An animal of fast water in a pond: the name, the site's kind of water, or the label of the jar is wrong, or it was
// washed in. Which of them, only a person can say.
#include <map>

#include "core/analysis/check_internal.hpp"
#include "core/reference/reference.hpp"

namespace brookmark::core {

namespace {

// Lake margins are left out: waves let animals of streams live there. So are ditches and canals, which do either.
bool is_stagnant(WaterKind kind) {
  return kind == WaterKind::kPond || kind == WaterKind::kPool;
}

const KindOfWater* kind_of(const TaxonColumns& taxa, TaxonIndex at) {
  for (; at.has_value(); at = taxa.parent[at.value()]) {
    if (!taxa.listed[at.value()]) continue;
    for (const KindOfWater& kind : kinds_of_water())
      if (taxa.name[at.value()] == kind.taxon) return &kind;
  }
  return nullptr;
}

}  // namespace

void check_kinds_of_water(Check& check) {
  const Snapshot& survey = check.survey;
  std::vector<const KindOfWater*> of_taxon;
  for (std::size_t t = 0; t < survey.taxa.size(); ++t)
    of_taxon.push_back(kind_of(survey.taxa, TaxonIndex(t)));
  for (std::size_t s = 0; s < survey.samples.size(); ++s) {
    const WaterKind water = survey.sites.kind[survey.samples.site[s].value()];
    const bool running = flow_of(water) == Flow::kRunning;
    if (survey.samples.kind[s] == SampleKind::kBlank || (!running && !is_stagnant(water))) continue;
    std::vector<std::string> strangers;
    for (std::size_t r = survey.samples.record_begin[s]; r < survey.samples.record_begin[s + 1]; ++r) {
      const std::size_t taxon = survey.records.taxon[r].value();
      if (survey.records.quantity[r] == QuantityKind::kAbsent || of_taxon[taxon] == nullptr) continue;
      if (of_taxon[taxon]->running != running) strangers.emplace_back(survey.taxa.name[taxon]);
    }
    if (strangers.empty()) continue;
    // Still corners of a stream are many, currents in a pond are none.
    check.find(running ? Severity::kNote : Severity::kWarning, "animal outside its kind of water",
               check.sample(s),
               listed(strangers, 6) + (strangers.size() == 1 ? " lives" : " live") + " in " +
                   (running ? "still" : "running") +
                   " water as a rule (common practice, no source), and this is a " + water_kind_name(water) +
                   ". Check the name, the site's kind of water and the label; it is scored as it stands.");
  }
}

}  // namespace brookmark::core
