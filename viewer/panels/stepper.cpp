#include "viewer/panels/stepper_internal.hpp"

#include <algorithm>
#include <cmath>

#include "viewer/panels/widgets_internal.hpp"

namespace brookmark::viewer {

int stepper(const Ui& ui, const char* label, const std::string& words, int value, StepRange range) {
  const float em = ui.theme.em, side = ui.theme.row(2.2F);
  ImGui::PushID(label);
  const float taken = 2 * (side + ImGui::GetStyle().ItemSpacing.x) + em * 5;
  // A label that does not fit beside the buttons stands above them.
  const float room = ImGui::GetContentRegionMax().x - taken;
  ImGui::AlignTextToFramePadding();
  text(label);
  if (ImGui::CalcTextSize(label).x < room - em * 0.3F)
    ImGui::SameLine(std::max(std::min(em * 8, room), ImGui::CalcTextSize(label).x + em * 0.5F));
  ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, ImVec2(0, ImGui::GetStyle().FramePadding.y));
  if (ImGui::Button("\u2212", {side, side})) value -= range.by;
  tell_target(std::string(label) + " less");
  ImGui::SameLine();
  const ImVec2 at = ImGui::GetCursorScreenPos(), size = ImGui::CalcTextSize(words.c_str());
  ImGui::GetWindowDrawList()->AddText(
      {std::round(at.x + (em * 5 - size.x) / 2), std::round(at.y + (side - size.y) / 2)},
      im(ui.theme.ink.text), words.c_str());
  ImGui::Dummy({em * 5, side});
  ImGui::SameLine();
  if (ImGui::Button("+", {side, side})) value += range.by;
  tell_target(std::string(label) + " more");
  ImGui::PopStyleVar();
  ImGui::PopID();
  return std::clamp(value, range.least, range.most);
}

}  // namespace brookmark::viewer
