// The map's box: painting order, pointer and touch, and the controls that lie over it.
#include <algorithm>
#include <cmath>

#include "core/base/text.hpp"
#include "viewer/panels/panels_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

void run_paint_call(const ImDrawList*, const ImDrawCmd* command) {
  const auto& call = *static_cast<const PaintCall*>(command->UserCallbackData);
  const ImDrawData& data = *ImGui::GetDrawData();
  const ImVec4 c = command->ClipRect;
  call.painter->paint(call.frame, {c.x, c.y, c.z - c.x, c.w - c.y}, {data.DisplaySize.x, data.DisplaySize.y},
                      {data.FramebufferScale.x, data.FramebufferScale.y});
}

double reach_of(const Ui& ui) {
  return std::max<double>(ui.paint.frame.site_radius_px + 3, ui.theme.em * 0.85);
}

void take_pointer(const Ui& ui, const std::vector<Callout>& callouts, bool hovered, bool active,
                  bool released) {
  const ImGuiIO& io = ImGui::GetIO();
  const Pixel at{io.MousePos.x, io.MousePos.y};
  const float slack = ui.theme.em * 0.4F;
  if (take_edit_pointer(ui, active)) return;
  if (active && ImGui::IsMouseDragging(ImGuiMouseButton_Left, slack)) {
    if (io.MouseDelta.x != 0 || io.MouseDelta.y != 0) ui.push(Pan{io.MouseDelta.x, io.MouseDelta.y});
  }
  const ImVec2 way = ImGui::GetMouseDragDelta(ImGuiMouseButton_Left, slack);
  if (released && way.x == 0 && way.y == 0) {
    const auto hit =
        std::find_if(callouts.begin(), callouts.end(), [at](const Callout& c) { return c.box.contains(at); });
    if (hit != callouts.end() && !ui.state.picking_point)
      ui.push(SelectOutfall{hit->outfall});
    else
      ui.push(ClickMap{at, reach_of(ui)});
  }
  if (hovered && io.MouseWheel != 0) ui.push(ZoomAt{std::pow(1.25, static_cast<double>(io.MouseWheel)), at});
  const auto aside =
      std::find_if(callouts.begin(), callouts.end(), [at](const Callout& c) { return c.box.contains(at); });
  if (hovered && aside != callouts.end())
    ui.push(HoverMap{aside->place, reach_of(ui), aside->outfall});
  else if (hovered)
    ui.push(HoverMap{at, reach_of(ui)});
  else if (ui.state.hover != Hover{})
    ui.push(HoverMap{});
}

// "S07 Mill ford: class 4 Poor", under the pointer; a click says more.
void show_hover(const Ui& ui) {
  const Hover& hover = ui.state.hover;
  if (!hover.site && !hover.outfall) return;
  ImGui::BeginTooltip();
  if (hover.site) {
    const std::size_t i = hover.site->value();
    heading(ui.theme,
            std::string(ui.snapshot().sites.code[i]) + "  " + std::string(ui.snapshot().sites.name[i]));
    if (ui.assessment) {
      const core::SiteAssessment& known = ui.assessment->sites[i];
      const core::Metric& metric = ui.assessment->metric_info();
      const std::string value = value_in_words(metric, known.value);
      switch (standing_of(known, metric)) {
        case Standing::kClass:
          text(std::to_string(known.class_rank) + " " +
               std::string(core::class_name(metric, known.class_rank)) + ", " + value);
          break;
        case Standing::kValue:
          text(value);
          break;
        case Standing::kOutsideScope:
          text(value + ", outside the method's scope");
          break;
        case Standing::kNoValue:
          text("sampled, no class");
          break;
        case Standing::kNotSampled:
          text(ui.state.is_narrowed() ? "no sample in the period shown" : "not sampled by this day");
          break;
      }
      if (const std::string age = age_in_words(ui, i); !age.empty()) text(age);
    }
  } else {
    const core::Outfall& o = ui.snapshot().outfalls[hover.outfall->value()];
    heading(ui.theme, o.code + "  " + o.name);
    std::string words = core::outfall_kind_name(o.kind);
    if (const std::string use = use_in_words(o, ui.state.date); !use.empty()) words += ", " + use;
    text(words);
  }
  ImGui::EndTooltip();
}

// Big buttons for fingers: nearer, farther, everything.
PixelBox draw_zoom(const Ui& ui) {
  const float side = std::round(ui.theme.em * 2.5F), edge = std::round(ui.theme.em * 0.7F);
  const PixelBox& map = ui.layout.map;
  const PixelBox box{map.right() - side - edge, map.top + edge, side, side * 3 + 2};
  if (map.height < box.height + 2 * edge || map.width < side * 3) return {};
  const FontScope font(ui.theme.title);
  const char* signs[] = {"+", "\u2212", "\u25A3"};
  const char* hints[] = {"Nearer (+)", "Farther (\u2212)", "Show everything (F)"};
  ImGui::PushStyleColor(ImGuiCol_Button, im(ui.theme.ink.panel));
  ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, ImVec2(0, 0));
  for (int i = 0; i < 3; ++i) {
    ImGui::SetCursorScreenPos(
        {static_cast<float>(box.left), static_cast<float>(box.top) + static_cast<float>(i) * (side + 1)});
    if (ImGui::Button(signs[i], {side, side})) {
      if (i == 2)
        ui.push(Fit{});
      else
        ui.push(ZoomCentre{i == 0 ? 1.6 : 1 / 1.6});
    }
    if (ImGui::IsItemHovered()) {
      const FontScope small(ui.theme.body);
      ImGui::SetTooltip("%s", hints[i]);
    }
  }
  ImGui::PopStyleVar();
  ImGui::PopStyleColor();
  return box;
}

// A round number of metres nearest to a quarter of the map's width.
PixelBox draw_scale_bar(const Ui& ui, ImDrawList& list) {
  const PixelBox& map = ui.layout.map;
  const float em = ui.theme.em;
  const double wish = std::min(map.width * 0.25, em * 9.0) * ui.state.view.metres_per_pixel;
  if (!(wish > 0) || map.height < 6 * em) return {};
  const double power = std::pow(10, std::floor(std::log10(wish)));
  const double metres = wish >= 5 * power ? 5 * power : wish >= 2 * power ? 2 * power : power;
  const auto width = static_cast<float>(metres / ui.state.view.metres_per_pixel);
  const std::string words =
      metres >= 1000 ? core::format_number(metres / 1000) + " km" : core::format_number(metres) + " m";
  const ImVec2 at{static_cast<float>(map.left) + em, static_cast<float>(map.bottom()) - em * 0.8F};
  const float words_width =
      ui.theme.small->CalcTextSizeA(ui.theme.small->FontSize, 1e6F, 0, (words + "   \u2191 north").c_str()).x;
  list.AddRectFilled({at.x - em * 0.4F, at.y - em * 1.5F},
                     {at.x + std::max(width, words_width) + em * 0.4F, at.y + em * 0.4F},
                     im(see_through(ui.theme.ink.panel, 225)), em * 0.25F);
  list.AddRectFilled({at.x, at.y - 2}, {at.x + width, at.y + 2}, im(ui.theme.ink.text));
  list.AddRectFilled({at.x + width / 2, at.y - 1}, {at.x + width - 1, at.y + 1}, im(ui.theme.ink.panel));
  list.AddText(ui.theme.small, ui.theme.small->FontSize, {at.x, std::round(at.y - em * 1.35F)},
               im(ui.theme.ink.text), (words + "   \u2191 north").c_str());
  return {at.x - em * 0.4, at.y - em * 1.5, std::max(width, words_width) + em * 0.8, em * 1.9};
}

// The classes in one strip over the map, so that a colour never needs a look elsewhere.
PixelBox draw_class_strip(const Ui& ui, ImDrawList& list) {
  if (!ui.assessment) return {};
  const core::Metric& metric = ui.assessment->metric_info();
  const float em = ui.theme.em, row = std::round(em * 1.75F), edge = std::round(em * 0.7F);
  const PixelBox& map = ui.layout.map;
  const float most = static_cast<float>(map.width) - edge * 3 - em * 2.5F;
  if (most < em * 12 || map.height < em * 12) return {};
  std::string title = ui.assessment->method->title;
  if (metric.title != title && ui.assessment->method->metrics.size() > 1) title += ": " + metric.title;
  if (metric.bands.empty()) title += " (has no classes; the number is the value)";
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
    const float width = em * 1.75F + ImGui::CalcTextSize(metric.bands[i].name.c_str()).x + em * 0.6F;
    if (x > 0 && x + width > most - em) x = 0, y += row * 0.93F;
    entries.push_back({site_mark(site, metric), metric.bands[i].name, x, y});
    x += width;
    widest = std::max(widest, x);
  }
  if (y > row * 3) return {};
  const FontScope strong(ui.theme.strong);
  title = fitted(title, most - em);
  widest = std::max(widest, ImGui::CalcTextSize(title.c_str()).x);
  const float height = metric.bands.empty() ? row : y + row;
  const ImVec2 at{static_cast<float>(map.left) + edge, static_cast<float>(map.top) + edge};
  const ImVec2 end{at.x + widest + em, at.y + height};
  list.AddRectFilled(at, end, im(see_through(ui.theme.ink.panel, 235)), em * 0.3F);
  list.AddText({at.x + em * 0.5F, at.y + std::round(em * 0.28F)}, im(ui.theme.ink.text), title.c_str());
  for (const Entry& e : entries) {
    draw_mark(list, {at.x + em * 1.15F + e.x, at.y + e.y + row / 2}, em * 0.6F, e.mark, ui.colours, ui.theme);
    list.AddText(ui.theme.small, ui.theme.small->FontSize,
                 {at.x + em * 2.1F + e.x, at.y + e.y + std::round((row - ui.theme.small->FontSize) / 2)},
                 im(ui.theme.ink.text), e.name.c_str());
  }
  return {at.x, at.y, end.x - at.x, end.y - at.y};
}

void draw_empty_words(const Ui& ui) {
  const core::Snapshot& s = ui.snapshot();
  std::string words;
  const std::size_t unplaced = ui.model.unplaced_sites().size();
  if (unplaced > 0 && unplaced == s.sites.size())
    words = count_of(unplaced, "site", "sites") +
            (unplaced == 1 ? ", without a position: it is" : ", none with a position: they are") +
            " listed under Key, not on the map.";
  else if (!ui.model.bounds())
    words =
        "This survey has no places yet. Import sites, watercourses or outfalls with \u201Cbrookmark "
        "import\u201D.";
  else if (s.sites.size() == 0)
    words = "This survey has no sites yet. Import them with \u201Cbrookmark import SURVEY sites FILE\u201D.";
  else if (s.samples.size() == 0)
    words = "No site has a sample yet. Import them with \u201Cbrookmark import SURVEY samples FILE\u201D.";
  if (words.empty()) return;
  const PixelBox& map = ui.layout.map;
  const float em = ui.theme.em, width = std::min(static_cast<float>(map.width) - 2 * em, em * 24);
  if (width < em * 8) return;
  const ImVec2 extent = ImGui::CalcTextSize(words.c_str(), nullptr, false, width);
  const ImVec2 at{std::round(static_cast<float>(map.left) + (static_cast<float>(map.width) - extent.x) / 2),
                  std::round(static_cast<float>(map.bottom()) - em * 4 - extent.y)};
  ImDrawList& list = *ImGui::GetWindowDrawList();
  list.AddRectFilled({at.x - em * 0.8F, at.y - em * 0.6F},
                     {at.x + extent.x + em * 0.8F, at.y + extent.y + em * 0.6F}, im(ui.theme.ink.note),
                     em * 0.3F);
  list.AddText(ui.theme.body, em, at, im(ui.theme.ink.text), words.c_str(), nullptr, width);
}

void draw_picking_words(const Ui& ui, ImDrawList& list) {
  if (!ui.state.picking_point) return;
  const std::string words = "Tap the place on the map from which to measure. Esc gives up.";
  const PixelBox& map = ui.layout.map;
  const float em = ui.theme.em;
  const ImVec2 extent = ImGui::CalcTextSize(words.c_str());
  const ImVec2 at{static_cast<float>(map.left + map.width / 2) - extent.x / 2,
                  static_cast<float>(map.bottom()) - em * 4};
  list.AddRectFilled({at.x - em, at.y - em * 0.6F}, {at.x + extent.x + em, at.y + extent.y + em * 0.6F},
                     im(ui.theme.ink.query), em * 0.4F);
  list.AddText(at, im(ui.theme.ink.on_query), words.c_str());
}

}  // namespace

void draw_map(const Ui& ui) {
  const PixelBox& map = ui.layout.map;
  if (map.width < 1 || map.height < 1) return;
  ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, ImVec2(0, 0));
  begin_part("map", map, ui.theme.ink.paper);
  ImGui::PopStyleVar();
  ImDrawList& list = *ImGui::GetWindowDrawList();
  if (ui.paint.painter) {
    list.AddCallback(run_paint_call, &ui.paint);
    list.AddCallback(ImDrawCallback_ResetRenderState, nullptr);
  }
  ImGui::SetCursorScreenPos({static_cast<float>(map.left), static_cast<float>(map.top)});
  const bool released =
      ImGui::InvisibleButton("ground", {static_cast<float>(map.width), static_cast<float>(map.height)});
  ImGui::SetItemAllowOverlap();
  const bool hovered = ImGui::IsItemHovered(), active = ImGui::IsItemActive();

  std::vector<PixelBox> controls;
  // Laid out first, so that words keep clear of them; their ground hides what lies below.
  ImDrawListSplitter layers;
  layers.Split(&list, 2);
  layers.SetCurrentChannel(&list, 1);
  if (ui.layout.roomy) {
    controls.push_back(draw_class_strip(ui, list));
    controls.push_back(draw_zoom(ui));
  }
  controls.push_back(draw_scale_bar(ui, list));
  layers.SetCurrentChannel(&list, 0);
  const std::vector<Callout> callouts = draw_map_words(ui, list, controls);
  layers.Merge(&list);
  draw_empty_words(ui);
  draw_picking_words(ui, list);
  draw_edit_marks(ui, list);
  draw_lasso(ui, list);
  if (!take_lasso(ui, active, released)) take_pointer(ui, callouts, hovered, active, released);
  if (hovered && !ImGui::IsMouseDown(ImGuiMouseButton_Left)) show_hover(ui);
  ImGui::End();
}

}  // namespace brookmark::viewer
