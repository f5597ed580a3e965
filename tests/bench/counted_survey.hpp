// Why: scoring and confidence are timed on the same kind of survey: streams, and twenty or so counts a sample.
#pragma once

#include <cstddef>
#include <random>
#include <string>
#include <vector>

#include "core/survey/snapshot.hpp"
#include "core/taxa/checklist.hpp"

namespace brookmark::bench {

// Every record is a count of a name drawn from the whole checklist.
inline core::Snapshot counted_survey(std::size_t sites, std::size_t samples_per_site,
                                     std::size_t records_per_sample) {
  core::Snapshot s;
  std::vector<std::string> names;
  for (const core::ChecklistEntry& entry : core::checklist().entries()) {
    s.taxa.name.append(entry.name);
    s.taxa.key.append("checklist:" + entry.name);
    s.taxa.rank.push_back(entry.rank);
    core::TaxonIndex parent;
    for (std::size_t i = 0; i < names.size(); ++i)
      if (names[i] == entry.parent) parent = core::TaxonIndex(i);
    s.taxa.parent.push_back(parent);
    s.taxa.listed.push_back(true);
    names.push_back(entry.name);
  }
  s.sites.kind.assign(sites, core::WaterKind::kStream);
  s.sites.position.assign(sites, {-1.0, 52.0});
  const std::size_t samples = sites * samples_per_site, records = samples * records_per_sample;
  std::mt19937 random(20240503);
  s.samples.record_begin.push_back(0);
  for (std::size_t i = 0; i < samples; ++i) {
    s.samples.site.emplace_back(i / samples_per_site);
    s.samples.date.push_back(
        {static_cast<std::int32_t>(18000 + 180 * (i % samples_per_site) + random() % 30)});
    s.samples.code.append("sample " + std::to_string(i));
    s.samples.protocol.append("");
    s.samples.visit.emplace_back(i);
    s.samples.kind.push_back(core::SampleKind::kRoutine);
    s.samples.subsample_share.emplace_back();
    s.samples.record_begin.push_back((i + 1) * records_per_sample);
  }
  s.records.quantity.assign(records, core::QuantityKind::kCount);
  s.records.stage.assign(records, core::LifeStage::kUnknown);
  s.records.certainty.assign(records, 1.0);
  s.records.taxon.reserve(records);
  s.records.count_min.reserve(records);
  for (std::size_t r = 0; r < records; ++r) {
    s.records.taxon.emplace_back(random() % names.size());
    s.records.count_min.push_back(1 + static_cast<std::int64_t>(random() % 40));
    s.records.qualifier.append("");
  }
  s.records.count_max = s.records.count_min;
  return s;
}

}  // namespace brookmark::bench
