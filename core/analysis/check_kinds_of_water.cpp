// An animal of fast water in a pond: the name, the site's kind of water, or the label of the jar is wrong, or it was
// washed in. Which of them, only a person can say.
#include "core/analysis/check_internal.hpp"
#include "core/scoring/kind_of_water.hpp"

namespace brookmark::core {

void check_kinds_of_water(Check& check) {
  const Snapshot& survey = check.survey;
  std::vector<const KindOfWater*> of_taxon;
  for (std::size_t t = 0; t < survey.taxa.size(); ++t)
    of_taxon.push_back(kind_of_water(survey.taxa, TaxonIndex(t)));
  for (std::size_t s = 0; s < survey.samples.size(); ++s) {
    const WaterKind water = survey.sites.kind[survey.samples.site[s].value()];
    const bool running = flow_of(water) == Flow::kRunning;
    if (survey.samples.kind[s] == SampleKind::kBlank) continue;
    std::vector<std::string> strangers;
    for (std::size_t r = survey.samples.record_begin[s]; r < survey.samples.record_begin[s + 1]; ++r) {
      const std::size_t taxon = survey.records.taxon[r].value();
      if (survey.records.quantity[r] == QuantityKind::kAbsent || of_taxon[taxon] == nullptr) continue;
      if (lives_elsewhere(*of_taxon[taxon], water)) strangers.emplace_back(survey.taxa.name[taxon]);
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
