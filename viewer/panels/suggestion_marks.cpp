// The suggested spots on the map, numbered as on their page, and the hand that drags one.
#include <algorithm>
#include <cmath>

#include "viewer/panels/map_parts_internal.hpp"
#include "viewer/panels/pages_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"

namespace brookmark::viewer {
namespace {

core::LonLat place_of(const Ui& ui, std::size_t row) {
  const Design& design = ui.state.design;
  return design.held == row && design.dragged_to ? *design.dragged_to : design.answer.list[row].spot.position;
}

Pixel pixel_of(const Ui& ui, std::size_t row) {
  return ui.state.view.to_pixel(ui.model.frame().to_plane(place_of(ui, row)));
}

}  // namespace

std::size_t suggestion_number(const core::Suggestion& suggestion) {
  std::size_t number = 0;
  for (const char c : suggestion.code)
    if (c >= '0' && c <= '9') number = number * 10 + static_cast<std::size_t>(c - '0');
  return number;
}

void draw_suggestion_tag(ImDrawList& list, ImVec2 at, const Theme& theme, std::size_t number, bool focus) {
  const float r = std::round(theme.em * (focus ? 1.05F : 0.85F)), edge = std::max(2.0F, theme.em * 0.16F);
  const ImVec2 corners[] = {
      {at.x, at.y - r - edge}, {at.x + r + edge, at.y}, {at.x, at.y + r + edge}, {at.x - r - edge, at.y}};
  const ImVec2 inner[] = {{at.x, at.y - r}, {at.x + r, at.y}, {at.x, at.y + r}, {at.x - r, at.y}};
  list.AddConvexPolyFilled(corners, 4, im(focus ? theme.ink.text : theme.ink.halo));
  list.AddConvexPolyFilled(inner, 4, im(theme.ink.query));
  const std::string words = std::to_string(number);
  const float size = theme.small->FontSize;
  const ImVec2 extent = theme.small->CalcTextSizeA(size, 1e6F, 0, words.c_str());
  list.AddText(theme.small, size, {std::round(at.x - extent.x / 2), std::round(at.y - extent.y / 2)},
               im(theme.ink.on_query), words.c_str());
}

void draw_suggestion_marks(const Ui& ui, ImDrawList& list) {
  const Design& design = ui.state.design;
  for (std::size_t i = design.answer.list.size(); i-- > 0;) {
    const Pixel p = pixel_of(ui, i);
    if (!ui.layout.map.contains(p)) continue;
    draw_suggestion_tag(list, {static_cast<float>(p.x), static_cast<float>(p.y)}, ui.theme,
                        suggestion_number(design.answer.list[i]), design.focus == i || design.held == i);
  }
}

std::vector<PixelBox> suggestion_boxes(const Ui& ui) {
  std::vector<PixelBox> boxes;
  const double r = ui.theme.em * 1.05 + std::max(2.0, ui.theme.em * 0.16);
  for (std::size_t i = 0; i < ui.state.design.answer.list.size(); ++i) {
    const Pixel p = pixel_of(ui, i);
    if (ui.layout.map.contains(p)) boxes.push_back({p.x - r, p.y - r, 2 * r, 2 * r});
  }
  return boxes;
}

bool take_suggestion_pointer(const Ui& ui, bool active) {
  const Design& design = ui.state.design;
  if (ui.state.edit.tool != EditTool::kNone || ui.state.picking_point || ui.state.map.measure.on)
    return false;
  const ImGuiIO& io = ImGui::GetIO();
  const Pixel at{io.MousePos.x, io.MousePos.y};
  if (active && ImGui::IsMouseClicked(ImGuiMouseButton_Left)) {
    const double reach = std::max<double>(ui.theme.target / 2, ui.theme.em);
    for (std::size_t i = 0; i < design.answer.list.size(); ++i) {
      const Pixel p = pixel_of(ui, i);
      if (std::hypot(p.x - at.x, p.y - at.y) > reach) continue;
      ui.push(GrabSuggestion{i});
      return true;
    }
  }
  if (!design.held) return false;
  if (!active) {
    ui.push(LetGoSuggestion{});
  } else if (ImGui::IsMouseDragging(ImGuiMouseButton_Left, ui.theme.em * 0.4F) &&
             (io.MouseDelta.x != 0 || io.MouseDelta.y != 0)) {
    ui.push(DragSuggestion{ui.model.frame().to_lonlat(ui.state.view.to_plane(at))});
  }
  return true;
}

}  // namespace brookmark::viewer
