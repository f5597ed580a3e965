#include "core/analysis/history.hpp"

#include <algorithm>
#include <map>
#include <utility>

#include "core/base/text.hpp"

namespace brookmark::core {
namespace {

// Calls with each sample of the site that is no blank and of the seasons, oldest first.
template <class Visit>
void each_sample(const Snapshot& snapshot, SiteIndex site, SeasonSet seasons, const Visit& visit) {
  const bool southern = snapshot.sites.position[site.value()].lat < 0;
  const auto [first, last] = snapshot.samples_of(site);
  for (std::size_t s = first.value(); s < last.value(); ++s)
    if (snapshot.samples.kind[s] != SampleKind::kBlank &&
        (seasons.all() || seasons.has(season_of(snapshot.samples.date[s], southern))))
      visit(SampleIndex(s));
}

// The order; else the lowest rank above order that there is; else the name itself.
TaxonIndex group_of(const TaxonColumns& taxa, TaxonIndex taxon) {
  for (TaxonIndex t = taxon; t.has_value(); t = taxa.parent[t.value()])
    if (taxa.rank[t.value()] >= Rank::kOrder) return t;
  return taxon;
}

std::int64_t total_of(const std::vector<GroupCount>& counts) {
  std::int64_t total = 0;
  for (const GroupCount& count : counts) total += count.animals;
  return total;
}

}  // namespace

std::vector<IndexPoint> index_history(const Snapshot& snapshot, const ScoreTable& scores, std::size_t metric,
                                      SiteIndex site, SeasonSet seasons) {
  std::vector<IndexPoint> points;
  each_sample(snapshot, site, seasons, [&](SampleIndex sample) {
    const SampleScore& score = scores.metrics[metric][sample.value()];
    IndexPoint point{sample, snapshot.samples.date[sample.value()], {}, score.in_scope, 0};
    if (score.has_value) point.value = score.value;
    if (score.has_value && score.in_scope) point.class_rank = score.class_rank;
    points.push_back(point);
  });
  return points;
}

std::vector<CatchmentPoint> catchment_history(const Snapshot& snapshot, const ScoreTable& scores,
                                              std::size_t metric, const CatchmentNesting& nesting,
                                              CatchmentIndex catchment, SeasonSet seasons) {
  std::vector<SiteIndex> inside;
  for (std::size_t i = 0; i < nesting.site_smallest.size(); ++i)
    for (CatchmentIndex c = nesting.site_smallest[i]; c.has_value(); c = nesting.parent[c.value()])
      if (c == catchment) {
        inside.emplace_back(i);
        break;
      }
  // Only the sites sampled on a day are looked at anew on it.
  std::map<Date, std::vector<std::size_t>> days;
  for (std::size_t i = 0; i < inside.size(); ++i)
    each_sample(snapshot, inside[i], seasons, [&](SampleIndex sample) {
      std::vector<std::size_t>& sampled = days[snapshot.samples.date[sample.value()]];
      if (sampled.empty() || sampled.back() != i) sampled.push_back(i);
    });
  std::vector<SiteAssessment> known(inside.size());
  std::vector<CatchmentPoint> points;
  for (const auto& [date, sampled] : days) {
    for (const std::size_t i : sampled)
      known[i] = assess_site(snapshot, scores, metric, inside[i], Period(date, {}, seasons));
    points.push_back({date, assess_catchment(snapshot, scores.method->metrics[metric], inside, known)});
  }
  return points;
}

GroupHistory group_history(const Snapshot& snapshot, SiteIndex site, std::size_t most, SeasonSet seasons) {
  GroupHistory history;
  each_sample(snapshot, site, seasons, [&](SampleIndex sample) { history.samples.push_back(sample); });
  std::map<std::string, std::vector<GroupCount>> by_name;
  for (std::size_t at = 0; at < history.samples.size(); ++at) {
    const std::size_t s = history.samples[at].value();
    for (std::size_t r = snapshot.samples.record_begin[s]; r < snapshot.samples.record_begin[s + 1]; ++r) {
      const RecordColumns& records = snapshot.records;
      if (records.quantity[r] == QuantityKind::kAbsent || !(records.certainty[r] >= kUsableCertainty))
        continue;
      auto& counts =
          by_name[std::string(snapshot.taxa.name[group_of(snapshot.taxa, records.taxon[r]).value()])];
      counts.resize(history.samples.size());
      if (records.quantity[r] == QuantityKind::kCount)
        counts[at].animals += records.count_min[r];
      else
        counts[at].more = true;
    }
  }
  std::vector<std::pair<std::string, std::vector<GroupCount>>> groups(by_name.begin(), by_name.end());
  std::stable_sort(groups.begin(), groups.end(),
                   [](const auto& a, const auto& b) { return total_of(a.second) > total_of(b.second); });
  const std::size_t own = std::max<std::size_t>(most, 1);
  for (std::size_t g = 0; g < groups.size(); ++g) {
    if (g < own || groups.size() == own + 1) {  // a rest of one bears its own name
      history.groups.push_back(groups[g].first);
      history.counts.push_back(std::move(groups[g].second));
      continue;
    }
    if (g == own) {
      history.groups.emplace_back(kOtherGroups);
      history.counts.emplace_back(history.samples.size());
    }
    for (std::size_t at = 0; at < history.samples.size(); ++at) {
      history.counts.back()[at].animals += groups[g].second[at].animals;
      history.counts.back()[at].more = history.counts.back()[at].more || groups[g].second[at].more;
    }
  }
  return history;
}

std::vector<MeasuredSeries> measured_history(const Snapshot& snapshot, SiteIndex site, SeasonSet seasons) {
  const MeasurementColumns& measured = snapshot.measurements;
  const bool southern = snapshot.sites.position[site.value()].lat < 0;
  std::map<std::pair<std::string, std::string>, MeasuredSeries> by_name;
  for (std::size_t m = 0; m < measured.size(); ++m) {
    const std::size_t visit = measured.visit[m].value();
    if (snapshot.visits.site[visit] != site || !measured.value[m]) continue;
    const Date date = snapshot.visits.start[visit].date;
    if (!seasons.all() && !seasons.has(season_of(date, southern))) continue;
    MeasuredSeries& series = by_name[{fold_name(measured.quantity[m]), std::string(trim(measured.unit[m]))}];
    if (series.points.empty()) {
      series.quantity = std::string(measured.quantity[m]);
      series.unit = std::string(trim(measured.unit[m]));
    }
    series.points.push_back({date, *measured.value[m], static_cast<bool>(measured.below_detection[m])});
  }
  std::vector<MeasuredSeries> all;
  for (auto& [name, series] : by_name) {
    std::stable_sort(series.points.begin(), series.points.end(),
                     [](const MeasuredPoint& a, const MeasuredPoint& b) { return a.date < b.date; });
    all.push_back(std::move(series));
  }
  return all;
}

std::vector<OutfallEvent> outfall_events(const Snapshot& snapshot, std::span<const OutfallIndex> outfalls) {
  std::vector<OutfallEvent> events;
  for (const OutfallIndex outfall : outfalls) {
    const Outfall& o = snapshot.outfalls[outfall.value()];
    if (o.since) events.push_back({*o.since, outfall, true});
    if (o.until) events.push_back({*o.until, outfall, false});
  }
  std::stable_sort(events.begin(), events.end(),
                   [](const OutfallEvent& a, const OutfallEvent& b) { return a.date < b.date; });
  return events;
}

std::vector<OutfallIndex> outfalls_inside(const Snapshot& snapshot, CatchmentIndex catchment) {
  std::vector<OutfallIndex> inside;
  for (std::size_t o = 0; o < snapshot.outfalls.size(); ++o)
    if (contains(snapshot.catchments[catchment.value()].shape, snapshot.outfalls[o].position))
      inside.emplace_back(o);
  return inside;
}

}  // namespace brookmark::core
