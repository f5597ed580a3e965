// The guided look: everything but one part of the window dimmed, and a few words about it.
#include <algorithm>
#include <cmath>

#include "viewer/panels/desk_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/state/guide.hpp"

namespace brookmark::viewer {
namespace {

PixelBox box_of(const Layout& layout, GuidePart part) {
  switch (part) {
    case GuidePart::kMap:
      return layout.map;
    case GuidePart::kTop:
      return layout.top;
    case GuidePart::kTime:
      return layout.time;
    case GuidePart::kSide:
      return layout.side;
    case GuidePart::kRail:
      return layout.rail;
    case GuidePart::kCaution:
      return layout.caution;
    case GuidePart::kNothing:
      break;
  }
  return {};
}

// Four pieces around what stays bright.
void dim_around(ImDrawList& list, const Ui& ui, const PixelBox& bright) {
  const ImVec2 size = ImGui::GetIO().DisplaySize;
  const ImU32 dim = im(ui.theme.ink.dim);
  const auto l = static_cast<float>(bright.left), t = static_cast<float>(bright.top),
             r = static_cast<float>(bright.right()), b = static_cast<float>(bright.bottom());
  list.AddRectFilled({0, 0}, {size.x, t}, dim);
  list.AddRectFilled({0, b}, size, dim);
  list.AddRectFilled({0, t}, {l, b}, dim);
  list.AddRectFilled({r, t}, {size.x, b}, dim);
  if (r > l) {
    const float w = std::max(2.0F, std::round(ui.theme.em * 0.16F));
    list.AddRect({l + w / 2, t + w / 2}, {r - w / 2, b - w / 2}, im(ui.theme.ink.accent), 0, 0, w);
  }
}

// Where the card covers least of what is bright: beside, above or below it, else in its middle.
ImVec2 place_card(const Ui& ui, const PixelBox& bright, float width, float height) {
  const ImVec2 size = ImGui::GetIO().DisplaySize;
  const float gap = ui.theme.em;
  const auto inside = [](float at, float span, float room) {
    return std::clamp(at, 4.0F, std::max(4.0F, room - span - 4));
  };
  const auto l = static_cast<float>(bright.left), t = static_cast<float>(bright.top),
             r = static_cast<float>(bright.right()), b = static_cast<float>(bright.bottom());
  const float middle_x = (l + r - width) / 2, middle_y = (t + b - height) / 2;
  ImVec2 at{(size.x - width) / 2, (size.y - height) / 2};
  if (bright.width > 0) {
    if (size.x - r > width + gap)
      at = {r + gap, middle_y};
    else if (l > width + gap)
      at = {l - gap - width, middle_y};
    else if (size.y - b > height + gap)
      at = {middle_x, b + gap};
    else if (t > height + gap)
      at = {middle_x, t - gap - height};
    else
      at = {middle_x, middle_y};
  }
  return {std::round(inside(at.x, width, size.x)), std::round(inside(at.y, height, size.y))};
}

}  // namespace

void draw_guide(const Ui& ui) {
  if (!ui.state.desk.guide) return;
  const auto steps = guide_steps();
  const std::size_t i = *ui.state.desk.guide;
  const GuideStep& step = steps[i];
  const float em = ui.theme.em, pad = std::round(em * 1.1F);
  const ImVec2 display = ImGui::GetIO().DisplaySize;
  const PixelBox bright = box_of(ui.layout, step.part);
  ImGui::SetNextWindowPos({0, 0});
  ImGui::SetNextWindowSize(display);
  ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, ImVec2(0, 0));
  ImGui::PushStyleVar(ImGuiStyleVar_WindowMinSize, ImVec2(1, 1));
  ImGui::Begin("guided look", nullptr,
               ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove | ImGuiWindowFlags_NoSavedSettings |
                   ImGuiWindowFlags_NoBackground);
  ImGui::PopStyleVar(2);
  if (ImGui::IsWindowAppearing()) ImGui::SetWindowFocus();
  ImDrawList& list = *ImGui::GetWindowDrawList();
  dim_around(list, ui, bright);
  const float width = std::min(em * 25, display.x - em);
  const float words = ImGui::CalcTextSize(step.words, nullptr, false, width - 2 * pad).y;
  const float button = ui.theme.row(2.2F);
  const float height = std::min(2 * pad + em * 2.6F + words + em * 1.2F + button, display.y - 8);
  ImGui::SetCursorScreenPos(place_card(ui, bright, width, height));
  ImGui::PushStyleColor(ImGuiCol_ChildBg, im(ui.theme.ink.panel));
  ImGui::PushStyleColor(ImGuiCol_Border, im(ui.theme.ink.edge));
  ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, ImVec2(pad, pad));
  ImGui::PushStyleVar(ImGuiStyleVar_ChildRounding, std::round(em * 0.5F));
  ImGui::BeginChild("guide card", {width, height}, true, ImGuiWindowFlags_AlwaysUseWindowPadding);
  ImGui::PopStyleVar(2);
  ImGui::PopStyleColor(2);
  {
    const FontScope font(ui.theme.title);
    text(step.title);
  }
  wrapped(step.words);
  gap(ui.theme, 0.3F);
  const bool last = i + 1 == steps.size();
  if (push_button(ui.theme, last ? "Done" : "Next", {em * 6, button})) ui.push(StepGuide{1});
  if (i > 0) {
    ImGui::SameLine();
    if (ImGui::Button("Back", {em * 4.5F, button})) ui.push(StepGuide{-1});
  }
  if (!last) {
    ImGui::SameLine();
    if (ImGui::Button("Skip", {em * 4.5F, button})) ui.push(EndGuide{});
  }
  ImGui::SameLine();
  const std::string count = std::to_string(i + 1) + " / " + std::to_string(steps.size());
  const ImVec2 at = ImGui::GetCursorScreenPos();
  ImGui::GetWindowDrawList()->AddText(ui.theme.small, ui.theme.small->FontSize,
                                      {at.x, std::round(at.y + (button - ui.theme.small->FontSize) / 2)},
                                      im(ui.theme.ink.muted), count.c_str());
  ImGui::NewLine();
  ImGui::EndChild();
  const auto pressed = [](ImGuiKey key) { return ImGui::IsKeyPressed(ImGui::GetKeyIndex(key), false); };
  if (pressed(ImGuiKey_Escape)) ui.push(EndGuide{});
  if (pressed(ImGuiKey_RightArrow)) ui.push(StepGuide{1});
  if (pressed(ImGuiKey_LeftArrow)) ui.push(StepGuide{-1});
  ImGui::End();
}

}  // namespace brookmark::viewer
