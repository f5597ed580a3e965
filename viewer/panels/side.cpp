// The panel beside the map: the page that is open, scrolled by wheel or finger, and the rail of all pages.
#include <imgui_internal.h>

#include <algorithm>
#include <cmath>

#include "viewer/panels/pages_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"

namespace brookmark::viewer {
namespace {

// Below a page longer than its panel stands whether there is more.
void more_below(const Ui& ui, float room, bool more) {
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const float width = ImGui::GetContentRegionAvail().x;
  ImDrawList& list = *ImGui::GetWindowDrawList();
  list.AddLine(at, {at.x + width, at.y}, im(ui.theme.ink.line), 1);
  const FontScope font(ui.theme.small);
  const std::string words = more ? "\u25BC  more below" : "end of the page";
  const ImVec2 size = ImGui::CalcTextSize(words.c_str());
  list.AddText({std::round(at.x + (width - size.x) / 2), std::round(at.y + (room - size.y) / 2)},
               im(more ? ui.theme.ink.accent : ui.theme.ink.muted), words.c_str());
}

}  // namespace

void draw_side(const Ui& ui) {
  const float em = ui.theme.em;
  begin_part("side", ui.layout.side, ui.theme.ink.panel);
  const ImVec2 corner = ImGui::GetWindowPos();
  ImDrawList& edge = *ImGui::GetWindowDrawList();
  edge.PushClipRectFullScreen();
  edge.AddLine(corner, {corner.x, corner.y + static_cast<float>(ui.layout.side.height)},
               im(ui.theme.ink.line), 1);
  edge.PopClipRect();
  // Each page keeps its own place when another was open.
  ImGui::PushID(static_cast<int>(ui.state.page));
  // Whether the page is longer than its panel is known from the frame before.
  ImGuiStorage& storage = *ImGui::GetStateStorage();
  const ImGuiID is_long = ImGui::GetID("is long");
  const float strip = storage.GetBool(is_long) ? std::round(em * 1.3F) : 0;
  ImGui::BeginChild("page", {0, -strip}, false);
  // A finger or a hand drags the page, also by a row or a button: that is then not pressed.
  const ImGuiIO& io = ImGui::GetIO();
  const ImVec2 low = ImGui::GetWindowPos(), page = ImGui::GetWindowSize();
  const ImVec2 from = io.MouseClickedPos[0];
  const bool begun_here = from.x >= low.x && from.y >= low.y && from.y < low.y + page.y &&
                          from.x < low.x + page.x - ImGui::GetStyle().ScrollbarSize;
  const bool popup = ImGui::IsPopupOpen(nullptr, ImGuiPopupFlags_AnyPopupId | ImGuiPopupFlags_AnyPopupLevel);
  if (begun_here && !popup && ImGui::IsMouseDragging(ImGuiMouseButton_Left, em * 0.5F)) {
    ImGui::ClearActiveID();
    ImGui::SetScrollY(ImGui::GetScrollY() - io.MouseDelta.y);
  }
  entry_of(ui.state.page).draw(ui);
  gap(ui.theme);
  const ImGuiWindow& child = *ImGui::GetCurrentWindow();
  const bool longer = child.ScrollMax.y > 0, more = child.Scroll.y < child.ScrollMax.y - 1;
  if (ui.state.page == Page::kKey) {
    KeyInSight& key = ui.shown.key;
    key.top = child.InnerRect.Min.y;
    key.bottom = child.InnerRect.Max.y;
    key.content_px = child.ContentSize.y;
    key.scroll_most_px = child.ScrollMax.y;
    key.widest_px = child.ContentSize.x;
    key.room_px = child.InnerRect.GetWidth();
    key.scroll_bar = child.ScrollbarY;
  }
  ImGui::EndChild();
  storage.SetBool(is_long, longer);
  if (strip > 0) more_below(ui, strip, more);
  ImGui::PopID();
  ImGui::End();
}

}  // namespace brookmark::viewer
