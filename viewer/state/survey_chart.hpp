// Why: the same charts are shown by the window and printed in a report. Made of plain values, so that neither needs the other.
// Use: const Chart chart = index_chart({snapshot, scores, 0, first, last}, site, {}, &sure, outfalls_above);
#pragma once

#include <span>

#include "core/analysis/catchments.hpp"
#include "core/analysis/upstream.hpp"
#include "core/scoring/score.hpp"
#include "viewer/state/chart.hpp"

namespace brookmark::viewer {

struct ChartSource {
  const core::Snapshot& snapshot;
  const core::ScoreTable& scores;
  std::size_t metric = 0;
  core::Date first,
      last;  // the whole survey's time, so that charts of different sites stand under each other
};

// As those of chart.hpp. `sure` holds the site's own samples, in their order; null: no intervals. `outfalls`: up the channel;
// their days of use are events.
Chart index_chart(const ChartSource& source, core::SiteIndex site, core::SeasonSet seasons,
                  const core::ConfidenceTable* sure, std::span<const core::UpstreamOutfall> outfalls);
Chart catchment_chart(const ChartSource& source, const core::CatchmentNesting& nesting,
                      core::CatchmentIndex catchment, core::SeasonSet seasons);
Chart group_chart(const ChartSource& source, core::SiteIndex site, core::SeasonSet seasons);

}  // namespace brookmark::viewer
