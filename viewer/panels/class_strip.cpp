// The classes with their colours and ranks in one strip over the map.
#include <algorithm>
#include <cmath>

#include "viewer/panels/map_parts_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {

// The classes in one strip over the map, so that a colour never needs a look elsewhere.
PixelBox draw_class_strip(const Ui& ui, ImDrawList& list) {
  if (!ui.assessment) return {};
  const core::Metric& metric = ui.assessment->metric_info();
  const float em = ui.theme.em, row = std::round(em * 1.75F), edge = std::round(em * 0.7F);
  const PixelBox& map = ui.layout.map;
  const auto beside = static_cast<float>(map_buttons_box(ui).width);
  const float most = static_cast<float>(map.width) - edge * 3 - std::max(beside, em * 2.5F);
  if (most < em * 8 || map.height < em * 7) return {};
  const bool small = most < em * 12 || map.height < em * 12;  // then only the ends are named
  std::string title = ui.assessment->method->title;
  if (metric.title != title && ui.assessment->method->metrics.size() > 1) title += ": " + metric.title;
  if (metric.bands.empty())
    title = metric.title + (metric.unit.empty() ? "" : ", " + unit_in_words(metric.unit)) +
            ": no classes, the number is the value (from 10 on rounded)";
  struct Entry {
    Mark mark;
    std::string name;
    float x, y;
  };
  std::vector<Entry> entries;
  const FontScope font(ui.theme.small);
  float x = 0, y = row * 0.95F, widest = 0;
  for (std::size_t i = 0; i < metric.bands.size(); ++i) {
    core::SiteAssessment site;
    site.sample = core::SampleIndex(0);
    site.has_value = true;
    site.in_scope = true;
    site.class_rank = static_cast<std::uint8_t>(metric.bands[i].rank);
    const bool named = !small || i == 0 || i + 1 == metric.bands.size();
    const std::string name = named ? metric.bands[i].name : "";
    const float width = em * 1.75F + (named ? ImGui::CalcTextSize(name.c_str()).x + em * 0.6F : 0);
    if (x > 0 && x + width > most - em) x = 0, y += row * 0.93F;
    entries.push_back({site_mark(site, metric), name, x, y});
    x += width;
    widest = std::max(widest, x);
  }
  if (y > row * (small ? 2 : 3)) return {};
  const FontScope strong(ui.theme.strong);
  // Less where there is little room: the bar above names the metric too. What is still too long stands in several lines.
  const float free = most - em;
  if (!metric.bands.empty()) {
    const std::string wordings[] = {title, ui.assessment->method->title, metric.title};
    if (const std::string whole = first_that_fits(wordings, ui.theme.strong, free); !whole.empty())
      title = whole;
    else
      title = metric.title;
  }
  const float title_high = height_of(ui.theme.strong, title, free),
              more = std::round(title_high - ui.theme.strong->FontSize);
  for (Entry& e : entries) e.y += more;
  widest = std::max(widest, std::min(ImGui::CalcTextSize(title.c_str()).x, free));
  const float height = (metric.bands.empty() ? row : y + row) + more;
  const ImVec2 at{static_cast<float>(map.left) + edge, static_cast<float>(map.top) + edge};
  const ImVec2 end{at.x + widest + em, at.y + height};
  draw_card(ui, list, {at.x, at.y, end.x - at.x, end.y - at.y});
  put_words(list, ui.theme.strong, {at.x + em * 0.5F, at.y + std::round(em * 0.28F)}, free + 1,
            ui.theme.ink.text, title);
  for (const Entry& e : entries) {
    draw_mark(list, {at.x + em * 1.15F + e.x, at.y + e.y + row / 2}, em * 0.6F, e.mark, ui.colours, ui.theme);
    list.AddText(ui.theme.small, ui.theme.small->FontSize,
                 {at.x + em * 2.1F + e.x, at.y + e.y + std::round((row - ui.theme.small->FontSize) / 2)},
                 im(ui.theme.ink.text), e.name.c_str());
  }
  return {at.x, at.y, end.x - at.x, end.y - at.y};
}

}  // namespace brookmark::viewer
