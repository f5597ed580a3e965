#include "core/analysis/check_internal.hpp"
#include "core/base/text.hpp"
#include "core/taxa/checklist.hpp"
#include "core/taxa/survey_names.hpp"

namespace brookmark::core {

namespace {

constexpr std::size_t kNamesShown = 20;  // of the placed ones, so that the note can be read

std::string records_text(std::size_t count) {
  return std::to_string(count) + (count == 1 ? " record" : " records");
}

}  // namespace

void check_names(Check& check) {
  const Snapshot& survey = check.survey;
  std::vector<std::size_t> records(survey.taxa.size(), 0);
  std::vector<std::size_t> first(survey.taxa.size(), 0);
  for (std::size_t r = 0; r < survey.records.size(); ++r) {
    const std::size_t taxon = survey.records.taxon[r].value();
    if (records[taxon]++ == 0) first[taxon] = r;
  }
  const Checklist known = checklist().known_in(names_in_use(survey));
  std::vector<std::string> placed;
  std::string first_placed;
  for (std::size_t t = 0; t < survey.taxa.size(); ++t) {
    if (survey.taxa.listed[t] || records[t] == 0) continue;
    const std::string name(survey.taxa.name[t]);
    const TaxonIndex parent = survey.taxa.parent[t];
    if (parent.has_value()) {
      if (placed.empty()) first_placed = "taxon " + name;
      placed.push_back(name + " (under " + std::string(survey.taxa.name[parent.value()]) + ", " +
                       records_text(records[t]) + ")");
      continue;
    }
    std::string text = "\"" + name + "\" is not in the checklist (" + records_text(records[t]) +
                       ", first in " + check.sample(survey.records.sample[first[t]].value()) +
                       "). It counts as a taxon and never scores.";
    std::vector<std::string> proposals;
    for (const NameProposal& proposal : known.propose(name))
      proposals.push_back(proposal.name + " (score " + format_fixed(proposal.score, 2) + ")");
    for (std::size_t i = 0; i < proposals.size(); ++i)
      text += (i == 0 ? " Did you mean " : i + 1 == proposals.size() ? " or " : ", ") + proposals[i];
    if (!proposals.empty()) text += "?";
    check.find(Severity::kWarning, "unlisted name", "taxon " + name, std::move(text));
  }
  if (placed.empty()) return;
  const bool one = placed.size() == 1;
  check.find(
      Severity::kNote, "unlisted name", first_placed,
      (one ? "One name is not in the checklist itself but has its place there: "
           : std::to_string(placed.size()) +
                 " names are not in the checklist themselves but have their place there: ") +
          listed(placed, kNamesShown) + ". " + (one ? "It scores" : "Each scores") +
          " as its genus' family does (or as the group it stands under), and is a taxon of its own in a "
          "richness that counts taxa as named.");
}

}  // namespace brookmark::core
