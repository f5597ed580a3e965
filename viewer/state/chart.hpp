// Why: what a chart shows is made here, free of any drawing: values and their intervals, bands of the classes, events, and
// the words for the point that is read.
// Use: const Chart chart = index_chart(model, choice, site, seasons, sure);  draw_chart(ui, "index", chart, 10);
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/analysis/history.hpp"
#include "core/scoring/confidence.hpp"
#include "viewer/state/state.hpp"

namespace brookmark::viewer {

class Model;

struct ChartPoint {
  core::Date date;
  std::optional<double> value;      // nothing: known only that there is no value
  std::optional<double> low, high;  // interval
  std::uint8_t class_rank = 0;      // 0: none
  bool holds = true;  // false: outside the method's scope, or a bound: drawn hollow and not joined
  std::string words;  // said when it is read
  std::optional<core::SampleIndex> sample;
};
struct ChartBand {
  double low = 0, high = 0;
  std::uint8_t class_rank = 0;
  std::string name;
};
struct ChartEvent {
  core::Date date;
  std::string words;
};
// Heaped up from below.
struct ChartStack {
  std::string name;
  std::vector<double> heights;  // beside `points`
};

struct Chart {
  std::string title;
  core::Date first, last;          // of the axis of time; first < last
  double low = 0, high = 1;        // of the axis of values; low < high
  int decimals = 0;                // of its figures
  bool joined = true;              // points that hold are joined by a line
  std::vector<ChartPoint> points;  // oldest first
  std::vector<ChartBand> bands;    // cut to the axis
  std::vector<ChartEvent> events;  // within the axis, oldest first
  std::vector<ChartStack> stacks;
  std::string note;  // what must be known beside it
  bool empty() const { return points.empty(); }
};

// Whether a value holds: classes behind values that have none would be read as theirs.
bool shows_classes(const Chart& chart);

// The index of a site, sample by sample. `sure` may be null: no intervals yet.
Chart index_chart(const Model& model, const Choice& choice, core::SiteIndex site, core::SeasonSet seasons,
                  const core::ConfidenceTable* sure);
// The site in the middle of a catchment's assessed sites, day by day.
Chart catchment_chart(const Model& model, const Choice& choice, core::CatchmentIndex catchment,
                      core::SeasonSet seasons);
// Animals by group.
Chart group_chart(const Model& model, core::SiteIndex site, core::SeasonSet seasons);
// One a quantity and unit.
std::vector<Chart> measured_charts(const Model& model, core::SiteIndex site, core::SeasonSet seasons);

// The point nearest in time; nothing in an empty chart.
std::optional<std::size_t> nearest_point(const Chart& chart, core::Date date);
// Round figures along the axis of values, at most `most` and at least two, all within it.
std::vector<double> axis_figures(const Chart& chart, int most);

}  // namespace brookmark::viewer
