#include <algorithm>
#include <map>
#include <set>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/sharing/drawn_fates_internal.hpp"
#include "core/sharing/fates_internal.hpp"

namespace brookmark::core {

namespace {

// The rule for each record's taxon; nothing for most. Names are compared folded; a taxon goes with all below it.
class SensitiveTaxa {
 public:
  explicit SensitiveTaxa(const Snapshot& snapshot) : snapshot_(snapshot), rule_(snapshot.taxa.size()) {
    for (const SensitiveTaxon& taxon : snapshot.sensitive_taxa)
      by_name_.emplace(fold_name(taxon.name), &taxon);
    if (by_name_.empty()) return;
    for (std::size_t i = 0; i < rule_.size(); ++i) {  // parents stand before their children
      rule_[i] = named(snapshot.taxa.name[i]);
      const TaxonIndex parent = snapshot.taxa.parent[i];
      if (parent.has_value()) rule_[i] = stricter(rule_[i], rule_[parent.value()]);
    }
  }

  const SensitiveTaxon* of(std::size_t record) const {
    if (by_name_.empty()) return nullptr;
    return stricter(rule_[snapshot_.records.taxon[record].value()],
                    named(snapshot_.records.verbatim_name[record]));
  }

 private:
  static const SensitiveTaxon* stricter(const SensitiveTaxon* a, const SensitiveTaxon* b) {
    if (a == nullptr || b == nullptr) return a == nullptr ? b : a;
    if (a->sharing != b->sharing) return a->sharing == Sharing::kWithheld ? a : b;
    return b->cell_m.value_or(0) > a->cell_m.value_or(0) ? b : a;
  }
  // A rule for "Triturus" holds for "Triturus cristatus" too, listed or not.
  const SensitiveTaxon* named(std::string_view name) const {
    const SensitiveTaxon* rule = nullptr;
    std::string words = fold_name(name);
    while (!words.empty()) {
      if (const auto found = by_name_.find(words); found != by_name_.end())
        rule = stricter(rule, found->second);
      const std::size_t blank = words.rfind(' ');
      words.resize(blank == std::string::npos ? 0 : blank);
    }
    return rule;
  }

  const Snapshot& snapshot_;
  std::map<std::string, const SensitiveTaxon*> by_name_;
  std::vector<const SensitiveTaxon*> rule_;
};

void judge_sites(const Snapshot& snapshot, const SharingRules& rules, Fates& fates) {
  for (std::size_t i = 0; i < snapshot.sites.size(); ++i) {
    SiteFate& fate = fates.sites[i];
    if (i < snapshot.sites.sharing.size()) fate.sharing = snapshot.sites.sharing[i];
    if (fate.sharing == Sharing::kOpen) continue;
    fate.cell_m = rules.cell_m;
    fate.why = fate.sharing == Sharing::kBlurred ? "the site is blurred" : "the site is withheld";
  }
}

void judge_rows(const Snapshot& snapshot, const SharingRules& rules, Fates& fates) {
  // Where a site lies, north or south of the equator, no grid cell hides: none reaches across it.
  const Period period = period_of(rules, Date{INT32_MAX});
  for (std::size_t v = 0; v < snapshot.visits.size(); ++v) {
    const std::size_t site = snapshot.visits.site[v].value();
    const bool day_leaves =
        period.holds(snapshot.visits.start[v].date, snapshot.sites.position[site].lat < 0);
    fates.visits[v] = day_leaves && fates.sites[site].sharing != Sharing::kWithheld;
    if (!day_leaves && fates.sites[site].sharing != Sharing::kWithheld)
      fates.visits_outside.emplace_back(snapshot.visits.key[v]);
  }
  for (std::size_t s = 0; s < snapshot.samples.size(); ++s)
    fates.samples[s] = fates.visits[snapshot.samples.visit[s].value()];

  const SensitiveTaxa sensitive(snapshot);
  for (std::size_t r = 0; r < snapshot.records.size(); ++r) {
    const std::size_t sample = snapshot.records.sample[r].value();
    const SensitiveTaxon* taxon = sensitive.of(r);
    if (taxon == nullptr) continue;
    const bool absent = snapshot.records.quantity[r] == QuantityKind::kAbsent;
    if (taxon->sharing == Sharing::kWithheld) {
      if (!fates.samples[sample] && !fates.visits[snapshot.samples.visit[sample].value()]) continue;
      fates.records[r] = false;
      if (!absent && fates.samples[sample]) {
        fates.samples[sample] = false;
        fates.told.push_back(
            {"samples", std::string(snapshot.samples.code[sample]),
             "left out with its records and measurements, and its visit where that has no other",
             "it holds a record of " + taxon->name + ", which is withheld"});
      } else if (absent) {
        fates.told.push_back({"records", std::string(snapshot.samples.code[sample]), "an absence is left out",
                              taxon->name + " is withheld"});
      }
      continue;
    }
    if (absent) continue;
    // Whatever the days asked for: a file of other days must not tell the place that this one hides.
    SiteFate& fate = fates.sites[snapshot.samples.site[sample].value()];
    if (fate.sharing == Sharing::kOpen) {
      fate.sharing = Sharing::kBlurred;
      fate.cell_m = rules.cell_m;
      fate.why = "a sample holds " + taxon->name + ", which is shared blurred";
    }
    if (fate.sharing == Sharing::kBlurred)
      fate.cell_m = std::max(fate.cell_m, taxon->cell_m.value_or(rules.cell_m));
  }
  // A visit whose every sample stays at home stays there too: without them it would stand out among the others.
  std::vector<bool> had_sample(snapshot.visits.size()), has_sample(snapshot.visits.size());
  for (std::size_t s = 0; s < snapshot.samples.size(); ++s) {
    const std::size_t visit = snapshot.samples.visit[s].value();
    had_sample[visit] = true;
    if (fates.samples[s]) has_sample[visit] = true;
  }
  for (std::size_t v = 0; v < snapshot.visits.size(); ++v)
    if (had_sample[v] && !has_sample[v]) fates.visits[v] = false;
  for (std::size_t r = 0; r < snapshot.records.size(); ++r)
    fates.records[r] = fates.records[r] && fates.samples[snapshot.records.sample[r].value()];
  for (std::size_t m = 0; m < snapshot.measurements.size(); ++m) {
    const SampleIndex sample = snapshot.measurements.sample[m];
    fates.measurements[m] = fates.visits[snapshot.measurements.visit[m].value()] &&
                            (!sample.has_value() || fates.samples[sample.value()]);
  }
}

void collect_names(const Snapshot& snapshot, const SharingRules& rules, Fates& fates) {
  std::set<std::string> agreed;
  if (rules.people)
    for (const Person& person : snapshot.people)
      if (person.agreed) agreed.insert(fold_name(person.name));
  fates.agreed.assign(agreed.begin(), agreed.end());
  std::map<std::string, std::pair<std::string, std::size_t>> left_out;  // folded -> as written, visits
  for (const Person& person : snapshot.people)
    if (!agreed.contains(fold_name(person.name)))
      left_out.try_emplace(fold_name(person.name), person.name, 0);
  for (std::size_t v = 0; v < snapshot.visits.size(); ++v)
    for (const std::string& name : names_in(snapshot.visits.people[v])) {
      if (agreed.contains(fold_name(name))) continue;
      auto& entry = left_out.try_emplace(fold_name(name), name, 0).first->second;
      if (fates.visits[v]) ++entry.second;
    }
  for (const auto& [folded, entry] : left_out) {
    fates.hidden_names.add(entry.first, 0);
    if (entry.second > 0)
      fates.told.push_back(
          {"people", entry.first,
           "name left out of " + std::to_string(entry.second) + (entry.second == 1 ? " visit" : " visits"),
           rules.people ? "no consent is noted for this name" : "names are left out"});
  }
}

}  // namespace

Fates decide_fates(const Snapshot& snapshot, const SharingRules& rules) {
  if (!(rules.cell_m >= kLeastCellM && rules.cell_m <= kMostCellM))
    throw Error(ErrorCode::kBadUse, "a grid cell has 10 m to 1000 km; give another size");
  Fates fates;
  fates.sites.resize(snapshot.sites.size());
  fates.visits.assign(snapshot.visits.size(), true);
  fates.samples.assign(snapshot.samples.size(), true);
  fates.records.assign(snapshot.records.size(), true);
  fates.measurements.assign(snapshot.measurements.size(), true);
  fates.waters.assign(snapshot.waters.size(), true);
  fates.catchments.assign(snapshot.catchments.size(), true);
  judge_sites(snapshot, rules, fates);
  judge_rows(snapshot, rules, fates);
  std::vector<HiddenItem> sites;
  for (std::size_t i = 0; i < snapshot.sites.size(); ++i) {
    SiteFate& fate = fates.sites[i];
    if (fate.sharing == Sharing::kOpen) continue;
    const LonLat position = snapshot.sites.position[i];
    if (is_placed(position)) fate.cell = blur_cell(position, fate.cell_m);
    for (const std::string_view word : {snapshot.sites.code[i], snapshot.sites.name[i]})
      if (tells_a_site(word) && (word == snapshot.sites.code[i] || word.size() >= 4))
        fates.hidden_sites.add(word, i);
    std::string what = "left out with its visits, samples, records and measurements";
    if (fate.sharing == Sharing::kBlurred) {
      what = fate.cell ? "place moved to the middle of a grid cell, told to " +
                             format_number(fate.cell->uncertainty_m) + " m"
                       : std::string("it has no place");
      what += "; its code, name and notes left out";
    }
    sites.push_back({"sites", std::string(snapshot.sites.code[i]), what, fate.why});
  }
  fates.told.insert(fates.told.begin(), sites.begin(), sites.end());
  judge_drawn(snapshot, fates);
  collect_names(snapshot, rules, fates);
  return fates;
}

}  // namespace brookmark::core
