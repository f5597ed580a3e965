#include "viewer/report/chart_figure.hpp"

#include <algorithm>
#include <cmath>

#include "core/base/text.hpp"
#include "viewer/map/group_colours.hpp"
#include "viewer/map/marks.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {

namespace {

constexpr double kWords = 7.5;  // points, the smallest that is drawn

const Inks& ink() {
  return inks(Look::kDay);
}

std::string letter_of(std::size_t event) {
  return {static_cast<char>('a' + static_cast<int>(event % 26))};
}

class ChartDrawer {
 public:
  ChartDrawer(const Chart& chart, std::size_t classes, const FigureSize& size, Canvas& canvas)
      : chart_(chart), canvas_(canvas), colours_(mark_colours(classes)) {
    left_ = 26, right_ = size.width - (chart.bands.empty() ? 4 : 16);
    top_ = chart.events.empty() ? 5 : 14, bottom_ = size.height - 13;
  }

  void draw() {
    bands();
    axes();
    stacks();
    events();
    points();
  }

 private:
  double x(core::Date date) const {
    const double span = std::max(chart_.last.days - chart_.first.days, 1);
    return left_ + 4 + (right_ - left_ - 8) * (date.days - chart_.first.days) / span;
  }
  double y(double value) const {
    return bottom_ - (bottom_ - top_) * (value - chart_.low) / (chart_.high - chart_.low);
  }
  Colour class_colour(std::uint8_t rank) const {
    return rank == 0 ? ink().value_only
                     : colours_.fill[static_cast<std::size_t>(kColourFirstClass + rank - 1)];
  }
  void centred(const std::string& words, double at_x, double base, Face face, Colour colour) {
    canvas_.text(words, {at_x - canvas_.width(words, face, kWords) / 2, base}, face, kWords, colour);
  }

  void bands() {
    for (const ChartBand& band : chart_.bands) {
      const double high = y(band.high), low = y(band.low);
      canvas_.box({left_, high, right_ - left_, low - high},
                  between({255, 255, 255}, class_colour(band.class_rank), 0.2));
      canvas_.box({right_, high, 3, low - high}, class_colour(band.class_rank));
      if (low - high > kWords)
        canvas_.text(std::to_string(band.class_rank), {right_ + 5.5, (high + low) / 2 + kWords * 0.36},
                     Face::kRegular, kWords, ink().text);
    }
  }

  void axes() {
    const int most = std::max(2, static_cast<int>((bottom_ - top_) / 20));
    for (const double value : axis_figures(chart_, most)) {
      const Pixel line[] = {{left_, y(value)}, {right_, y(value)}};
      canvas_.line(line, {between(ink().muted, {255, 255, 255}, 0.75), 0.5});
      int decimals = 0;
      for (double v = std::abs(value); decimals < 4 && std::abs(v - std::round(v)) > 1e-6; v *= 10)
        ++decimals;
      const std::string words = core::format_fixed(value, decimals);
      canvas_.text(words,
                   {left_ - 4 - canvas_.width(words, Face::kRegular, kWords), y(value) + kWords * 0.36},
                   Face::kRegular, kWords, ink().muted);
    }
    const Pixel foot[] = {{left_, bottom_}, {right_, bottom_}};
    canvas_.line(foot, {ink().edge, 0.8});
    years();
  }

  // Years; of a short time its months.
  void years() {
    const core::YearMonthDay from = core::year_month_day(chart_.first),
                             to = core::year_month_day(chart_.last);
    const bool by_month = (to.year - from.year) * 12 + to.month - from.month <= 20;
    double free = left_ - 20;
    for (int m = from.year * 12 + from.month - 1; m <= to.year * 12 + to.month - 1; ++m) {
      if (!by_month && m % 12 != 0) continue;
      const core::Date start = core::make_date({m / 12, m % 12 + 1, 1});
      if (start < chart_.first) continue;
      const Pixel tick[] = {{x(start), bottom_}, {x(start), bottom_ + 3}};
      canvas_.line(tick, {ink().edge, 0.8});
      const std::string words =
          by_month && m % 12 != 0 ? month_name(m % 12 + 1).substr(0, 3) : std::to_string(m / 12);
      const double width = canvas_.width(words, Face::kRegular, kWords);
      if (x(start) + 1 < free || x(start) + 1 + width > right_ + 14) continue;
      canvas_.text(words, {x(start) + 1, bottom_ + 4 + kWords}, Face::kRegular, kWords, ink().muted);
      free = x(start) + 1 + width + 5;
    }
  }

  void events() {
    for (std::size_t i = 0; i < chart_.events.size(); ++i) {
      const double at = x(chart_.events[i].date);
      const Pixel line[] = {{at, top_}, {at, bottom_}};
      canvas_.line(line, {ink().outfall, 0.9, {3, 2}});
      canvas_.box({at - 4.5, top_ - 10.5, 9, 10}, ink().outfall);
      centred(letter_of(i), at, top_ - 3, Face::kBold, {255, 255, 255});
    }
  }

  void stacks() {
    const double half =
        std::clamp((right_ - left_) / static_cast<double>(chart_.points.size() + 1) * 0.35, 0.8, 5.0);
    const std::vector<Colour> colours = stack_colours(chart_.stacks);
    for (std::size_t i = 0; i < chart_.points.size(); ++i) {
      const double at = x(chart_.points[i].date);
      double heap = 0;
      for (std::size_t g = 0; g < chart_.stacks.size(); ++g) {
        const double height = chart_.stacks[g].heights[i];
        if (height <= 0) continue;
        canvas_.box({at - half, y(heap + height), 2 * half, y(heap) - y(heap + height)}, colours[g]);
        heap += height;
      }
    }
  }

  void points() {
    std::vector<Pixel> line;
    for (const ChartPoint& p : chart_.points)
      if (p.value && p.holds) line.push_back({x(p.date), y(*p.value)});
    if (chart_.joined) canvas_.line(line, {ink().muted, 0.9});
    for (const ChartPoint& p : chart_.points) {
      const double at = x(p.date);
      if (p.low && p.high) {
        const double low = y(std::max(*p.low, chart_.low)), high = y(*p.high);
        const Pixel bar[] = {{at, high}, {at, low}}, top[] = {{at - 1.8, high}, {at + 1.8, high}},
                    end[] = {{at - 1.8, low}, {at + 1.8, low}};
        for (const auto& part : {bar, top, end}) canvas_.line(std::span(part, 2), {ink().text, 0.8});
      }
      if (!p.value) {
        if (chart_.stacks.empty()) no_value(at);
        continue;
      }
      const Pixel middle{at, y(*p.value)};
      canvas_.disc(middle, 3.2, p.holds ? ink().text : ink().unclassed);
      canvas_.disc(middle, 2.5, p.holds ? class_colour(p.class_rank) : Colour{255, 255, 255});
    }
  }
  void no_value(double at) {
    const Pixel one[] = {{at - 2.4, bottom_ - 4.8}, {at + 2.4, bottom_}},
                other[] = {{at - 2.4, bottom_}, {at + 2.4, bottom_ - 4.8}};
    canvas_.line(one, {ink().unclassed, 1});
    canvas_.line(other, {ink().unclassed, 1});
  }

  const Chart& chart_;
  Canvas& canvas_;
  MarkColours colours_;
  double left_ = 0, right_ = 0, top_ = 0, bottom_ = 0;
};

// What a chart shows, in words: how many points, the first and the last, the events.
std::string alt_of(const Chart& chart) {
  if (chart.empty()) return chart.title + ": no sample.";
  std::string words =
      chart.title + " through time, " + count_of(chart.points.size(), "sample", "samples") + ". ";
  words += chart.points.size() == 1 ? "The sample of " : "First ";
  words += as_sentence(chart.points.front().words);
  if (chart.points.size() > 1) words += " Last " + as_sentence(chart.points.back().words);
  for (std::size_t i = 0; i < chart.events.size(); ++i)
    words += " Event " + letter_of(i) + ": " + as_sentence(chart.events[i].words);
  return words;
}

std::string caption_of(const Chart& chart) {
  std::string words;
  for (std::size_t i = 0; i < chart.events.size(); ++i)
    words += (words.empty() ? "" : " ") + letter_of(i) + ": " + as_sentence(chart.events[i].words);
  if (!chart.note.empty()) words += (words.empty() ? "" : " ") + as_sentence(chart.note);
  return words;
}

}  // namespace

Badge class_badge(const core::Metric& metric, int rank) {
  if (rank <= 0 || static_cast<std::size_t>(rank) > kMostClasses)
    return {"–", {255, 255, 255}, ink().unclassed};
  const MarkColours colours = mark_colours(metric.bands.size());
  const auto at = static_cast<std::size_t>(kColourFirstClass + rank - 1);
  return {std::to_string(rank), colours.fill[at], colours.ink[at]};
}

Figure chart_figure(const Chart& chart, const core::Metric& metric, const std::string& title,
                    const FigureSize& size) {
  Figure figure{title, alt_of(chart), caption_of(chart), size.width, size.height, {}};
  figure.draw = [drawn = chart, classes = metric.bands.size(), size](Canvas& canvas) mutable {
    if (!shows_classes(drawn)) drawn.bands.clear();
    ChartDrawer(drawn, classes, size, canvas).draw();
  };
  return figure;
}

void share_axis(std::span<Chart> charts) {
  if (charts.empty()) return;
  double low = charts.front().low, high = charts.front().high;
  const Chart* tallest = &charts.front();
  for (const Chart& chart : charts) {
    low = std::min(low, chart.low);
    if (chart.high > high) high = chart.high, tallest = &chart;
  }
  const std::vector<ChartBand> bands = tallest->bands;  // those of the others are the same, cut lower
  for (Chart& chart : charts) {
    chart.low = low;
    chart.high = high;
    chart.bands = bands;
  }
}

Figure class_bars(const std::vector<ClassCount>& counts, const core::Metric& metric, const std::string& title,
                  const std::string& of_what, double width) {
  constexpr double kRow = 17, kPoints = 9;
  std::size_t most = 1;
  std::string alt = of_what + " by class: ";
  for (std::size_t i = 0; i < counts.size(); ++i) {
    most = std::max(most, counts[i].count);
    alt += (i == 0 ? "" : ", ") + counts[i].name + " " + std::to_string(counts[i].count);
  }
  Figure figure{title, alt + ".", "", width, kRow * static_cast<double>(counts.size()), {}};
  figure.draw = [counts, metric, width, most](Canvas& canvas) {
    double names = 0, y = kRow / 2;
    for (const ClassCount& c : counts) names = std::max(names, canvas.width(c.name, Face::kRegular, kPoints));
    const double left = 20 + names + 8, room = width - left - 24;
    for (const ClassCount& c : counts) {
      const Badge badge = class_badge(metric, c.rank);
      canvas.disc({8, y}, 7, ink().text);
      canvas.disc({8, y}, 6.3, badge.fill);
      canvas.text(badge.sign, {8 - canvas.width(badge.sign, Face::kBold, kPoints) / 2, y + kPoints * 0.36},
                  Face::kBold, kPoints, badge.ink);
      canvas.text(c.name, {20, y + kPoints * 0.36}, Face::kRegular, kPoints, ink().text);
      const double length = room * static_cast<double>(c.count) / static_cast<double>(most);
      if (c.count > 0) {
        canvas.box({left, y - 5.5, length, 11}, ink().text);
        canvas.box({left + 0.6, y - 4.9, std::max(length - 1.2, 0.2), 9.8}, badge.fill);
      }
      canvas.text(std::to_string(c.count), {left + length + 5, y + kPoints * 0.36}, Face::kBold, kPoints,
                  ink().text);
      y += kRow;
    }
  };
  return figure;
}

}  // namespace brookmark::viewer
