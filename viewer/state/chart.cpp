#include "viewer/state/chart.hpp"

#include <algorithm>
#include <cmath>

#include "core/base/text.hpp"
#include "core/chemistry/quantities.hpp"
#include "viewer/panels/words.hpp"
#include "viewer/state/model.hpp"
#include "viewer/state/survey_chart.hpp"

namespace brookmark::viewer {
namespace {

constexpr int kLeastDays = 60;  // of the axis of time: a single sample stands in its middle

void set_time(Chart& chart, core::Date first, core::Date last) {
  chart.first = first, chart.last = last;
  if (const int missing = kLeastDays - (chart.last.days - chart.first.days); missing > 0) {
    chart.first.days -= missing / 2;
    chart.last.days += missing - missing / 2;
  }
}

// Of a survey without samples nothing is drawn, and its days do not matter.
std::pair<core::Date, core::Date> time_of(const Model& model) {
  const auto days = model.sampling_dates();
  return days.empty() ? std::pair<core::Date, core::Date>{} : std::pair{days.front(), days.back()};
}

ChartSource source_of(const Model& model, const core::ScoreTable& scores, std::size_t metric) {
  const auto [first, last] = time_of(model);
  return {model.snapshot(), scores, metric, first, last};
}

// What an axis begins with.
enum class Foot : std::uint8_t {
  kZero,   // none of it, where nothing lies below
  kLowest  // what is drawn: of a scale whose zero is no "none", as of pH and temperature
};

// From all that is drawn, with a tenth of room above, and below where it does not begin with zero.
void set_values(Chart& chart, Foot foot = Foot::kZero) {
  std::optional<double> lowest, highest;
  const auto take = [&](double v) {
    if (!std::isfinite(v)) return;
    lowest = std::min(lowest.value_or(v), v);
    highest = std::max(highest.value_or(v), v);
  };
  for (const ChartPoint& p : chart.points) {
    if (p.value) take(*p.value);
    if (p.low) take(*p.low);
    if (p.high) take(*p.high);
  }
  for (std::size_t i = 0; i < chart.points.size() && !chart.stacks.empty(); ++i) {
    double heap = 0;
    for (const ChartStack& stack : chart.stacks) heap += stack.heights[i];
    take(heap);
  }
  if (foot == Foot::kLowest && lowest) {
    const double span = std::max(*highest - *lowest, 1.0), middle = (*highest + *lowest) / 2;
    chart.low = middle - span * 0.6;
    chart.high = middle + span * 0.6;
    return;
  }
  const double low = std::min(lowest.value_or(0), 0.0);
  double high = std::max(highest.value_or(0), 0.0);
  if (!(high > low)) high = low + 1;
  chart.low = low < 0 ? low * 1.1 : 0;
  chart.high = high + (high - low) * 0.1;
}

void set_bands(Chart& chart, const core::Metric& metric) {
  for (const core::ClassBand& band : metric.bands) {
    const double low = std::max(band.lower.value_or(chart.low), chart.low);
    const double high = std::min(band.upper.value_or(chart.high), chart.high);
    if (high > low) chart.bands.push_back({low, high, static_cast<std::uint8_t>(band.rank), band.name});
  }
  // Published bands leave gaps between whole numbers ("15 to 49", "50 to 99"): each reaches up to the next.
  std::sort(chart.bands.begin(), chart.bands.end(),
            [](const ChartBand& a, const ChartBand& b) { return a.low < b.low; });
  for (std::size_t i = 1; i < chart.bands.size(); ++i) {
    const double middle = (chart.bands[i - 1].high + chart.bands[i].low) / 2;
    chart.bands[i - 1].high = chart.bands[i].low = middle;
  }
}

// `distance_of` an outfall, in metres up the channel; nothing where none is to be said.
template <class Distance>
void set_events(Chart& chart, const core::Snapshot& s, std::span<const core::OutfallIndex> outfalls,
                const Distance& distance_of) {
  for (const core::OutfallEvent& event : core::outfall_events(s, outfalls)) {
    if (event.date < chart.first || event.date > chart.last) continue;
    const core::Outfall& o = s.outfalls[event.outfall.value()];
    const std::string kind =
        o.kind == core::OutfallKind::kUnknown ? "" : std::string(" ") + core::outfall_kind_name(o.kind);
    const std::optional<double> above_m = distance_of(event.outfall);
    chart.events.push_back(
        {event.date, o.code + kind + (above_m ? ", " + distance_in_words(*above_m) + " above," : "") +
                         (event.begins ? " in use from " : " in use until ") + date_in_words(event.date)});
  }
}

std::string interval_words(const core::Metric& metric, double low, double high, double level) {
  return ", " + core::format_number(std::round(level * 100)) + " % interval " + value_in_words(metric, low) +
         " to " + value_in_words(metric, high);
}

bool begins_with_none(const core::MeasuredSeries& series) {
  const core::Quantity* known = core::find_quantity(series.quantity, series.unit);
  return !known || (known->id != "ph" && known->id != "temperature" && known->id != "pressure");
}

}  // namespace

bool shows_classes(const Chart& chart) {
  return std::any_of(chart.points.begin(), chart.points.end(),
                     [](const ChartPoint& p) { return p.value && p.holds; });
}

Chart index_chart(const ChartSource& source, core::SiteIndex site, core::SeasonSet seasons,
                  const core::ConfidenceTable* sure, std::span<const core::UpstreamOutfall> outfalls) {
  const core::Snapshot& s = source.snapshot;
  const core::Metric& metric = source.scores.method->metrics[source.metric];
  Chart chart;
  chart.title = metric.title;
  chart.decimals = core::shown_decimals(metric);
  set_time(chart, source.first, source.last);
  const std::size_t first = s.samples_of(site).first.value();
  std::size_t valueless = 0;
  for (const core::IndexPoint& p : core::index_history(s, source.scores, source.metric, site, seasons)) {
    ChartPoint point{p.date,  p.value, {}, {}, p.class_rank, p.in_scope, date_in_words(p.date) + ": ",
                     p.sample};
    if (!p.value) {
      ++valueless;
      point.holds = false;
      point.words += "no value";
    } else {
      point.words += value_in_words(metric, *p.value);
      if (p.class_rank != 0) point.words += ", " + std::string(core::class_name(metric, p.class_rank));
      if (!p.in_scope) point.words += ", outside the method's scope";
    }
    if (sure && p.value) {
      const core::SampleConfidence& c = sure->metrics[source.metric][p.sample.value() - first];
      if (c.has_interval) {
        point.low = c.low, point.high = c.high;
        point.words += interval_words(metric, c.low, c.high, sure->options.level);
      }
    }
    chart.points.push_back(std::move(point));
  }
  set_values(chart);
  set_bands(chart, metric);
  std::vector<core::OutfallIndex> above;
  for (const core::UpstreamOutfall& o : outfalls) above.push_back(o.outfall);
  set_events(chart, s, above, [&](core::OutfallIndex which) -> std::optional<double> {
    const auto found =
        std::find_if(outfalls.begin(), outfalls.end(), [&](const auto& o) { return o.outfall == which; });
    return found->distance_m;
  });
  if (valueless > 0)
    chart.note = count_of(valueless, "sample", "samples") + " without a value, shown at the foot";
  return chart;
}

Chart index_chart(const Model& model, const Choice& choice, core::SiteIndex site, core::SeasonSet seasons,
                  const core::ConfidenceTable* sure) {
  return index_chart(source_of(model, model.scores(choice.method), choice.metric), site, seasons, sure,
                     model.answers().upstream(site).outfalls);
}

Chart catchment_chart(const ChartSource& source, const core::CatchmentNesting& nesting,
                      core::CatchmentIndex catchment, core::SeasonSet seasons) {
  const core::Metric& metric = source.scores.method->metrics[source.metric];
  Chart chart;
  chart.title = metric.title + ", the site in the middle";
  chart.decimals = core::shown_decimals(metric);
  set_time(chart, source.first, source.last);
  for (const core::CatchmentPoint& p :
       core::catchment_history(source.snapshot, source.scores, source.metric, nesting, catchment, seasons)) {
    if (!p.known.median_value) continue;
    ChartPoint point{p.date, p.known.median_value,         {}, {}, p.known.median_rank,
                     true,   date_in_words(p.date) + ": ", {}};
    point.words += value_in_words(metric, *p.known.median_value);
    if (p.known.median_rank != 0)
      point.words += ", " + std::string(core::class_name(metric, p.known.median_rank));
    point.words +=
        ", in the middle of " + count_of(p.known.assessed_sites, "assessed site", "assessed sites");
    if (p.known.worst_rank > p.known.median_rank)
      point.words += ", the worst " + std::string(core::class_name(metric, p.known.worst_rank));
    chart.points.push_back(std::move(point));
  }
  set_values(chart);
  set_bands(chart, metric);
  set_events(chart, source.snapshot, core::outfalls_inside(source.snapshot, catchment),
             [](core::OutfallIndex) -> std::optional<double> { return std::nullopt; });
  return chart;
}

Chart catchment_chart(const Model& model, const Choice& choice, core::CatchmentIndex catchment,
                      core::SeasonSet seasons) {
  return catchment_chart(source_of(model, model.scores(choice.method), choice.metric),
                         model.session().nesting, catchment, seasons);
}

Chart group_chart(const ChartSource& source, core::SiteIndex site, core::SeasonSet seasons) {
  const core::Snapshot& s = source.snapshot;
  const core::GroupHistory history = core::group_history(s, site, 6, seasons);
  Chart chart;
  chart.title = "Animals counted, by group";
  chart.joined = false;
  set_time(chart, source.first, source.last);
  bool more = false;
  for (std::size_t i = 0; i < history.samples.size(); ++i) {
    ChartPoint point{s.samples.date[history.samples[i].value()], {}, {}, {}, 0, true, "", history.samples[i]};
    std::string list;
    for (std::size_t g = 0; g < history.groups.size(); ++g) {
      const core::GroupCount& count = history.counts[g][i];
      if (count.animals == 0 && !count.more) continue;
      more = more || count.more;
      list += (list.empty() ? "" : ", ") + history.groups[g] + " " +
              (count.animals > 0 || !count.more ? std::to_string(count.animals) : "") +
              (count.more ? "+" : "");
    }
    point.words = date_in_words(point.date) + ": " + (list.empty() ? "nothing counted" : list);
    chart.points.push_back(std::move(point));
  }
  for (std::size_t g = 0; g < history.groups.size(); ++g) {
    ChartStack stack{history.groups[g], {}};
    for (const core::GroupCount& count : history.counts[g])
      stack.heights.push_back(static_cast<double>(count.animals));
    chart.stacks.push_back(std::move(stack));
  }
  set_values(chart);
  chart.note = more ? "+ some were noted as a class or as present: there are more than the number says" : "";
  return chart;
}

Chart group_chart(const Model& model, core::SiteIndex site, core::SeasonSet seasons) {
  static const core::ScoreTable none;  // groups need no scores
  return group_chart(source_of(model, none, 0), site, seasons);
}

std::vector<Chart> measured_charts(const Model& model, core::SiteIndex site, core::SeasonSet seasons) {
  std::vector<Chart> charts;
  for (const core::MeasuredSeries& series : core::measured_history(model.snapshot(), site, seasons)) {
    Chart chart;
    chart.title = sentence_start(series.quantity);
    if (!series.unit.empty()) chart.title += ", " + unit_in_words(series.unit);
    const auto [first, last] = time_of(model);
    set_time(chart, first, last);
    chart.first = std::min(chart.first, series.points.front().date);
    chart.last = std::max(chart.last, series.points.back().date);
    for (const core::MeasuredPoint& p : series.points) {
      ChartPoint point{p.date, p.value, {}, {}, 0, !p.below, date_in_words(p.date) + ": ", {}};
      point.words += (p.below ? "below " : "") + core::format_number(p.value) +
                     (series.unit.empty() ? "" : " " + unit_in_words(series.unit));
      chart.points.push_back(std::move(point));
    }
    set_values(chart, begins_with_none(series) ? Foot::kZero : Foot::kLowest);
    chart.decimals = chart.high - chart.low < 1 ? 2 : chart.high - chart.low < 10 ? 1 : 0;
    if (std::any_of(chart.points.begin(), chart.points.end(), [](const ChartPoint& p) { return !p.holds; }))
      chart.note = "hollow: below that limit of detection";
    charts.push_back(std::move(chart));
  }
  return charts;
}

std::optional<std::size_t> nearest_point(const Chart& chart, core::Date date) {
  std::optional<std::size_t> best;
  for (std::size_t i = 0; i < chart.points.size(); ++i)
    if (!best ||
        std::abs(chart.points[i].date.days - date.days) < std::abs(chart.points[*best].date.days - date.days))
      best = i;
  return best;
}

std::vector<double> axis_figures(const Chart& chart, int most) {
  const double span = chart.high - chart.low;
  const double wish = span / std::max(most, 2);
  const double power = std::pow(10, std::floor(std::log10(wish)));
  double step = 10 * power;
  for (const double factor : {1.0, 2.0, 5.0})
    if (factor * power >= wish) {
      step = factor * power;
      break;
    }
  while (span / step < 1.5) step /= 2;  // two at least
  std::vector<double> figures;
  for (double v = std::ceil(chart.low / step - 1e-9) * step; v <= chart.high + step * 1e-9; v += step)
    figures.push_back(std::abs(v) < step * 1e-9 ? 0 : v);
  return figures;
}

}  // namespace brookmark::viewer
