// Why: a chart of the window as a figure of a report: bands of the classes, intervals, points with their rank, events.
// Use: FigureBlock{{chart_figure(chart, metric, "Q04 Below the pumping station", {250, 150})}}
#pragma once

#include <span>
#include <string>

#include "core/scoring/method.hpp"
#include "viewer/report/document.hpp"
#include "viewer/state/chart.hpp"

namespace brookmark::viewer {

struct FigureSize {
  double width = 252, height = 150;  // points; two of the usual width stand side by side on a page
};

// The class's badge; a hollow one with a sign for what has no class.
Badge class_badge(const core::Metric& metric, int rank);

Figure chart_figure(const Chart& chart, const core::Metric& metric, const std::string& title,
                    const FigureSize& size = {});

// One axis of values for all, so that they can be compared at a glance.
void share_axis(std::span<Chart> charts);

// How many of each class, as bars; the last bar for those without one, where there are any.
struct ClassCount {
  std::string name;
  int rank = 0;  // 0: no class
  std::size_t count = 0;
};
Figure class_bars(const std::vector<ClassCount>& counts, const core::Metric& metric, const std::string& title,
                  const std::string& of_what, double width);

}  // namespace brookmark::viewer
