// Why: a field that shows a value of the state and says what was typed; the state alone keeps it.
// Use: if (const auto typed = field(ui, "people", "People", e.form[kPeople], width)) ui.push(TypeField{...});
#pragma once

#include <imgui.h>
#include <imgui_stdlib.h>

#include <optional>
#include <string>

#include "viewer/panels/panels_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"

namespace brookmark::viewer {

struct Typed {
  std::optional<std::string> words;  // changed
  bool entered = false;              // Enter was pressed in it
  bool left = false;                 // it was in use, and is no more
};

// By which the map is coloured; null where the program has none.
inline const core::Method* method_shown(const Ui& ui) {
  return ui.assessment ? ui.assessment->method : nullptr;
}

// What is on the tally, newest first; `scrolls`: in a child of its own.
void draw_entry_lines(const Ui& ui, bool scrolls);

inline constexpr ImGuiInputTextFlags kArrows = ImGuiInputTextFlags_CallbackHistory;

// With its label above, in as many lines as it needs and at least `label_height` high, so that neighbours stand level; `alarm`
// gives it an edge that is seen.
inline Typed field(const Ui& ui, const char* id, const char* label, const std::string& words, float width,
                   bool alarm = false, ImGuiInputTextFlags flags = 0, float label_height = 0) {
  Typed typed;
  ImGui::BeginGroup();
  {
    // Drawn and not written: text beside a framed field would be set lower than its neighbours.
    const FontScope font(ui.theme.small);
    put_words(*ImGui::GetWindowDrawList(), ui.theme.small, ImGui::GetCursorScreenPos(), width,
              ui.theme.ink.muted, label);
    ImGui::Dummy({width, std::max(label_height, height_of(ui.theme.small, label, width))});
  }
  const float pad = std::max(0.0F, (ui.theme.row(2.1F) - ImGui::GetFontSize()) / 2);
  ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, ImVec2(ui.theme.em * 0.5F, pad));
  ImGui::PushStyleVar(ImGuiStyleVar_FrameBorderSize, alarm ? 2.0F : 1.0F);
  ImGui::PushStyleColor(ImGuiCol_Border, im(alarm ? ui.theme.ink.query : ui.theme.ink.edge));
  ImGui::SetNextItemWidth(width);
  std::string copy = words;
  // With kArrows the arrows up and down are the field's own and do not lead to its neighbours.
  const auto keep = [](ImGuiInputTextCallbackData*) { return 0; };
  typed.entered = ImGui::InputText(id, &copy, flags | ImGuiInputTextFlags_EnterReturnsTrue, keep);
  tell_target(label);
  typed.left = ImGui::IsItemDeactivated();
  ImGui::PopStyleColor();
  ImGui::PopStyleVar(2);
  ImGui::EndGroup();
  if (copy != words) typed.words = std::move(copy);
  return typed;
}

}  // namespace brookmark::viewer
