// Why: a scoring test reads best as a field sheet: a site, a date, what was found.
// Use: SurveyBuilder b; auto s = b.site("S1", WaterKind::kStream); b.sample(s, "2024-05-03", {n("Baetidae",
// 12)}); Add sites in order, and each site's samples oldest first, as a Snapshot has them.
#pragma once

#include <map>
#include <optional>
#include <stdexcept>
#include <string>
#include <vector>

#include "core/scoring/score.hpp"
#include "core/survey/snapshot.hpp"
#include "core/taxa/checklist.hpp"

namespace brookmark::test {

using core::LifeStage;
using core::QuantityKind;
using core::RecordColumns;
using core::SampleIndex;
using core::SampleKind;
using core::SiteIndex;
using core::TaxonIndex;
using core::WaterKind;

struct Found {
  std::string name;
  QuantityKind quantity = QuantityKind::kPresent;
  std::int64_t min = 1, max = RecordColumns::kOpen;
  LifeStage stage = LifeStage::kUnknown;
  float certainty = 1;
  std::string qualifier = {};
};

inline Found n(const std::string& name, std::int64_t count, LifeStage stage = LifeStage::kUnknown) {
  return {name, QuantityKind::kCount, count, count, stage};
}
inline Found present(const std::string& name, LifeStage stage = LifeStage::kUnknown) {
  return {name, QuantityKind::kPresent, 1, RecordColumns::kOpen, stage};
}
inline Found letter(const std::string& name, std::int64_t min, std::int64_t max) {
  return {name, QuantityKind::kAbundanceClass, min, max, LifeStage::kUnknown};
}
inline Found absent(const std::string& name) {
  return {name, QuantityKind::kAbsent, 0, 0, LifeStage::kUnknown};
}

inline Found unsure(Found found, float certainty) {
  found.certainty = certainty;
  return found;
}
inline Found marked(Found found, const std::string& qualifier) {
  found.qualifier = qualifier;
  return found;
}

class SurveyBuilder {
 public:
  SiteIndex site(const std::string& code, WaterKind kind, double lat = 52, const std::string& type = "",
                 bool reference = false) {
    return site(code, kind, core::LonLat{-1.0, lat}, type, reference);
  }
  SiteIndex site(const std::string& code, WaterKind kind, core::LonLat position, const std::string& type = "",
                 bool reference = false) {
    auto& sites = snapshot_.sites;
    for (core::TextColumn* column : {&sites.key, &sites.code, &sites.name}) column->append(code);
    for (core::TextColumn* column : {&sites.water, &sites.habitat, &sites.note}) column->append("");
    sites.type.append(type);
    sites.kind.push_back(kind);
    sites.reference.push_back(reference);
    sites.sharing.push_back(core::Sharing::kOpen);
    sites.status.push_back(core::SiteStatus::kActive);
    sites.position.push_back(position);
    sites.accuracy_m.emplace_back();
    sites.raw.emplace_back();
    return SiteIndex(sites.size() - 1);
  }

  SampleIndex sample(SiteIndex site, const std::string& date, const std::vector<Found>& found,
                     SampleKind kind = SampleKind::kRoutine, std::optional<double> share = {}) {
    const std::optional<core::Date> day = core::parse_date(date);
    if (!day) throw std::runtime_error("bad date in a test");
    auto& samples = snapshot_.samples;
    const std::string code = "sample " + std::to_string(samples.size());
    samples.key.append(code);
    samples.code.append(code);
    samples.protocol.append(protocol);
    samples.visit.emplace_back(samples.visit.size());
    samples.site.push_back(site);
    samples.date.push_back(*day);
    samples.kind.push_back(kind);
    samples.subsample_share.push_back(share);
    samples.effort.emplace_back();
    samples.effort_unit.append("");
    if (samples.record_begin.empty()) samples.record_begin.push_back(0);
    const SampleIndex index(samples.site.size() - 1);
    for (const Found& f : found) add_record(index, f);
    samples.record_begin.push_back(snapshot_.records.size());
    return index;
  }

  void outfall(const std::string& code, core::OutfallKind kind, core::LonLat position,
               const std::string& since = "", const std::string& until = "") {
    core::Outfall outfall;
    outfall.key = outfall.code = code;
    outfall.kind = kind;
    outfall.position = position;
    outfall.since = core::parse_date(since);
    outfall.until = core::parse_date(until);
    snapshot_.outfalls.push_back(outfall);
  }
  void reaches(const std::vector<core::Reach>& reaches) { snapshot_.reaches = reaches; }
  void catchment(const std::string& code, const core::MultiPolygon& shape) {
    snapshot_.catchments.push_back({code, code, "", shape});
  }

  std::string protocol = "kick";  // of the samples added from now on

  // A sample at a stream of its own.
  SampleIndex stream_sample(const std::vector<Found>& found) {
    return sample(site("stream " + std::to_string(snapshot_.sites.size()), WaterKind::kStream), "2024-05-03",
                  found);
  }

  // A name of the surveyor's own, under a parent of the checklist or under nothing.
  void own_taxon(const std::string& name, const std::string& parent) {
    add_taxon(name, core::Rank::kInformal, parent.empty() ? TaxonIndex::none() : taxon(parent), false);
  }

  TaxonIndex taxon(const std::string& name) {
    if (const auto known = taxa_.find(name); known != taxa_.end()) return known->second;
    const core::ChecklistEntry* entry = core::checklist().find(name);
    if (entry == nullptr || entry->name != name)
      return add_taxon(name, core::Rank::kInformal, TaxonIndex::none(), false);
    const TaxonIndex parent = entry->parent.empty() ? TaxonIndex::none() : taxon(entry->parent);
    return add_taxon(name, entry->rank, parent, true);
  }

  const core::Snapshot& snapshot() const { return snapshot_; }

 private:
  TaxonIndex add_taxon(const std::string& name, core::Rank rank, TaxonIndex parent, bool listed) {
    auto& taxa = snapshot_.taxa;
    taxa.key.append((listed ? "checklist:" : "own:") + name);
    taxa.name.append(name);
    taxa.rank.push_back(rank);
    taxa.parent.push_back(parent);
    taxa.listed.push_back(listed);
    return taxa_.emplace(name, TaxonIndex(taxa.size() - 1)).first->second;
  }

  void add_record(SampleIndex sample, const Found& found) {
    auto& records = snapshot_.records;
    records.key.append("record " + std::to_string(records.size()));
    records.verbatim_name.append(found.name);
    records.verbatim_quantity.append("");
    records.class_code.append("");
    records.qualifier.append(found.qualifier);
    records.sample.push_back(sample);
    records.taxon.push_back(taxon(found.name));
    records.match.push_back(core::NameMatch::kAccepted);
    records.quantity.push_back(found.quantity);
    records.count_min.push_back(found.min);
    records.count_max.push_back(found.max);
    records.stage.push_back(found.stage);
    records.certainty.push_back(found.certainty);
  }

  core::Snapshot snapshot_;
  std::map<std::string, TaxonIndex> taxa_;
};

// The score of the builder's only or named sample under one metric of a shipped method.
inline core::SampleScore score_of(const SurveyBuilder& builder, const std::string& method_id,
                                  std::size_t metric, SampleIndex sample) {
  const core::Method* method = core::find_method(method_id);
  if (method == nullptr) throw std::runtime_error("no method " + method_id);
  return core::score_samples(builder.snapshot(), *method).metrics.at(metric).at(sample.value());
}

inline core::SampleScore stream_score(const std::string& method_id, const std::vector<Found>& found,
                                      std::size_t metric = 0) {
  SurveyBuilder builder;
  const SampleIndex sample = builder.stream_sample(found);
  return score_of(builder, method_id, metric, sample);
}

// The same where only a share of the catch was sorted.
inline core::SampleScore sorted_score(const std::string& method_id, const std::vector<Found>& found,
                                      double share) {
  SurveyBuilder builder;
  const SampleIndex sample = builder.sample(builder.site("S1", WaterKind::kStream), "2024-05-03", found,
                                            SampleKind::kRoutine, share);
  return score_of(builder, method_id, 0, sample);
}

inline bool has(const core::SampleScore& score, core::ScopeReason reason) {
  return (score.reasons & static_cast<std::uint16_t>(reason)) != 0;
}

}  // namespace brookmark::test
