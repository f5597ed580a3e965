// Why: everything that a report says is worked out here once, by core's analysis, from the survey that may leave; the pages
// only put it into words, tables and figures.
// Use: const ReportFacts facts(handed, {});  for (const core::Drop& fall : facts.falls) ...
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/analysis/drops.hpp"
#include "core/analysis/exposure.hpp"
#include "core/analysis/reach_assessment.hpp"
#include "core/analysis/survey_trends.hpp"
#include "core/analysis/upstream.hpp"
#include "core/scoring/still_water.hpp"
#include "core/sharing/hand_over.hpp"
#include "viewer/state/survey_chart.hpp"

namespace brookmark::viewer {

// At most one of the two; neither: the whole survey.
struct ReportScope {
  std::optional<core::SiteIndex> site;
  std::optional<core::CatchmentIndex> catchment;
};

struct ReportFacts {
  ReportFacts(const core::HandOver& handed, const ReportScope& scope);

  const core::HandOver& handed;  // outlives this
  const core::Snapshot& snapshot;
  const core::Metric& metric;
  ReportScope scope;
  core::CatchmentChannels inside;
  core::Assessment assessment;  // with confidence and channel shares
  core::ReachAssessment reaches;
  std::vector<core::SiteIndex> sites;  // of the scope, by code
  // That end at one of them (or begin at the one asked for): the clear ones first (those with a `since`), then worst first.
  std::vector<core::Drop> falls;
  std::size_t clear = 0;     // of `falls`
  std::size_t compared = 0;  // stretches of the scope with a pair of samples, those that do not fall too
  std::vector<core::CatchmentIndex> parts;   // catchments of the scope, worst first
  std::vector<std::string> why;              // beside `parts`: what the place in the order rests on
  std::vector<core::TrendRow> trends;        // of `sites`
  std::vector<core::SiteExposure> exposure;  // per site of the survey
  std::vector<core::OutfallIndex> outfalls;  // of the scope
  std::vector<core::StillReading> still;     // newest sample of each still water among `sites`
  core::ChannelPlaces places;
  core::Date first, last;  // of the samples

  std::vector<core::SampleIndex> samples() const;  // of `sites`, blanks left out
  // The course of one site, with intervals and the days of use of the outfalls above it.
  Chart course(core::SiteIndex site) const;
  Chart groups(core::SiteIndex site) const { return group_chart(source(), site, {}); }
  Chart course(core::CatchmentIndex catchment) const {
    return catchment_chart(source(), handed.nesting, catchment, {});
  }
  std::span<const core::Drop> clear_falls() const { return std::span(falls).first(clear); }
  // Up the channel, nearest first, whatever their days of use; nothing for a site on no channel or told only roughly.
  std::vector<core::UpstreamOutfall> outfalls_above(core::SiteIndex site) const;
  const core::SiteAssessment& known(core::SiteIndex site) const { return assessment.sites[site.value()]; }

 private:
  ChartSource source() const { return {snapshot, handed.scores, assessment.metric, first, last}; }
  void choose_sites();
  void choose_parts(std::span<const core::Drop> drops);
  void choose_falls(std::vector<core::Drop> drops);
  void read_still_waters();
  bool holds(core::SiteIndex site) const;
};

// The interval says how far down, not how far up.
bool is_one_sided(const core::SampleConfidence& confidence);

}  // namespace brookmark::viewer
