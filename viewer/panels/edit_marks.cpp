// A change to the map in the making: its points and lines over the map, and the pointer while a tool is in hand.
#include <algorithm>
#include <cmath>

#include "viewer/panels/map_parts_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"

namespace brookmark::viewer {
namespace {

double edit_reach(const Ui& ui) {
  return std::max<double>(ui.theme.target / 2, ui.theme.em * 0.9);
}

ImVec2 on_screen(const Ui& ui, core::LonLat at) {
  const Pixel p = ui.state.view.to_pixel(ui.model.frame().to_plane(at));
  return {static_cast<float>(p.x), static_cast<float>(p.y)};
}

// Which way the water is to run.
void arrow(ImDrawList& list, ImVec2 from, ImVec2 to, float size, ImU32 colour) {
  const float dx = to.x - from.x, dy = to.y - from.y, length = std::hypot(dx, dy);
  if (length < size * 2.5F) return;
  const float ux = dx / length, uy = dy / length;
  const ImVec2 middle{(from.x + to.x) / 2, (from.y + to.y) / 2};
  list.AddTriangleFilled(
      {middle.x + ux * size, middle.y + uy * size},
      {middle.x - ux * size * 0.7F - uy * size * 0.8F, middle.y - uy * size * 0.7F + ux * size * 0.8F},
      {middle.x - ux * size * 0.7F + uy * size * 0.8F, middle.y - uy * size * 0.7F - ux * size * 0.8F},
      colour);
}

const char* words_for(const MapEdit& e) {
  switch (e.tool) {
    case EditTool::kAddSite:
      return e.points.empty() ? "Tap the place of the new site. Esc gives up."
                              : "Drag it to where it belongs, then store it.";
    case EditTool::kMoveSite:
      return "Drag the site, or tap its new place; then store it. Esc gives up.";
    case EditTool::kAddOutfall:
      return e.points.empty() ? "Tap the place of the outfall. Esc gives up."
                              : "Drag it to where it belongs, then store it.";
    case EditTool::kDrawReach:
      return "Tap along the water, downstream; then store it. Esc gives up.";
    case EditTool::kFixReach:
      return e.key.empty() ? "Tap the line that is to be put right. Esc gives up."
                           : "Drag points; tap between two for another. Esc gives up.";
    case EditTool::kNone:
      break;
  }
  return "";
}

}  // namespace

bool take_edit_pointer(const Ui& ui, bool active) {
  const MapEdit& e = ui.state.edit;
  if (e.tool == EditTool::kNone) return false;
  const ImGuiIO& io = ImGui::GetIO();
  const Pixel at{io.MousePos.x, io.MousePos.y};
  const double reach = edit_reach(ui);
  if (active && ImGui::IsMouseClicked(ImGuiMouseButton_Left)) {
    ui.push(GrabEdit{at, reach});
    return true;
  }
  if (!e.grabbed) return false;
  const bool dragging = ImGui::IsMouseDragging(ImGuiMouseButton_Left, ui.theme.em * 0.3F);
  if (active && dragging) {
    if (io.MouseDelta.x != 0 || io.MouseDelta.y != 0) ui.push(DragEdit{at, reach});
    return true;
  }
  if (active) return true;
  const bool moved = ImGui::GetMouseDragDelta(ImGuiMouseButton_Left, ui.theme.em * 0.3F).x != 0 ||
                     ImGui::GetMouseDragDelta(ImGuiMouseButton_Left, ui.theme.em * 0.3F).y != 0;
  ui.push(DropEdit{});
  if (!moved) ui.push(TapEdit{at, reach});
  return true;
}

void draw_edit_marks(const Ui& ui, ImDrawList& list) {
  const MapEdit& e = ui.state.edit;
  if (e.tool == EditTool::kNone) return;
  const float em = ui.theme.em, wide = std::max(2.0F, std::round(em * 0.2F));
  const ImU32 ink = im(ui.theme.ink.query), ground = im(ui.theme.ink.halo);
  std::vector<ImVec2> at;
  for (const EditVertex& v : e.points) at.push_back(on_screen(ui, v.at));
  const bool line = e.tool == EditTool::kDrawReach || e.tool == EditTool::kFixReach;
  if (line) {
    for (std::size_t i = 1; i < at.size(); ++i) list.AddLine(at[i - 1], at[i], ground, wide * 2);
    for (std::size_t i = 1; i < at.size(); ++i) list.AddLine(at[i - 1], at[i], ink, wide);
    for (std::size_t i = 1; i < at.size(); ++i) {
      arrow(list, at[i - 1], at[i], em * 0.5F, ink);
      if (e.two_way)
        arrow(list, at[i], {2 * at[i - 1].x - at[i].x, 2 * at[i - 1].y - at[i].y}, em * 0.4F, ink);
    }
  }
  if (e.from && !at.empty()) {
    const ImVec2 from = on_screen(ui, *e.from);
    list.AddLine(from, at.front(), ground, wide * 2);
    list.AddLine(from, at.front(), ink, wide);
  }
  ImVec2 last{-1e6F, -1e6F};
  for (std::size_t i = 0; i < at.size(); ++i) {
    const bool chosen = e.chosen == i || e.grabbed == i, edge = i == 0 || i + 1 == at.size();
    // Handles that would lie on each other are left out until the map is nearer.
    if (line && !edge && !chosen && std::hypot(at[i].x - last.x, at[i].y - last.y) < em * 0.6F) continue;
    last = at[i];
    const float r = em * (line ? (chosen ? 0.5F : 0.36F) : 0.7F);
    list.AddCircleFilled(at[i], r + wide, ground, 32);
    list.AddCircleFilled(at[i], r, ink, 32);
    if (!e.points[i].joined.empty() || !line) list.AddCircleFilled(at[i], r * 0.45F, ground, 24);
    if (chosen) list.AddCircle(at[i], r + wide * 2, ink, 32, wide);
  }
}

PixelBox draw_edit_words(const Ui& ui, ImDrawList& list) {
  const MapEdit& e = ui.state.edit;
  if (e.tool == EditTool::kNone) return {};
  const float em = ui.theme.em;
  const std::string words = words_for(e);
  const PixelBox& map = ui.layout.map;
  const float room = static_cast<float>(map.width) - 2 * em;
  const ImVec2 size = ImGui::CalcTextSize(words.c_str(), nullptr, false, room);
  const ImVec2 corner{std::round(static_cast<float>(map.left + map.width / 2) - size.x / 2),
                      std::round(static_cast<float>(map.bottom()) - em * 3.4F - size.y)};
  const PixelBox box{corner.x - em * 0.8, corner.y - em * 0.5, size.x + em * 1.6, size.y + em};
  list.AddRectFilled({corner.x - em * 0.8F, corner.y - em * 0.5F},
                     {corner.x + size.x + em * 0.8F, corner.y + size.y + em * 0.5F}, im(ui.theme.ink.query),
                     em * 0.4F);
  list.AddText(ui.theme.body, em, corner, im(ui.theme.ink.on_query), words.c_str(), nullptr, room);
  return box;
}

}  // namespace brookmark::viewer
