#include <algorithm>
#include <cmath>
#include <vector>

#include "core/base/text.hpp"
#include "viewer/map/group_colours.hpp"
#include "viewer/panels/chart_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

struct Frame {
  float left, right, top, bottom;
  const Chart& chart;
  float x(core::Date date) const {
    return left + (right - left) * static_cast<float>(date.days - chart.first.days) /
                      static_cast<float>(std::max(chart.last.days - chart.first.days, 1));
  }
  float y(double value) const {
    return bottom - (bottom - top) * static_cast<float>((value - chart.low) / (chart.high - chart.low));
  }
  core::Date date(float at) const {
    const float share = right > left ? std::clamp((at - left) / (right - left), 0.0F, 1.0F) : 0;
    return {chart.first.days + static_cast<std::int32_t>(std::lround(
                                   share * static_cast<float>(chart.last.days - chart.first.days)))};
  }
};

Colour mixed(Colour a, Colour b, double share) {
  const auto part = [share](std::uint8_t x, std::uint8_t y) {
    return static_cast<std::uint8_t>(x + (y - x) * share);
  };
  return {part(a.r, b.r), part(a.g, b.g), part(a.b, b.b), 255};
}

Colour class_colour(const Ui& ui, std::uint8_t rank) {
  return rank == 0 ? ui.theme.ink.value_only
                   : ui.colours.fill[static_cast<std::size_t>(kColourFirstClass + rank - 1)];
}

void draw_bands(const Ui& ui, const Frame& frame, ImDrawList& list) {
  std::vector<float> written;
  for (const ChartBand& band : frame.chart.bands) {
    const float high = frame.y(band.high), low = frame.y(band.low);
    const Colour colour = class_colour(ui, band.class_rank);
    list.AddRectFilled({frame.left, high}, {frame.right, low}, im(mixed(ui.theme.ink.panel, colour, 0.22)));
    // Not by colour alone: its rank stands at the edge.
    list.AddRectFilled({frame.right, high}, {frame.right + ui.theme.em * 0.3F, low}, im(colour));
    const std::string rank = std::to_string(band.class_rank);
    const float size = ui.theme.small->FontSize;
    // Beside the largest dot of a point at the edge; of a low band too, where no other rank stands.
    const float top = std::round((high + low - size) / 2);
    if (low - high < size * 0.3F || std::any_of(written.begin(), written.end(), [&](float other) {
          return std::abs(other - top) < size * 0.85F;
        }))
      continue;
    written.push_back(top);
    list.AddText(ui.theme.small, size, {frame.right + ui.theme.em * 0.7F, top}, im(ui.theme.ink.muted),
                 rank.c_str());
  }
}

void draw_axes(const Ui& ui, const Frame& frame, ImDrawList& list) {
  const float size = ui.theme.small->FontSize;
  const int most = std::max(2, static_cast<int>((frame.bottom - frame.top) / (size * 1.7F)));
  for (const double value : axis_figures(frame.chart, most)) {
    const float y = std::round(frame.y(value));
    list.AddLine({frame.left, y}, {frame.right, y}, im(see_through(ui.theme.ink.muted, 60)), 1);
    int decimals = 0;
    for (double v = std::abs(value); decimals < 4 && std::abs(v - std::round(v)) > 1e-6; v *= 10) ++decimals;
    const std::string words = core::format_fixed(value, decimals);
    const float width = ui.theme.small->CalcTextSizeA(size, 1e6F, 0, words.c_str()).x;
    list.AddText(ui.theme.small, size, {frame.left - width - ui.theme.em * 0.3F, std::round(y - size / 2)},
                 im(ui.theme.ink.muted), words.c_str());
  }
  list.AddLine({frame.left, frame.bottom}, {frame.right, frame.bottom}, im(ui.theme.ink.edge), 1);
  // Years; of a short time its months.
  const core::YearMonthDay from = core::year_month_day(frame.chart.first),
                           to = core::year_month_day(frame.chart.last);
  const bool by_month = (to.year - from.year) * 12 + to.month - from.month <= 20;
  float free = frame.left - ui.theme.em;
  for (int m = from.year * 12 + from.month - 1; m <= to.year * 12 + to.month - 1; ++m) {
    if (!by_month && m % 12 != 0) continue;
    const core::Date start = core::make_date({m / 12, m % 12 + 1, 1});
    if (start < frame.chart.first) continue;
    const float x = std::round(frame.x(start));
    list.AddLine({x, frame.bottom}, {x, frame.bottom + ui.theme.em * 0.3F}, im(ui.theme.ink.edge), 1);
    const std::string words =
        by_month && m % 12 != 0 ? month_name(m % 12 + 1).substr(0, 3) : std::to_string(m / 12);
    const float width = ui.theme.small->CalcTextSizeA(size, 1e6F, 0, words.c_str()).x;
    if (x + ui.theme.em * 0.1F < free || x + width > frame.right + ui.theme.em * 1.5F) continue;
    list.AddText(ui.theme.small, size, {x + ui.theme.em * 0.1F, frame.bottom + ui.theme.em * 0.15F},
                 im(ui.theme.ink.muted), words.c_str());
    free = x + width + ui.theme.em * 0.7F;
  }
}

void draw_events(const Ui& ui, const Frame& frame, ImDrawList& list) {
  for (std::size_t i = 0; i < frame.chart.events.size(); ++i) {
    const float x = std::round(frame.x(frame.chart.events[i].date)), em = ui.theme.em;
    for (float y = frame.top; y < frame.bottom; y += em * 0.5F)
      list.AddLine({x, y}, {x, std::min(y + em * 0.28F, frame.bottom)}, im(ui.theme.ink.outfall), 1.5F);
    const float half = em * 0.5F;
    list.AddRectFilled({x - half, frame.top - em * 1.05F}, {x + half, frame.top - em * 0.05F},
                       im(ui.theme.ink.outfall), em * 0.2F);
    const std::string letter(1, static_cast<char>('a' + static_cast<int>(i % 26)));
    const float size = ui.theme.small->FontSize;
    const float width = ui.theme.small->CalcTextSizeA(size, 1e6F, 0, letter.c_str()).x;
    list.AddText(ui.theme.small, size,
                 {std::round(x - width / 2), std::round(frame.top - em * 0.55F - size / 2)},
                 im(ui.theme.ink.panel), letter.c_str());
  }
}

// What is later than the day of the map is drawn pale: nothing that is said for that day knows of it.
bool is_later(const Ui& ui, const ChartPoint& point) {
  return ui.state.date && point.date > *ui.state.date;
}

Colour aged(const Ui& ui, const ChartPoint& point, Colour colour) {
  return is_later(ui, point) ? mixed(colour, ui.theme.ink.panel, 0.65) : colour;
}

void draw_stacks(const Ui& ui, const Frame& frame, ImDrawList& list) {
  const float half =
      std::clamp((frame.right - frame.left) / static_cast<float>(frame.chart.points.size() + 1) * 0.35F, 1.5F,
                 ui.theme.em * 0.5F);
  const std::vector<Colour> colours = stack_colours(frame.chart.stacks);
  for (std::size_t i = 0; i < frame.chart.points.size(); ++i) {
    const float x = frame.x(frame.chart.points[i].date);
    double heap = 0;
    for (std::size_t g = 0; g < frame.chart.stacks.size(); ++g) {
      const double height = frame.chart.stacks[g].heights[i];
      if (height <= 0) continue;
      list.AddRectFilled({x - half, frame.y(heap + height)}, {x + half, frame.y(heap)},
                         im(aged(ui, frame.chart.points[i], colours[g])));
      heap += height;
    }
  }
}

void draw_points(const Ui& ui, const Frame& frame, std::optional<std::size_t> read, ImDrawList& list) {
  const float em = ui.theme.em, r = em * 0.3F;
  std::optional<ImVec2> before;
  for (const ChartPoint& p : frame.chart.points) {
    if (!p.value || !p.holds) continue;
    const ImVec2 at{frame.x(p.date), frame.y(*p.value)};
    if (before && frame.chart.joined) list.AddLine(*before, at, im(aged(ui, p, ui.theme.ink.muted)), 1.5F);
    before = at;
  }
  for (std::size_t i = 0; i < frame.chart.points.size(); ++i) {
    const ChartPoint& p = frame.chart.points[i];
    const float x = frame.x(p.date);
    const Colour ink = aged(ui, p, ui.theme.ink.text), none = aged(ui, p, ui.theme.ink.unclassed);
    if (p.low && p.high) {
      const float low = frame.y(std::max(*p.low, frame.chart.low)), high = frame.y(*p.high), cap = em * 0.2F;
      list.AddLine({x, high}, {x, low}, im(ink), 1.5F);
      list.AddLine({x - cap, high}, {x + cap, high}, im(ink), 1.5F);
      list.AddLine({x - cap, low}, {x + cap, low}, im(ink), 1.5F);
    }
    const float size = read == i ? r * 1.45F : r;
    if (!p.value) {
      if (!frame.chart.stacks.empty()) continue;
      list.AddLine({x - r, frame.bottom - 2 * r}, {x + r, frame.bottom}, im(none), 1.5F);
      list.AddLine({x - r, frame.bottom}, {x + r, frame.bottom - 2 * r}, im(none), 1.5F);
      continue;
    }
    const ImVec2 at{x, frame.y(*p.value)};
    list.AddCircleFilled(at, size + 1.5F, im(p.holds ? ink : none), 20);
    list.AddCircleFilled(at, size,
                         im(p.holds ? aged(ui, p, class_colour(ui, p.class_rank)) : ui.theme.ink.panel), 20);
  }
}

void stack_key(const Ui& ui, const Chart& chart) {
  const FontScope font(ui.theme.small);
  const float em = ui.theme.em, right = ImGui::GetContentRegionAvail().x;
  float x = 0;
  const std::vector<Colour> colours = stack_colours(chart.stacks);
  for (std::size_t g = 0; g < chart.stacks.size(); ++g) {
    const float width = ImGui::CalcTextSize(chart.stacks[g].name.c_str()).x + em * 1.6F;
    if (x > 0 && x + width < right)
      ImGui::SameLine(0, em * 0.5F);
    else
      x = 0;
    const ImVec2 at = ImGui::GetCursorScreenPos();
    ImGui::GetWindowDrawList()->AddRectFilled({at.x, at.y + em * 0.1F}, {at.x + em * 0.8F, at.y + em * 0.9F},
                                              im(colours[g]));
    ImGui::Dummy({em * 0.9F, em});
    ImGui::SameLine(0, em * 0.2F);
    text(chart.stacks[g].name);
    x += width;
  }
}

}  // namespace

void draw_chart(const Ui& ui, const char* id, const Chart& chart, float ems) {
  const float em = ui.theme.em;
  ImGui::PushID(id);
  heading(ui.theme, chart.title);
  if (chart.empty()) {
    muted("Nothing to show for this choice.");
    ImGui::PopID();
    return;
  }
  const ImVec2 corner = ImGui::GetCursorScreenPos();
  const float width = ImGui::GetContentRegionAvail().x, height = std::round(em * ems);
  ImGui::InvisibleButton("chart", {std::max(width, 1.0F), height});
  const bool hovered = ImGui::IsItemHovered(), clicked = ImGui::IsItemClicked();
  const Frame frame{corner.x + em * 2.3F, corner.x + width - em * 1.6F,
                    corner.y + em * (chart.events.empty() ? 0.4F : 1.3F), corner.y + height - em * 1.3F,
                    chart};
  ImDrawList& list = *ImGui::GetWindowDrawList();
  // What is read stays until another point is: a finger cannot hover.
  ImGuiStorage& storage = *ImGui::GetStateStorage();
  const ImGuiID read_id = ImGui::GetID("read");
  std::optional<std::size_t> read;
  if (const int kept = storage.GetInt(read_id, -1);
      kept >= 0 && static_cast<std::size_t>(kept) < chart.points.size())
    read = static_cast<std::size_t>(kept);
  else if (ui.state.date)
    read = nearest_point(chart, *ui.state.date);
  if (hovered) {
    read = nearest_point(chart, frame.date(ImGui::GetIO().MousePos.x));
    if (read) storage.SetInt(read_id, static_cast<int>(*read));
  }
  if (shows_classes(chart)) draw_bands(ui, frame, list);
  draw_axes(ui, frame, list);
  if (ui.state.date && *ui.state.date >= chart.first && *ui.state.date <= chart.last) {
    const float x = std::round(frame.x(*ui.state.date));
    list.AddLine({x, frame.top}, {x, frame.bottom}, im(ui.theme.ink.accent), 2);
  }
  draw_stacks(ui, frame, list);
  draw_events(ui, frame, list);
  draw_points(ui, frame, read, list);
  if (read) {
    const float x = std::round(frame.x(chart.points[*read].date));
    list.AddTriangleFilled({x - em * 0.3F, frame.bottom + em * 0.45F},
                           {x + em * 0.3F, frame.bottom + em * 0.45F}, {x, frame.bottom + 1},
                           im(ui.theme.ink.text));
    if (clicked) ui.push(SetDate{chart.points[*read].date});
  }
  const FontScope font(ui.theme.small);
  if (read) wrapped(chart.points[*read].words);
  if (std::any_of(chart.points.begin(), chart.points.end(),
                  [&](const ChartPoint& p) { return is_later(ui, p); }))
    muted("Pale: later than the day of the map, " + date_in_words(*ui.state.date) + ".");
  if (!chart.stacks.empty()) stack_key(ui, chart);
  for (std::size_t i = 0; i < chart.events.size(); ++i)
    muted(std::string(1, static_cast<char>('a' + static_cast<int>(i % 26))) + "  " + chart.events[i].words);
  if (!chart.note.empty()) muted(chart.note);
  ImGui::PopID();
  gap(ui.theme, 0.3F);
}

}  // namespace brookmark::viewer
