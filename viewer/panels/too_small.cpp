// A window too small for panels shows the map alone: a sentence says what the colours are, and how to get at the rest.
#include <algorithm>
#include <cmath>

#include "viewer/panels/panels_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {

void draw_too_small(const Ui& ui) {
  const ImVec2 size = ImGui::GetIO().DisplaySize;
  const float em = ui.theme.em, pad = std::round(em * 0.4F);
  if (size.x < em * 3 || size.y < em * 2) return;
  std::string shown;
  if (ui.assessment && ui.layout.map.width > 0)
    shown = ui.assessment->metric_info().title +
            (ui.state.date ? ", up to " + short_date(*ui.state.date) : "") + ". ";
  const char* plain = "Make the window larger for pages, methods and days.";
  const char* wordy =
      "For pages, methods and days make the window larger, or the words smaller with Ctrl and \u2212.";
  const FontScope font(ui.theme.small);
  const float room = size.x - 2 * pad;
  const auto height_of = [&](const std::string& words) {
    return ImGui::CalcTextSize(words.c_str(), nullptr, false, room).y + 2 * pad;
  };
  // The longest that leaves most of the map free; the least where none does.
  std::string words = shown + wordy;
  if (height_of(words) > size.y * 0.34F) words = shown + plain;
  if (height_of(words) > size.y * 0.5F) words = plain;
  const float height = std::min(height_of(words), size.y);
  // Over the map, so none of the parts that lie beside each other.
  ImGui::SetNextWindowPos({0, size.y - height});
  ImGui::SetNextWindowSize({size.x, height});
  ImGui::PushStyleColor(ImGuiCol_WindowBg, im(ui.theme.ink.note));
  ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, ImVec2(pad, pad));
  ImGui::PushStyleVar(ImGuiStyleVar_WindowMinSize, ImVec2(1, 1));
  ImGui::Begin("too small", nullptr,
               ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove | ImGuiWindowFlags_NoSavedSettings |
                   ImGuiWindowFlags_NoFocusOnAppearing | ImGuiWindowFlags_NoInputs);
  ImGui::PopStyleVar(2);
  ImGui::PopStyleColor();
  wrapped(words);
  ImGui::End();
}

}  // namespace brookmark::viewer
