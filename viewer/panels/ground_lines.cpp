// The key's lines about the ground below the map: which there are, what is seen, whom to thank; and a file to lay below.
#include <imgui.h>

#include <imgui_stdlib.h>

#include <cmath>

#include "core/base/text.hpp"
#include "viewer/panels/map_parts_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"

namespace brookmark::viewer {
namespace {

// How a shaded slope and level land look, and what was done to the heights.
void shade_words(const Ui& ui) {
  const geodata::BasemapInfo& info = ui.background.status().info;
  std::string words = "Light from the north-west";
  if (info.heightened > 1)
    words += ", heights " + core::format_number(info.heightened) + " times as high as they are";
  small_muted(ui.theme, words + ".");
}

void status_words(const Ui& ui) {
  const BackgroundStatus& status = ui.background.status();
  if (status.what == BackgroundStatus::What::kOpening) small_muted(ui.theme, "Opening the file.");
  if (!status.trouble.empty()) notice(ui.theme, status.trouble);
  if (status.what != BackgroundStatus::What::kReady) return;
  if (status.info.look == core::LayerLook::kHillshade) shade_words(ui);
  if (const std::string& thanks = ui.background.attribution(); !thanks.empty()) small_muted(ui.theme, thanks);
}

void trial_buttons(const Ui& ui) {
  const BackgroundStatus& status = ui.background.status();
  const float em = ui.theme.em, height = ui.theme.row(2.0F);
  small_muted(ui.theme, "On trial: " + *ui.state.map.trial);
  if (status.what == BackgroundStatus::What::kReady) {
    if (push_button(ui.theme, "Keep in the survey", {em * 9, height}))
      ui.push(StoreEdits{background_edit(*ui.state.map.trial, status.info, "", "")});
    ImGui::SameLine();
  }
  if (push_button(ui.theme, "Put away", {em * 6, height})) ui.push(ShowBackground{ui.state.map.background});
}

}  // namespace

void draw_ground_lines(const Ui& ui) {
  const auto& layers = ui.snapshot().layers;
  heading(ui.theme, "Ground below the map");
  const auto row = [&](const std::string& name, bool on, std::optional<std::string> key, int id) {
    ImGui::PushID(id);
    ImGui::PushStyleVar(ImGuiStyleVar_FramePadding,
                        ImVec2(ui.theme.em * 0.2F, (ui.theme.row(1.28F) - ui.theme.em) / 2));
    const bool pressed = ImGui::RadioButton("##ground", on);
    tell_target(name);
    ImGui::SameLine(0, ui.theme.em * 0.3F);
    ImGui::AlignTextToFramePadding();
    wrapped(name);
    ImGui::PopStyleVar();
    if (pressed || ImGui::IsItemClicked()) ui.push(ShowBackground{std::move(key)});
    ImGui::PopID();
  };
  const bool trial = ui.state.map.trial.has_value();
  row("plain paper", !trial && !ui.state.map.background, std::nullopt, -1);
  for (std::size_t i = 0; i < layers.size(); ++i)
    row(layers[i].title.empty() ? layers[i].file : layers[i].title,
        !trial && ui.state.map.background == layers[i].key, layers[i].key, static_cast<int>(i));
  status_words(ui);
  if (trial) {
    trial_buttons(ui);
    return;
  }
  std::string& typed = ui.shown.typed_ground;
  const float button = ui.theme.em * 5;
  ImGui::SetNextItemWidth(ImGui::GetContentRegionAvail().x - button - ui.theme.em * 0.5F);
  const bool entered = ImGui::InputTextWithHint("##ground", "a raster file on this machine", &typed,
                                                ImGuiInputTextFlags_EnterReturnsTrue);
  ImGui::SameLine(0, ui.theme.em * 0.5F);
  const bool pushed = push_button(ui.theme, "Try it", {button, 0});
  if ((entered || pushed) && !core::trim(typed).empty()) {
    ui.push(TryBackground{std::string(core::trim(typed))});
    typed.clear();
  }
}

}  // namespace brookmark::viewer
