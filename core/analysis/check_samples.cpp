#include <map>

#include "core/analysis/check_internal.hpp"

namespace brookmark::core {

namespace {

void check_blank(Check& check, std::size_t s) {
  const Snapshot& survey = check.survey;
  std::size_t animals = 0;
  for (std::size_t r = survey.samples.record_begin[s]; r < survey.samples.record_begin[s + 1]; ++r)
    animals += survey.records.quantity[r] != QuantityKind::kAbsent ? 1 : 0;
  if (animals > 0)
    check.find(Severity::kWarning, "animals in a blank", check.sample(s),
               "This blank has " + std::to_string(animals) + (animals == 1 ? " record" : " records") +
                   " of animals: something was carried over. Doubt the samples taken with the same kit that "
                   "day.");
}

// Own names without a place in the checklist and nothing else: no method can say anything of the sample.
void check_unlisted(Check& check, std::size_t s) {
  const Snapshot& survey = check.survey;
  std::size_t unlisted = 0;
  for (std::size_t r = survey.samples.record_begin[s]; r < survey.samples.record_begin[s + 1]; ++r) {
    if (survey.records.quantity[r] == QuantityKind::kAbsent) continue;
    const std::size_t taxon = survey.records.taxon[r].value();
    if (survey.taxa.listed[taxon] || survey.taxa.parent[taxon].has_value()) return;
    ++unlisted;
  }
  if (unlisted > 0)
    check.find(
        Severity::kWarning, "only unlisted names", check.sample(s),
        "No name of this sample is in the checklist, so no method can score it. Are the names of another "
        "language, or codes? Import them with --name WRITTEN=ACCEPTED.");
}

void check_repeated_taxa(Check& check, std::size_t s) {
  const Snapshot& survey = check.survey;
  std::map<std::pair<std::size_t, LifeStage>, std::size_t> times;
  for (std::size_t r = survey.samples.record_begin[s]; r < survey.samples.record_begin[s + 1]; ++r)
    ++times[{survey.records.taxon[r].value(), survey.records.stage[r]}];
  for (const auto& [what, count] : times) {
    if (count < 2) continue;
    const std::string stage =
        what.second == LifeStage::kUnknown ? "" : std::string(" (") + life_stage_name(what.second) + ")";
    check.find(Severity::kWarning, "taxon twice in one sample", check.sample(s),
               std::string(survey.taxa.name[what.first]) + stage + " stands " + std::to_string(count) +
                   " times in this sample. If they are the same animals, keep one record.");
  }
}

// The order a taxon belongs to, or the subclass or class where there is no order. Nothing for insects as a
// whole: several orders of them and nothing else are the whole community of many a clean stream.
TaxonIndex group_of(const TaxonColumns& taxa, TaxonIndex at) {
  for (; at.has_value(); at = taxa.parent[at.value()]) {
    const Rank rank = taxa.rank[at.value()];
    if (!taxa.listed[at.value()]) continue;
    if (rank == Rank::kOrder || rank == Rank::kSubclass) return at;
    if (rank == Rank::kClass) return taxa.name[at.value()] == "Insecta" ? TaxonIndex::none() : at;
  }
  return at;
}

bool lies_in(const TaxonColumns& taxa, TaxonIndex at, TaxonIndex group) {
  while (at.has_value() && at != group) at = taxa.parent[at.value()];
  return at.has_value();
}

// The one group that all listed animals of the sample belong to; nothing where they are of several.
TaxonIndex only_group(const Snapshot& survey, std::size_t s) {
  TaxonIndex first, group;
  const auto each = [&](const auto& take) {
    for (std::size_t r = survey.samples.record_begin[s]; r < survey.samples.record_begin[s + 1]; ++r) {
      const TaxonIndex taxon = survey.records.taxon[r];
      // An own name without a place in the tree tells nothing; one with a place counts where it stands.
      const bool placed = survey.taxa.listed[taxon.value()] || survey.taxa.parent[taxon.value()].has_value();
      if (placed && survey.records.quantity[r] != QuantityKind::kAbsent) take(taxon);
    }
  };
  each([&](TaxonIndex taxon) { first = first.has_value() ? first : taxon; });
  if (!first.has_value()) return group;
  // From the order of the first animal up to its class: the lowest that holds all of them.
  for (TaxonIndex at = group_of(survey.taxa, first); at.has_value();
       at = group_of(survey.taxa, survey.taxa.parent[at.value()])) {
    bool all = true;
    each([&](TaxonIndex taxon) { all = all && lies_in(survey.taxa, taxon, at); });
    if (all) return at;
  }
  return TaxonIndex::none();
}

}  // namespace

void check_samples(Check& check) {
  const SampleColumns& samples = check.survey.samples;
  for (std::size_t s = 0; s < samples.size(); ++s) {
    const bool empty = samples.record_begin[s] == samples.record_begin[s + 1];
    if (samples.kind[s] == SampleKind::kBlank)
      check_blank(check, s);
    else if (empty)
      check.find(Severity::kWarning, "sample without records", check.sample(s),
                 "This sample has no records. If nothing was found, that is not recorded; if something was, "
                 "import it.");
    check_unlisted(check, s);
    check_repeated_taxa(check, s);
  }
}

void check_communities(Check& check) {
  const Snapshot& survey = check.survey;
  std::map<TaxonIndex, std::size_t> times;
  std::size_t count = 0, first = 0;
  for (std::size_t s = 0; s < survey.samples.size(); ++s) {
    if (survey.samples.kind[s] == SampleKind::kBlank) continue;
    const TaxonIndex group = only_group(survey, s);
    if (!group.has_value()) continue;
    ++times[group];
    if (count++ == 0) first = s;
  }
  if (count == 0) return;
  std::vector<std::string> groups;
  for (const auto& [group, samples] : times)
    groups.push_back(std::string(survey.taxa.name[group.value()]) +
                     (times.size() == 1 ? "" : " (" + std::to_string(samples) + ")"));
  const std::string said = times.size() == 1 ? "only " + groups.front() + " were recorded"
                                             : "only one group was recorded: " + listed(groups, 6);
  check.find(Severity::kNote, "only one group recorded", check.sample(first),
             (count == 1 ? "In this sample " : "In " + std::to_string(count) + " samples, this one first, ") +
                 said + "; methods that need the whole community cannot be read from " +
                 (count == 1 ? "this sample." : "these samples."));
}

}  // namespace brookmark::core
