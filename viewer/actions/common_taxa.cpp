#include "viewer/actions/common_taxa.hpp"

#include <algorithm>
#include <set>

#include "core/base/text.hpp"

namespace brookmark::viewer {
namespace {

// Families and coarser groups that most trays of running and of still water hold. Common practice, no source; each is in
// the checklist (a test looks).
constexpr std::string_view kUsual[] = {"Baetidae",      "Heptageniidae", "Leuctridae", "Hydropsychidae",
                                       "Limnephilidae", "Chironomidae",  "Simuliidae", "Tipulidae",
                                       "Culicidae",     "Gammaridae",    "Asellidae",  "Elmidae",
                                       "Dytiscidae",    "Corixidae",     "Gerridae",   "Coenagrionidae",
                                       "Oligochaeta",   "Erpobdellidae", "Lymnaeidae", "Sphaeriidae"};

std::string common_name_of(std::string_view accepted) {
  const core::ChecklistEntry* entry = core::checklist().find(accepted);
  return entry && !entry->common_names.empty() ? entry->common_names.front() : std::string();
}

std::string detail_of(const core::Taxon& taxon) {
  std::string words = common_name_of(taxon.name);
  if (taxon.rank != core::Rank::kInformal)
    words += (words.empty() ? "" : ", ") + std::string(core::rank_name(taxon.rank));
  return words;
}

core::Taxon row_of(const core::Snapshot& s, core::TaxonIndex at) {
  const std::size_t i = at.value();
  core::Taxon taxon{
      std::string(s.taxa.key[i]), std::string(s.taxa.name[i]), s.taxa.rank[i], {}, s.taxa.listed[i]};
  if (s.taxa.parent[i].has_value()) taxon.parent_key = s.taxa.key[s.taxa.parent[i].value()];
  return taxon;
}

NameChoice choice_of(const core::Snapshot& s, core::TaxonIndex at) {
  NameChoice choice;
  for (core::TaxonIndex t = at; t.has_value(); t = s.taxa.parent[t.value()])
    choice.lineage.push_back(row_of(s, t));
  const core::Taxon& taxon = choice.lineage.front();
  choice.shown = choice.verbatim = taxon.name;
  choice.detail = taxon.listed                ? detail_of(taxon)
                  : choice.lineage.size() > 1 ? "in " + choice.lineage[1].name + "; this survey has it"
                                              : "your own name, not in the checklist";
  choice.match = taxon.listed ? core::checklist().match(taxon.name).match : core::NameMatch::kNone;
  return choice;
}

NameChoice choice_of(const std::string& verbatim, core::NameResult result) {
  NameChoice choice;
  choice.verbatim = verbatim;
  choice.match = result.match;
  choice.stage = result.stage;
  choice.qualifier = result.qualifier;
  choice.lineage = std::move(result.lineage);
  choice.shown = choice.lineage.front().name;
  choice.detail = detail_of(choice.lineage.front());
  return choice;
}

// Of the order it belongs to, or of what stands highest: relatives together.
std::string place_of(const NameChoice& choice) {
  for (const core::Taxon& taxon : choice.lineage)
    if (taxon.rank == core::Rank::kOrder) return taxon.name;
  return choice.lineage.back().listed ? "~" + choice.lineage.front().name : "~~" + choice.shown;
}

bool holds(const std::vector<NameChoice>& choices, const std::string& key) {
  return std::any_of(choices.begin(), choices.end(),
                     [&](const NameChoice& c) { return c.lineage.front().key == key; });
}

}  // namespace

std::vector<CommonTaxon> common_taxa(const core::Snapshot& s, std::size_t most) {
  std::vector<std::size_t> samples(s.taxa.size(), 0);
  std::vector<core::SampleIndex> last(s.taxa.size());  // records are ordered by sample
  for (std::size_t r = 0; r < s.records.size(); ++r) {
    const std::size_t t = s.records.taxon[r].value();
    const core::SampleIndex sample = s.records.sample[r];
    if (s.records.quantity[r] == core::QuantityKind::kAbsent || last[t] == sample ||
        s.samples.kind[sample.value()] == core::SampleKind::kBlank)
      continue;
    last[t] = sample;
    ++samples[t];
  }
  std::vector<std::size_t> order;
  for (std::size_t t = 0; t < samples.size(); ++t)
    if (samples[t] > 0) order.push_back(t);
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return samples[a] > samples[b]; });
  std::vector<CommonTaxon> list;
  std::set<std::string> keys;
  for (const std::size_t t : order) {
    if (list.size() >= most) break;
    list.push_back({choice_of(s, core::TaxonIndex(t)), samples[t]});
    keys.insert(list.back().name.lineage.front().key);
  }
  for (const std::string_view name : kUsual) {
    if (list.size() >= most) break;
    NameChoice choice = choice_of(std::string(name), core::checklist().match(name));
    if (keys.insert(choice.lineage.front().key).second) list.push_back({std::move(choice), 0});
  }
  std::sort(list.begin(), list.end(), [](const CommonTaxon& a, const CommonTaxon& b) {
    const std::string of_a = place_of(a.name), of_b = place_of(b.name);
    return of_a != of_b ? of_a < of_b : a.name.shown < b.name.shown;
  });
  return list;
}

std::vector<NameChoice> name_choices(std::string_view typed, const core::Snapshot& s,
                                     const core::Checklist& names, std::size_t most) {
  std::vector<NameChoice> choices;
  const std::string words(core::trim(typed));
  const std::string folded = core::fold_name(words);
  if (folded.size() < 2 || core::says_nothing_found(words)) return choices;
  core::NameResult exact = names.match(words);
  const bool known = exact.match != core::NameMatch::kNone;
  const core::NameResult as_written = exact;
  if (known) choices.push_back(choice_of(words, std::move(exact)));
  for (const core::NameProposal& p : names.propose(words, most)) {
    // The start of a name is how it is looked up, and what is picked is what was meant; of a misspelling the words stay.
    const bool start = p.kind == core::ProposalKind::kStart || p.kind == core::ProposalKind::kSame;
    const std::string& meant = p.matched_on.empty() ? p.name : p.matched_on;
    core::NameResult result = names.match(meant);
    if (result.match == core::NameMatch::kNone) result = names.match(p.name);
    if (result.match == core::NameMatch::kNone || holds(choices, result.lineage.front().key)) continue;
    if (!start) result.match = core::NameMatch::kChosen;
    NameChoice choice = choice_of(start ? meant : words, std::move(result));
    if (core::fold_name(meant) != core::fold_name(choice.shown) &&
        !core::fold_name(choice.detail).starts_with(core::fold_name(meant)))  // said once
      choice.detail = meant + "; " + choice.detail;
    if (!start) choice.detail += "; for \u201C" + words + "\u201D";
    choices.push_back(std::move(choice));
  }
  // A name that means different animals in different countries leads to a group that scores nowhere: the family that is
  // mostly meant is offered below it, and never taken by itself. Common practice, no source.
  for (std::size_t k = 0; k < choices.size(); ++k) {
    const std::string coarse = choices[k].lineage.front().name;
    if (coarse != "Malacostraca" && coarse != "Crustacea") continue;
    core::NameResult family = names.match("Gammaridae");
    if (family.match == core::NameMatch::kNone || holds(choices, family.lineage.front().key)) break;
    family.match = core::NameMatch::kChosen;
    NameChoice choice = choice_of(words, std::move(family));
    choice.detail += "; mostly meant by freshwater shrimp";
    choices.insert(choices.begin() + static_cast<std::ptrdiff_t>(k + 1), std::move(choice));
    break;
  }
  // The survey's own names.
  for (std::size_t t = 0; t < s.taxa.size() && choices.size() < most; ++t) {
    if (s.taxa.listed[t] || !core::fold_name(s.taxa.name[t]).starts_with(folded)) continue;
    NameChoice own = choice_of(s, core::TaxonIndex(t));
    if (!holds(choices, own.lineage.front().key)) choices.push_back(std::move(own));
  }
  if (choices.size() >= most) choices.resize(most - 1);
  if (!known && !holds(choices, as_written.lineage.front().key)) {
    NameChoice own = choice_of(words, as_written);
    own.detail = "keep these words; not in the checklist, so it never scores";
    choices.push_back(std::move(own));
  }
  return choices;
}

}  // namespace brookmark::viewer
