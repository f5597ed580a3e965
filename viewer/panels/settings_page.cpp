// How a person likes the window: kept for them, never in the survey.
#include <cmath>
#include <string>

#include "viewer/panels/pages_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

// A heading, a row of choices below it, and a quiet line that says what they do. The one tapped, or -1.
int choice_of(const Ui& ui, const char* title, std::span<const char* const> names, int chosen,
              const char* what) {
  heading(ui.theme, title);
  const int clicked = choices(ui.theme, title, names, chosen, ImGui::GetContentRegionAvail().x);
  small_muted(ui.theme, what);
  gap(ui.theme, 0.7F);
  return clicked;
}

// Steps of an eighth: what lies between looks like one of them.
void size_line(const Ui& ui, Settings& next) {
  heading(ui.theme, "Size of everything");
  const float em = ui.theme.em, side = ui.theme.row(2.4F);
  const int percent = static_cast<int>(std::lround(next.scale * 100));
  ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, ImVec2(0, ImGui::GetStyle().FramePadding.y));
  const auto step = [&](const char* label, double by) {
    ImGui::BeginDisabled(by < 0 ? next.scale <= kSmallestUserScale : next.scale >= kLargestUserScale);
    if (ImGui::Button(label, {side, side})) next.scale += by;
    ImGui::EndDisabled();
  };
  step("\u2212", -0.125);
  ImGui::SameLine();
  const std::string words = std::to_string(percent) + " %";
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const ImVec2 size = ImGui::CalcTextSize(words.c_str());
  ImGui::GetWindowDrawList()->AddText(
      {std::round(at.x + (em * 4 - size.x) / 2), std::round(at.y + (side - size.y) / 2)},
      im(ui.theme.ink.text), words.c_str());
  ImGui::Dummy({em * 4, side});
  ImGui::SameLine();
  step("+", 0.125);
  ImGui::SameLine();
  ImGui::BeginDisabled(next.scale == 1);
  if (ImGui::Button("100 %", {em * 5, side})) next.scale = 1;
  ImGui::EndDisabled();
  ImGui::PopStyleVar();
  small_muted(ui.theme, "75 to 300 %, on top of what the screen asks for.");
  gap(ui.theme, 0.7F);
}

}  // namespace

void draw_settings_page(const Ui& ui) {
  Settings next = ui.state.settings;
  static constexpr const char* kLooks[] = {"Day", "Dark", "Sunlight"};
  if (const int i = choice_of(ui, "Look", kLooks, static_cast<int>(next.look),
                              "Sunlight is for a screen outdoors: black on white, heavier words and lines.");
      i >= 0)
    next.look = static_cast<Look>(i);
  size_line(ui, next);
  static constexpr const char* kHands[] = {"Mouse", "Touch"};
  if (const int i =
          choice_of(ui, "Made for", kHands, next.touch ? 1 : 0,
                    "Touch makes everything that can be tapped at least 9 mm high. Where the screen does not "
                    "tell its size, 96 pixels an inch are taken, times its own scale.");
      i >= 0)
    next.touch = i == 1;
  static constexpr const char* kClasses[] = {"Five colours", "Light to dark"};
  if (const int i = choice_of(
          ui, "Colours of classes", kClasses, static_cast<int>(next.class_colours),
          "Five colours: blue, green, yellow, orange, red where a method has five classes. Light to "
          "dark can be told apart with every kind of colour blindness and in grey print. The rank "
          "stands in every mark either way.");
      i >= 0)
    next.class_colours = static_cast<ClassColours>(i);
  static constexpr const char* kForms[] = {"45.0123\u00B0", "45\u00B0 00\u2032 44\u2033", "Grid"};
  const bool gridded = !ui.snapshot().survey.crs.empty() && ui.snapshot().survey.crs != "EPSG:4326";
  if (const int i =
          choice_of(ui, "Positions", kForms, static_cast<int>(next.positions),
                    gridded ? "Grid: the survey's own system."
                            : "Grid is the survey's own system; this survey has none, so degrees stand.");
      i >= 0)
    next.positions = static_cast<PositionForm>(i);
  if (next != ui.state.settings) ui.push(ChangeSettings{next});
  small_muted(ui.theme, "Kept for you on this machine, not in the survey.");
}

}  // namespace brookmark::viewer
