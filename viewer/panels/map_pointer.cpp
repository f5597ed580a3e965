// What hands do on the map: drag and throw, tap, tap twice, tap and slide, turn the wheel, pinch on a touchpad, keys.
#include <algorithm>
#include <cmath>

#include "viewer/panels/map_parts_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"

namespace brookmark::viewer {
namespace {

constexpr double kWheelStep = 1.25, kPinchStep = 1.08, kTwiceStep = 2.0;
constexpr double kSlideEms = 8;  // of a one-finger slide after a tap, for twice as near

const AsideMark* mark_aside_at(const std::vector<AsideMark>& marks, Pixel at) {
  const auto hit =
      std::find_if(marks.begin(), marks.end(), [at](const AsideMark& mark) { return mark.box.contains(at); });
  return hit == marks.end() ? nullptr : &*hit;
}

// Any wheel or touchpad turns in parts of a step: each part counts. With Ctrl it is a pinch, which comes in many small
// turns; with Shift the map goes sideways.
void take_wheel(const Ui& ui, Pixel at) {
  const ImGuiIO& io = ImGui::GetIO();
  const double step = ui.theme.em * 4.0;
  if (io.KeyShift && (io.MouseWheel != 0 || io.MouseWheelH != 0)) {
    ui.push(Pan{(static_cast<double>(io.MouseWheel) + static_cast<double>(io.MouseWheelH)) * step, 0});
    return;
  }
  if (io.MouseWheelH != 0) ui.push(Pan{static_cast<double>(io.MouseWheelH) * step, 0});
  if (io.MouseWheel == 0) return;
  const double turns = std::clamp(static_cast<double>(io.MouseWheel), -10.0, 10.0);
  ui.push(ZoomAt{std::pow(io.KeyCtrl ? kPinchStep : kWheelStep, turns), at});
}

// Whether its sites come apart when the map comes nearer.
bool can_part(const Ui& ui, std::uint32_t sign) {
  const PlaneBox& box = ui.sites.clusters().clusters()[sign].box;
  return std::max(box.max_x - box.min_x, box.max_y - box.min_y) >
         2 * kNear_ems * static_cast<double>(ui.theme.em) * kNearestMetresPerPixel;
}

}  // namespace

std::optional<std::uint32_t> map_sign_at(const Ui& ui, Pixel at) {
  if (!ui.state.layers[Layer::kSites]) return std::nullopt;
  return ui.sites.sign_at(ui.state.view, at);
}

double map_reach(const Ui& ui) {
  return std::max<double>(ui.paint.frame.site_radius_px + 3, ui.theme.em * 0.85);
}

void take_map_pointer(const Ui& ui, const GroundTouch& touch) {
  const ImGuiIO& io = ImGui::GetIO();
  const Pixel at{io.MousePos.x, io.MousePos.y};
  const float slack = ui.theme.em * 0.4F;
  if (take_edit_pointer(ui, touch.active)) return;
  const bool dragging = touch.active && ImGui::IsMouseDragging(ImGuiMouseButton_Left, slack);
  if (touch.pressed) ui.push(HoldMap{});
  // A tap and then a slide, with one finger, as a pinch: the window system tells of one finger only.
  if (dragging && touch.twice)
    ui.push(ZoomAt{std::exp2(static_cast<double>(io.MouseDelta.y) / (kSlideEms * ui.theme.em)),
                   {io.MouseClickedPos[0].x, io.MouseClickedPos[0].y}});
  else if (dragging)
    ui.push(Drag{io.MouseDelta.x, io.MouseDelta.y, io.DeltaTime});
  if (!touch.active && ui.state.map.glide.held) ui.push(LetGo{});
  const ImVec2 way = ImGui::GetMouseDragDelta(ImGuiMouseButton_Left, slack);
  const AsideMark* aside = mark_aside_at(ui.shown.asides, at);
  const auto sign = map_sign_at(ui, at);
  // What a long press was read for is not opened by letting go.
  const bool read = ui.theme.touch && io.MouseDownDurationPrev[0] >= kHold_s &&
                    (sign || aside != nullptr || ui.state.hover.site || ui.state.hover.outfall);
  if (touch.released && way.x == 0 && way.y == 0 && !read) {
    // The second of two quick taps on open ground comes nearer.
    const bool open_ground = !ui.state.hover.site && !ui.state.hover.outfall && aside == nullptr && !sign;
    if (touch.twice && open_ground && !ui.state.picking_point && !ui.state.map.measure.on)
      ui.push(ZoomAt{io.KeyShift ? 1 / kTwiceStep : kTwiceStep, at});
    else if (aside != nullptr && !ui.state.picking_point && !ui.state.map.measure.on)
      ui.push(SelectOutfall{aside->outfall});
    else if (sign && !ui.state.picking_point && !ui.state.map.measure.on && can_part(ui, *sign))
      ui.push(ShowArea{ui.sites.clusters().clusters()[*sign].box});
    else if (sign)
      ui.push(ClickMap{at, map_reach(ui), ui.sites.clusters().clusters()[*sign].box});
    else
      ui.push(ClickMap{at, map_reach(ui)});
  }
  if (touch.hovered) take_wheel(ui, at);
  if (touch.hovered && aside != nullptr)
    ui.push(HoverMap{aside->place, map_reach(ui), aside->outfall});
  else if (touch.hovered)
    ui.push(HoverMap{at, map_reach(ui)});
  else if (ui.state.hover != Hover{})
    ui.push(HoverMap{});
  if (touch.hovered)
    ui.push(PointAt{ui.state.view.to_plane(at)});
  else if (ui.state.map.pointer)
    ui.push(PointAt{});
}

void take_map_keys(const Ui& ui) {
  const ImGuiIO& io = ImGui::GetIO();
  if (io.WantTextInput) return;
  for (const ImWchar c : io.InputQueueCharacters)
    if (c == 'm' || c == 'M') {
      if (ui.state.map.measure.on)
        ui.push(EndMeasure{});
      else
        ui.push(StartMeasure{});
    } else if (c == 'b' || c == 'B') {  // the next ground of the survey, then none
      const auto& layers = ui.snapshot().layers;
      std::size_t next = 0;
      for (std::size_t i = 0; i < layers.size(); ++i)
        if (ui.state.map.background == layers[i].key) next = i + 1;
      ui.push(ShowBackground{next < layers.size() ? std::optional(layers[next].key) : std::nullopt});
    }
  if (ui.state.map.measure.on && ImGui::IsKeyPressed(ImGui::GetKeyIndex(ImGuiKey_Backspace), false))
    ui.push(DropCorner{});
}

}  // namespace brookmark::viewer
