#include "viewer/report/report_facts.hpp"

#include <algorithm>

#include "core/analysis/rank_driver.hpp"
#include "core/base/text.hpp"

namespace brookmark::viewer {

namespace {

bool lies_in(const core::CatchmentNesting& nesting, core::CatchmentIndex inner, core::CatchmentIndex outer) {
  for (core::CatchmentIndex c = inner; c.has_value(); c = nesting.parent[c.value()])
    if (c == outer) return true;
  return false;
}

}  // namespace

ReportFacts::ReportFacts(const core::HandOver& handed_over, const ReportScope& asked)
    : handed(handed_over),
      snapshot(handed.shared.snapshot()),
      metric(handed.assessment.metric_info()),
      scope(asked),
      inside(core::channels_in_catchments(snapshot, handed.channels)),
      assessment(handed.assessment),
      reaches(core::assess_reaches(snapshot, assessment, handed.channels)),
      exposure(core::exposure_of_sites(snapshot, handed.channels,
                                       core::days_of_assessment(snapshot, assessment), {})),
      places(core::places_on_channels(snapshot, handed.channels)) {
  core::add_channel_shares(assessment, reaches, inside);
  if (const auto days = snapshot.date_span()) first = days->first, last = days->second;
  choose_sites();
  std::vector<core::Drop> drops =
      core::find_drops(snapshot, handed.scores, assessment.metric, handed.channels, assessment.period);
  choose_parts(drops);
  choose_falls(std::move(drops));
  const core::SiteValues values =
      core::metric_values(snapshot, handed.scores, assessment.metric, assessment.until());
  trends = core::site_trends(snapshot, values, sites);
  for (std::size_t i = 0; i < snapshot.outfalls.size(); ++i) outfalls.emplace_back(i);
  if (scope.catchment) outfalls = core::outfalls_inside(snapshot, *scope.catchment);
  read_still_waters();
}

bool ReportFacts::holds(core::SiteIndex site) const {
  return std::binary_search(sites.begin(), sites.end(), site);
}

void ReportFacts::choose_sites() {
  for (std::size_t i = 0; i < snapshot.sites.size(); ++i) {
    const core::SiteIndex site(i);
    if (scope.site && *scope.site != site) continue;
    if (scope.catchment && !lies_in(handed.nesting, handed.nesting.site_smallest[i], *scope.catchment))
      continue;
    sites.push_back(site);
  }
}

void ReportFacts::choose_parts(std::span<const core::Drop> drops) {
  const core::RankedSurvey ranked{snapshot, assessment, handed.nesting, reaches, inside, drops};
  for (const core::CatchmentIndex c : core::worst_first(assessment)) {
    if (scope.catchment && !lies_in(handed.nesting, c, *scope.catchment)) continue;
    if (scope.site && !lies_in(handed.nesting, handed.nesting.site_smallest[scope.site->value()], c))
      continue;
    parts.push_back(c);
    why.push_back(core::rank_driver(ranked, c, core::CatchmentRule::kWorst));
  }
}

void ReportFacts::choose_falls(std::vector<core::Drop> drops) {
  for (core::Drop& drop : drops) {
    if (drop.pairs.empty() || !(holds(drop.down) || (scope.site && holds(drop.up)))) continue;
    ++compared;
    if (drop.is_worse()) falls.push_back(std::move(drop));
  }
  core::add_confidence(falls, snapshot, *handed.method, assessment.metric);
  const auto end = std::stable_partition(falls.begin(), falls.end(),
                                         [](const core::Drop& fall) { return fall.since.has_value(); });
  clear = static_cast<std::size_t>(end - falls.begin());
}

void ReportFacts::read_still_waters() {
  std::optional<core::StillWaterReader> reader;
  for (const core::SiteIndex site : sites) {
    if (core::flow_of(snapshot.sites.kind[site.value()]) != core::Flow::kStill) continue;
    const core::SampleIndex sample = known(site).newest_sample;
    if (!sample.has_value()) continue;
    if (!reader) reader.emplace(snapshot);
    still.push_back(reader->read(sample));
  }
}

std::vector<core::SampleIndex> ReportFacts::samples() const {
  std::vector<core::SampleIndex> taken;
  for (const core::SiteIndex site : sites) {
    const auto [begin, end] = snapshot.samples_of(site);
    for (std::size_t s = begin.value(); s < end.value(); ++s)
      if (snapshot.samples.kind[s] != core::SampleKind::kBlank) taken.emplace_back(s);
  }
  return taken;
}

Chart ReportFacts::course(core::SiteIndex site) const {
  const auto [begin, end] = snapshot.samples_of(site);
  std::vector<core::SampleIndex> samples;
  for (std::size_t s = begin.value(); s < end.value(); ++s) samples.emplace_back(s);
  const core::ConfidenceTable sure = core::confidence_of(snapshot, *handed.method, samples);
  Chart chart = index_chart(source(), site, {}, &sure, outfalls_above(site));
  const auto& bars = sure.metrics[assessment.metric];
  const auto has_bar = [](const core::SampleConfidence& c) { return c.has_interval; };
  const auto one_sided = [&](const core::SampleConfidence& c) { return has_bar(c) && is_one_sided(c); };
  const auto drawn = std::count_if(bars.begin(), bars.end(), has_bar),
             sided = std::count_if(bars.begin(), bars.end(), one_sided);
  if (sided > 0)
    core::append_note(chart.note, sided == drawn
                                      ? "the bars are one-sided: from below up to the value"
                                      : "bars that end at their value are one-sided: from below up to it");
  return chart;
}

std::vector<core::UpstreamOutfall> ReportFacts::outfalls_above(core::SiteIndex site) const {
  const core::LonLat place = snapshot.sites.position[site.value()];
  if (!core::is_placed(place)) return {};
  const double limit_m = core::snap_limit_m(snapshot.sites.kind[site.value()], handed.channels.options());
  return core::upstream_of(snapshot, handed.channels, places, handed.nesting, inside, place, limit_m)
      .outfalls;
}

bool is_one_sided(const core::SampleConfidence& confidence) {
  return (confidence.notes & static_cast<std::uint32_t>(core::ConfidenceNote::kOnlyLoses)) != 0;
}

}  // namespace brookmark::viewer
