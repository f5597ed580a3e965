// The map's box: what is drawn in which order, and what is said of what lies under the pointer.
#include <algorithm>
#include <cmath>

#include "viewer/panels/map_parts_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

template <MapPart kPart>
void run_paint_call(const ImDrawList*, const ImDrawCmd* command) {
  const auto& call = *static_cast<const PaintCall*>(command->UserCallbackData);
  const ImDrawData& data = *ImGui::GetDrawData();
  const ImVec4 c = command->ClipRect;
  call.painter->paint(call.frame, kPart, {c.x, c.y, c.z - c.x, c.w - c.y},
                      {data.DisplaySize.x, data.DisplaySize.y},
                      {data.FramebufferScale.x, data.FramebufferScale.y});
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

PixelBox draw_picking_words(const Ui& ui, ImDrawList& list) {
  if (!ui.state.picking_point) return {};
  const std::string words = "Tap the place on the map from which to measure. Esc gives up.";
  const PixelBox& map = ui.layout.map;
  const float em = ui.theme.em;
  const ImVec2 extent = ImGui::CalcTextSize(words.c_str());
  const ImVec2 at{static_cast<float>(map.left + map.width / 2) - extent.x / 2,
                  static_cast<float>(map.bottom()) - em * 4};
  list.AddRectFilled({at.x - em, at.y - em * 0.6F}, {at.x + extent.x + em, at.y + extent.y + em * 0.6F},
                     im(ui.theme.ink.query), em * 0.4F);
  list.AddText(at, im(ui.theme.ink.on_query), words.c_str());
  return {at.x - em, at.y - em * 0.6, extent.x + 2.0 * em, extent.y + em * 1.2};
}

}  // namespace

void draw_map(const Ui& ui) {
  const PixelBox& map = ui.layout.map;
  if (map.width < 1 || map.height < 1) return;
  ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, ImVec2(0, 0));
  begin_part("map", map, ui.theme.ink.paper);
  ImGui::PopStyleVar();
  ImDrawList& list = *ImGui::GetWindowDrawList();
  const auto paint = [&](ImDrawCallback part) {
    if (!ui.paint.painter) return;
    list.AddCallback(part, &ui.paint);
    list.AddCallback(ImDrawCallback_ResetRenderState, nullptr);
  };
  paint(run_paint_call<MapPart::kGround>);
  draw_below_marks(ui, list);
  paint(run_paint_call<MapPart::kMarks>);
  ImGui::SetCursorScreenPos({static_cast<float>(map.left), static_cast<float>(map.top)});
  GroundTouch touch;
  touch.released =
      ImGui::InvisibleButton("ground", {static_cast<float>(map.width), static_cast<float>(map.height)});
  ImGui::SetItemAllowOverlap();
  touch.hovered = ImGui::IsItemHovered();
  touch.active = ImGui::IsItemActive();
  touch.pressed = ImGui::IsItemActivated();
  touch.twice = ImGui::GetIO().MouseClickedLastCount[ImGuiMouseButton_Left] == 2;

  std::vector<PixelBox> controls;
  // Laid out first, so that words keep clear of them; their ground hides what lies below.
  ImDrawListSplitter layers;
  layers.Split(&list, 2);
  layers.SetCurrentChannel(&list, 1);
  if (ui.layout.roomy) {
    const PixelBox strip = draw_class_strip(ui, list);
    ui.shown.covered_top_px = strip.width > 0 ? strip.bottom() - map.top + ui.theme.em * 0.4 : 0;
    controls.push_back(strip);
    controls.push_back(draw_map_buttons(ui));
    controls.push_back(draw_measure_card(ui));
  }
  controls.push_back(draw_picking_words(ui, list));
  controls.push_back(draw_edit_words(ui, list));
  // Cards of a tool; while it is in hand as high as they have been, so that what is fitted stays where it is.
  const bool tool =
      ui.state.map.measure.on || ui.state.picking_point || ui.state.edit.tool != EditTool::kNone;
  if (!tool) ui.shown.cards_bottom_px = 0;
  for (const PixelBox& card : controls)
    if (tool && card.width > 0 && card.top > map.top + map.height / 2)
      ui.shown.cards_bottom_px = std::max(
          ui.shown.cards_bottom_px, map.bottom() - card.top + ui.theme.em * 0.4 - ui.state.covered_bottom_px);
  controls.push_back(draw_scale_bar(ui, list));
  controls.push_back(draw_position(ui, list));
  controls.push_back(draw_background_words(ui, list));
  draw_found_place(ui, list, controls);
  for (const PixelBox& box : ui.shown.messages) controls.push_back(box);
  layers.SetCurrentChannel(&list, 0);
  draw_map_words(ui, list, controls);
  draw_measured_line(ui, list);
  draw_suggestion_marks(ui, list);
  layers.Merge(&list);
  draw_first_steps_card(ui);
  draw_edit_marks(ui, list);
  draw_lasso(ui, list);
  if (!take_lasso(ui, touch.active, touch.released) && !take_suggestion_pointer(ui, touch.active))
    take_map_pointer(ui, touch);
  // A finger that lies still for a while asks what is below it.
  const ImGuiIO& io = ImGui::GetIO();
  const bool waits =
      ui.theme.touch && touch.active && !ImGui::IsMouseDragging(ImGuiMouseButton_Left, ui.theme.em * 0.4F);
  const bool held = waits && io.MouseDownDuration[0] >= kHold_s;
  if (waits && !held) ui.shown.moving = true;
  if (touch.hovered && (held || !ImGui::IsMouseDown(ImGuiMouseButton_Left))) {
    const auto sign = map_sign_at(ui, {ImGui::GetIO().MousePos.x, ImGui::GetIO().MousePos.y});
    if (sign && !ui.state.map.measure.on)
      show_cluster_hover(ui, *sign);
    else
      show_hover(ui);
  }
  ImGui::End();
}

}  // namespace brookmark::viewer
