#include "core/analysis/selection.hpp"

namespace brookmark::core {

std::vector<SiteIndex> sites_within(const Snapshot& snapshot, std::span<const LonLat> ring) {
  std::vector<SiteIndex> inside;
  if (ring.size() < 3) return inside;
  Line closed(ring.begin(), ring.end());
  if (closed.front() != closed.back()) closed.push_back(closed.front());
  const auto bounds = bounds_of(closed);
  const MultiPolygon shape{{{std::move(closed)}}};
  for (std::size_t i = 0; i < snapshot.sites.size(); ++i) {
    const LonLat p = snapshot.sites.position[i];
    if (!is_placed(p) || !bounds || p.lon < bounds->min_lon || p.lon > bounds->max_lon ||
        p.lat < bounds->min_lat || p.lat > bounds->max_lat)
      continue;
    if (contains(shape, p)) inside.emplace_back(i);
  }
  return inside;
}

Selection summarise(const Snapshot& snapshot, const Assessment& assessment,
                    std::span<const SiteIndex> sites) {
  Selection selection;
  const Metric& metric = assessment.metric_info();
  selection.by_rank.resize(metric.bands.size());
  std::vector<SiteAssessment> known;
  for (const SiteIndex site : sites) {
    const SiteAssessment& a = assessment.sites[site.value()];
    known.push_back(a);
    const bool has = a.has_value && a.in_scope && (metric.bands.empty() || a.class_rank != 0);
    if (has && a.class_rank != 0)
      ++selection.by_rank[a.class_rank - 1U];
    else if (!has)
      ++selection.without_class;
    const auto [first, last] = snapshot.samples_of(site);
    for (std::size_t s = first.value(); s < last.value(); ++s)
      if (snapshot.samples.kind[s] != SampleKind::kBlank &&
          in_period(assessment.period, snapshot, SampleIndex(s)))
        ++selection.samples;
  }
  selection.known = assess_catchment(snapshot, metric, sites, known);
  return selection;
}

}  // namespace brookmark::core
