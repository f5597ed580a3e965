#include "core/sharing/sharing.hpp"

#include <algorithm>
#include <map>
#include <numeric>
#include <set>

#include "core/base/text.hpp"
#include "core/sharing/fates_internal.hpp"
#include "core/sharing/reach_ends_internal.hpp"

namespace brookmark::core {

namespace {

constexpr std::string_view kOpenSitePrefix = "site-";
constexpr std::size_t kShortCode = 2;  // of abundance classes: "A", "5"; too short to tell anything

using RowsToCopy = std::vector<std::size_t>;  // of the survey, in the order of the copy

template <class Value>
std::vector<Value> picked(const std::vector<Value>& column, const RowsToCopy& rows) {
  std::vector<Value> copy;
  if (column.empty()) return copy;  // a column that nobody filled
  copy.reserve(rows.size());
  for (const std::size_t row : rows) copy.push_back(column[row]);
  return copy;
}

TextColumn picked(const TextColumn& column, const RowsToCopy& rows) {
  TextColumn copy;
  for (const std::size_t row : rows) copy.append(column[row]);
  return copy;
}

RowsToCopy rows_that_leave(const std::vector<bool>& leaves) {
  RowsToCopy rows;
  for (std::size_t i = 0; i < leaves.size(); ++i)
    if (leaves[i]) rows.push_back(i);
  return rows;
}

// Where each row of the survey went.
template <class Index>
std::vector<Index> new_place(std::size_t size, const RowsToCopy& rows) {
  std::vector<Index> place(size);
  for (std::size_t i = 0; i < rows.size(); ++i) place[rows[i]] = Index(i);
  return place;
}

// "blurred-3f2a91c0": as many letters of the key as tell them apart from each other and from what is there.
std::map<std::size_t, std::string> codes_from_keys(std::string_view prefix, const TextColumn& keys,
                                                   const TextColumn& codes, const std::vector<bool>& hidden) {
  std::set<std::string> taken;
  for (std::size_t i = 0; i < keys.size(); ++i)
    if (!hidden[i]) taken.emplace(codes[i]);
  std::map<std::size_t, std::string> made;
  for (const std::size_t letters : {std::size_t{8}, std::string::npos}) {
    std::set<std::string> seen = taken;
    made.clear();
    bool all_differ = true;
    for (std::size_t i = 0; i < keys.size() && all_differ; ++i) {
      if (!hidden[i]) continue;
      std::string code = std::string(prefix) + std::string(keys[i].substr(0, letters));
      all_differ = seen.insert(code).second;
      made[i] = std::move(code);
    }
    if (all_differ) break;
  }
  return made;
}

class Copier {
 public:
  Copier(const Snapshot& from, Fates& fates, const SharingRules& rules, Snapshot& to,
         std::vector<SharedPlace>& places)
      : from_(from), fates_(fates), rules_(rules), to_(to), places_(places) {}

  void copy() {
    to_.survey = from_.survey;
    to_.survey.title = words(from_.survey.title);
    to_.survey.description = words(from_.survey.description);
    copy_sites();
    copy_visits();
    copy_samples();
    copy_taxa();
    copy_records();
    copy_measurements();
    copy_places();
    for (const auto& [site, count] : notes_left_out_)
      fates_.told.push_back(
          {"notes", std::string(from_.sites.code[site]),
           std::to_string(count) + (count == 1 ? " text" : " texts") + " elsewhere left out",
           "it names this site, which is hidden"});
    if (names_replaced_ > 0)
      fates_.told.push_back({"notes", "",
                             std::to_string(names_replaced_) + (names_replaced_ == 1 ? " text" : " texts") +
                                 " with a name left out",
                             rules_.people ? "no consent is noted for it" : "names are left out"});
  }

 private:
  bool blurred(std::size_t site) const { return fates_.sites[site].sharing == Sharing::kBlurred; }
  std::size_t site_of_visit(std::size_t visit) const { return from_.visits.site[visit].value(); }

  bool tells(std::string_view text) const {
    return fates_.hidden_sites.find(text).has_value() || fates_.hidden_names.find(text).has_value();
  }
  // Every text that is handed over goes through here: nothing where it names a hidden site, and no name without consent.
  std::string words(std::string_view text) {
    if (const auto found = fates_.hidden_sites.find(text)) {
      ++notes_left_out_[found->number];
      return {};
    }
    std::string left = without_names(text, fates_.hidden_names);
    if (left != text) ++names_replaced_;
    return left;
  }
  // A code that tells is replaced by one that is made from the key.
  std::string code_or_key(std::string_view prefix, const std::string& layer, const std::string& code,
                          const std::string& key) {
    if (!tells(code)) return code;
    tell_replaced(layer, code);
    return std::string(prefix) + key;
  }
  void tell_replaced(const std::string& layer, std::string_view code) {
    fates_.told.push_back({layer, std::string(code), "its code replaced by one made from its key",
                           "it names a hidden site, or somebody without consent"});
  }

  template <class Pass>
  TextColumn passed(const TextColumn& column, const RowsToCopy& rows, const Pass& pass) {
    TextColumn copy;
    for (const std::size_t row : rows) copy.append(pass(row, column[row]));
    return copy;
  }

  void copy_sites() {
    const SiteColumns& sites = from_.sites;
    std::vector<bool> leaves(sites.size()), hidden(sites.size()), telling(sites.size());
    for (std::size_t i = 0; i < sites.size(); ++i) {
      leaves[i] = fates_.sites[i].sharing != Sharing::kWithheld;
      hidden[i] = fates_.sites[i].sharing != Sharing::kOpen;
      telling[i] = !hidden[i] && tells(sites.code[i]);
      if (telling[i]) tell_replaced("sites", sites.code[i]);
    }
    auto codes = codes_from_keys(kBlurredSitePrefix, sites.key, sites.code, hidden);
    codes.merge(codes_from_keys(kOpenSitePrefix, sites.key, sites.code, telling));
    const auto code_of = [&](std::size_t i) {
      const auto made = codes.find(i);
      return made == codes.end() ? std::string(sites.code[i]) : made->second;
    };
    RowsToCopy rows = rows_that_leave(leaves);
    std::stable_sort(rows.begin(), rows.end(),
                     [&](std::size_t a, std::size_t b) { return code_of(a) < code_of(b); });
    site_at_ = new_place<SiteIndex>(sites.size(), rows);
    SiteColumns& to = to_.sites;
    to.key = picked(sites.key, rows);
    to.code = passed(sites.code, rows, [&](std::size_t i, std::string_view) { return code_of(i); });
    const auto own_words = [&](std::size_t i, std::string_view text) {
      return blurred(i) ? std::string() : words(text);
    };
    to.name = passed(sites.name, rows, own_words);
    to.water = passed(sites.water, rows, own_words);
    to.habitat = passed(sites.habitat, rows, own_words);
    to.type = passed(sites.type, rows, own_words);
    to.note = passed(sites.note, rows, own_words);
    to.kind = picked(sites.kind, rows);
    to.status = picked(sites.status, rows);
    to.reference = picked(sites.reference, rows);
    for (const std::size_t i : rows) {
      const bool is_blurred = blurred(i);
      to.sharing.push_back(fates_.sites[i].sharing);
      SharedPlace place{sites.position[i], sites.accuracy_m[i], is_blurred, 0};
      if (is_blurred) {
        place.cell_m = fates_.sites[i].cell_m;
        if (fates_.sites[i].cell) {
          place.position = fates_.sites[i].cell->centre;
          place.uncertainty_m = fates_.sites[i].cell->uncertainty_m + sites.accuracy_m[i].value_or(0);
        }
      }
      to.position.push_back(is_blurred ? kUnplaced : sites.position[i]);
      to.accuracy_m.push_back(is_blurred ? std::optional<double>() : sites.accuracy_m[i]);
      to.raw.push_back(is_blurred ? RawPosition() : sites.raw[i]);
      to.raw.back().note = words(to.raw.back().note);
      places_.push_back(place);
    }
  }

  void copy_visits() {
    const VisitColumns& visits = from_.visits;
    RowsToCopy rows = rows_that_leave(fates_.visits);
    std::stable_sort(rows.begin(), rows.end(), [&](std::size_t a, std::size_t b) {
      const SiteIndex site_a = site_at_[site_of_visit(a)], site_b = site_at_[site_of_visit(b)];
      return site_a != site_b ? site_a < site_b : visits.start[a] < visits.start[b];
    });
    visit_at_ = new_place<VisitIndex>(visits.size(), rows);
    VisitColumns& to = to_.visits;
    to.key = picked(visits.key, rows);
    to.people = passed(visits.people, rows, [&](std::size_t, std::string_view text) {
      std::vector<std::string> named;
      for (std::string& name : names_in(text))
        if (std::binary_search(fates_.agreed.begin(), fates_.agreed.end(), fold_name(name)))
          named.push_back(std::move(name));
      return joined(named, ", ");
    });
    const auto of_visit = [&](std::size_t v, std::string_view text) {
      return blurred(site_of_visit(v)) ? std::string() : words(text);
    };
    to.weather = passed(visits.weather, rows, of_visit);
    to.conditions = passed(visits.conditions, rows, of_visit);
    to.note = passed(visits.note, rows, of_visit);
    to.start = picked(visits.start, rows);
    for (const std::size_t v : rows) to.site.push_back(site_at_[site_of_visit(v)]);
  }

  void copy_samples() {
    const SampleColumns& samples = from_.samples;
    std::vector<bool> hidden(samples.size());
    for (std::size_t i = 0; i < samples.size(); ++i) {
      hidden[i] = fates_.sites[samples.site[i].value()].sharing != Sharing::kOpen;
      if (hidden[i] || !tells(samples.code[i])) continue;
      hidden[i] = true;
      if (fates_.samples[i]) tell_replaced("samples", samples.code[i]);
    }
    const auto codes = codes_from_keys(kBlurredSamplePrefix, samples.key, samples.code, hidden);
    const auto code_of = [&](std::size_t i) {
      const auto made = codes.find(i);
      return made == codes.end() ? std::string(samples.code[i]) : made->second;
    };
    RowsToCopy rows = rows_that_leave(fates_.samples);
    std::stable_sort(rows.begin(), rows.end(), [&](std::size_t a, std::size_t b) {
      const SiteIndex site_a = site_at_[samples.site[a].value()], site_b = site_at_[samples.site[b].value()];
      if (site_a != site_b) return site_a < site_b;
      if (samples.date[a] != samples.date[b]) return samples.date[a] < samples.date[b];
      return code_of(a) < code_of(b);
    });
    sample_at_ = new_place<SampleIndex>(samples.size(), rows);
    SampleColumns& to = to_.samples;
    to.key = picked(samples.key, rows);
    to.code = passed(samples.code, rows, [&](std::size_t i, std::string_view) { return code_of(i); });
    const auto each = [&](std::size_t, std::string_view text) { return words(text); };
    to.protocol = passed(samples.protocol, rows, each);
    to.effort_unit = passed(samples.effort_unit, rows, each);
    to.note = passed(samples.note, rows, [&](std::size_t i, std::string_view text) {
      return blurred(samples.site[i].value()) ? std::string() : words(text);
    });
    for (const std::size_t i : rows) {
      to.visit.push_back(visit_at_[samples.visit[i].value()]);
      to.site.push_back(site_at_[samples.site[i].value()]);
    }
    to.date = picked(samples.date, rows);
    to.kind = picked(samples.kind, rows);
    to.subsample_share = picked(samples.subsample_share, rows);
    to.effort = picked(samples.effort, rows);
    for (std::size_t i = 0; i < rows.size(); ++i)  // a number without its unit says nothing
      if (to.effort_unit[i] != samples.effort_unit[rows[i]]) to.effort[i].reset();
    to.mesh_um = picked(samples.mesh_um, rows);
    sample_rows_ = std::move(rows);
  }

  // All of them, but where a taxon is withheld: then those that a record that leaves points to, with their parents.
  void copy_taxa() {
    const TaxonColumns& taxa = from_.taxa;
    const bool some_withheld =
        std::any_of(from_.sensitive_taxa.begin(), from_.sensitive_taxa.end(),
                    [](const SensitiveTaxon& taxon) { return taxon.sharing == Sharing::kWithheld; });
    std::vector<bool> leaves(taxa.size(), !some_withheld);
    if (some_withheld)
      for (std::size_t r = 0; r < from_.records.size(); ++r)
        for (TaxonIndex t = from_.records.taxon[r]; fates_.records[r] && t.has_value() && !leaves[t.value()];
             t = taxa.parent[t.value()])
          leaves[t.value()] = true;
    const RowsToCopy rows = rows_that_leave(leaves);
    taxon_at_ = new_place<TaxonIndex>(taxa.size(), rows);
    // Names of the checklist are everybody's; a name of the surveyor's own is free text.
    for (const std::size_t t : rows) {
      const bool own = !taxa.listed[t] && (tells(taxa.name[t]) || tells(taxa.key[t]));
      const std::string neutral = "name left out " + std::to_string(to_.taxa.name.size() + 1);
      if (own) words(taxa.name[t]);  // counts it
      to_.taxa.key.append(own ? "own:" + neutral : std::string(taxa.key[t]));
      to_.taxa.name.append(own ? neutral : std::string(taxa.name[t]));
    }
    to_.taxa.rank = picked(taxa.rank, rows);
    to_.taxa.listed = picked(taxa.listed, rows);
    for (const std::size_t t : rows)
      to_.taxa.parent.push_back(taxa.parent[t].has_value() ? taxon_at_[taxa.parent[t].value()]
                                                           : TaxonIndex::none());
  }

  void copy_records() {
    const RecordColumns& records = from_.records;
    RowsToCopy rows;
    for (const std::size_t sample : sample_rows_) {
      to_.samples.record_begin.push_back(rows.size());
      for (std::size_t r = from_.samples.record_begin[sample]; r < from_.samples.record_begin[sample + 1];
           ++r)
        if (fates_.records[r]) rows.push_back(r);
    }
    to_.samples.record_begin.push_back(rows.size());
    RecordColumns& to = to_.records;
    to.key = picked(records.key, rows);
    const auto each = [&](std::size_t, std::string_view text) { return words(text); };
    const auto instead = [&](std::string_view text, std::string_view neutral) {
      return tells(text) ? (words(text), std::string(neutral)) : std::string(text);
    };
    to.verbatim_name = passed(records.verbatim_name, rows, [&](std::size_t r, std::string_view text) {
      return instead(text, to_.taxa.name[taxon_at_[records.taxon[r].value()].value()]);
    });
    to.verbatim_quantity = passed(records.verbatim_quantity, rows, each);
    to.class_scheme = passed(records.class_scheme, rows, each);
    to.class_code = passed(records.class_code, rows, [&](std::size_t, std::string_view text) {
      return text.size() <= kShortCode ? std::string(text) : words(text);
    });
    // Left away, it would make a doubtful name certain.
    to.qualifier = passed(records.qualifier, rows,
                          [&](std::size_t, std::string_view text) { return instead(text, "[left out]"); });
    to.note = passed(records.note, rows, [&](std::size_t r, std::string_view text) {
      return blurred(from_.samples.site[records.sample[r].value()].value()) ? std::string() : words(text);
    });
    for (const std::size_t r : rows) to.sample.push_back(sample_at_[records.sample[r].value()]);
    for (const std::size_t r : rows) to.taxon.push_back(taxon_at_[records.taxon[r].value()]);
    to.match = picked(records.match, rows);
    to.quantity = picked(records.quantity, rows);
    to.count_min = picked(records.count_min, rows);
    to.count_max = picked(records.count_max, rows);
    to.stage = picked(records.stage, rows);
    to.certainty = picked(records.certainty, rows);
    to.certainty_given = picked(records.certainty_given, rows);
  }

  void copy_measurements() {
    const MeasurementColumns& measurements = from_.measurements;
    // A number without its unit or its meaning would be a wrong one.
    for (std::size_t m = 0; m < measurements.size(); ++m) {
      if (!fates_.measurements[m] || !(tells(measurements.quantity[m]) || tells(measurements.unit[m]) ||
                                       tells(measurements.verbatim_value[m])))
        continue;
      fates_.measurements[m] = false;
      fates_.told.push_back({"measurements",
                             std::string(from_.sites.code[site_of_visit(measurements.visit[m].value())]),
                             "left out", "its words name a hidden site, or somebody without consent"});
    }
    RowsToCopy rows = rows_that_leave(fates_.measurements);
    std::stable_sort(rows.begin(), rows.end(), [&](std::size_t a, std::size_t b) {
      return visit_at_[measurements.visit[a].value()] < visit_at_[measurements.visit[b].value()];
    });
    MeasurementColumns& to = to_.measurements;
    to.key = picked(measurements.key, rows);
    to.quantity = picked(measurements.quantity, rows);
    to.unit = picked(measurements.unit, rows);
    to.verbatim_value = picked(measurements.verbatim_value, rows);
    to.note = passed(measurements.note, rows, [&](std::size_t m, std::string_view text) {
      return blurred(site_of_visit(measurements.visit[m].value())) ? std::string() : words(text);
    });
    to.value = picked(measurements.value, rows);
    to.below_detection = picked(measurements.below_detection, rows);
    for (const std::size_t m : rows) {
      to.visit.push_back(visit_at_[measurements.visit[m].value()]);
      const SampleIndex sample = measurements.sample[m];
      to.sample.push_back(sample.has_value() ? sample_at_[sample.value()] : SampleIndex::none());
    }
  }

  void copy_places() {
    for (std::size_t i = 0; i < from_.waters.size(); ++i)
      if (fates_.waters[i]) {
        to_.waters.push_back(from_.waters[i]);
        to_.waters.back().name = words(from_.waters[i].name);
      }
    for (const Outfall& outfall : from_.outfalls) {
      to_.outfalls.push_back(outfall);
      to_.outfalls.back().code = code_or_key("outfall-", "outfalls", outfall.code, outfall.key);
      to_.outfalls.back().name = words(outfall.name);
      to_.outfalls.back().note = words(outfall.note);
      to_.outfalls.back().raw.note = words(outfall.raw.note);
    }
    std::vector<BoundingBox> boxes;
    for (const SiteFate& fate : fates_.sites)
      if (fate.cell) boxes.push_back(fate.cell->box);
    const std::size_t drawn = from_.reaches.size();
    to_.reaches = close_ends(from_.reaches, boxes);
    for (Reach& reach : to_.reaches) {
      reach.name = words(reach.name);
      reach.note = words(reach.note);
    }
    if (to_.reaches.size() < drawn)
      fates_.told.push_back({"reaches", "", std::to_string(drawn - to_.reaches.size()) + " ends closed",
                             "they lie in the grid cell of a hidden site"});
    for (std::size_t i = 0; i < from_.catchments.size(); ++i)
      if (fates_.catchments[i]) {
        to_.catchments.push_back(from_.catchments[i]);
        to_.catchments.back().name = words(from_.catchments[i].name);
        to_.catchments.back().code =
            code_or_key("catchment-", "catchments", from_.catchments[i].code, from_.catchments[i].key);
      }
    const auto by_code = [](const auto& a, const auto& b) { return a.code < b.code; };
    std::stable_sort(to_.outfalls.begin(), to_.outfalls.end(), by_code);
    std::stable_sort(to_.catchments.begin(), to_.catchments.end(), by_code);
  }

  const Snapshot& from_;
  Fates& fates_;
  const SharingRules& rules_;
  Snapshot& to_;
  std::vector<SharedPlace>& places_;
  std::vector<SiteIndex> site_at_;
  std::vector<VisitIndex> visit_at_;
  std::vector<SampleIndex> sample_at_;
  std::vector<TaxonIndex> taxon_at_;
  RowsToCopy sample_rows_;
  std::map<std::size_t, std::size_t> notes_left_out_;
  std::size_t names_replaced_ = 0;
};

}  // namespace

Period period_of(const SharingRules& rules, Date newest) {
  return {rules.until.value_or(newest), rules.from, rules.seasons};
}

SharedSurvey share(const Snapshot& snapshot, const SharingRules& rules) {
  Fates fates = decide_fates(snapshot, rules);
  SharedSurvey shared;
  shared.rules_ = rules;
  Copier(snapshot, fates, rules, shared.snapshot_, shared.places_).copy();
  shared.hidden_ = std::move(fates.told);
  shared.visits_outside_ = std::move(fates.visits_outside);
  return shared;
}

}  // namespace brookmark::core
