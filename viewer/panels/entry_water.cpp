// The third part of the sheet: what the meter says.
#include <cmath>

#include "core/chemistry/quantities.hpp"
#include "viewer/panels/entry_fields_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {

void draw_entry_water(const Ui& ui) {
  const EntrySheet& e = *ui.state.entry;
  ImGui::BeginChild("water", {0, 0});
  if (e.visit_key.empty()) {
    notice(ui.theme, "Store the visit first: readings belong to it.");
    ImGui::EndChild();
    return;
  }
  small_muted(ui.theme,
              "Write < before a limit of detection, as <0.05. An empty field says not measured. Each reading "
              "is stored when its "
              "field is left.");
  gap(ui.theme, 0.3F);
  const float gap_px = ImGui::GetStyle().ItemSpacing.x, room = ImGui::GetContentRegionAvail().x;
  const int columns = room > ui.theme.em * 42 ? 3 : room > ui.theme.em * 24 ? 2 : 1;
  const float width =
      std::floor((room - gap_px * static_cast<float>(columns - 1)) / static_cast<float>(columns));
  int at = 0;
  for (const ReadingAsked& asked : readings_asked()) {
    const core::Quantity* q = nullptr;
    for (const core::Quantity& known : core::quantities())
      if (known.id == asked.quantity) q = &known;
    if (!q) continue;
    if (at++ % columns != 0) ImGui::SameLine();
    const std::string label =
        sentence_start(q->title) + (*asked.unit ? ", " + unit_in_words(asked.unit) : std::string());
    const auto typed_before = e.readings.find(asked.quantity);
    const auto trouble = e.reading_troubles.find(asked.quantity);
    ImGui::BeginGroup();
    const Typed typed = field(ui, (std::string("##") + asked.quantity).c_str(), label.c_str(),
                              typed_before == e.readings.end() ? std::string() : typed_before->second, width,
                              trouble != e.reading_troubles.end());
    if (typed.words) ui.push(TypeReading{asked.quantity, *typed.words});
    if (typed.entered || typed.left) ui.push(KeepReading{asked.quantity});
    const FontScope font(ui.theme.small);
    ImGui::PushTextWrapPos(ImGui::GetCursorPosX() + width);
    ImGui::PushStyleColor(ImGuiCol_Text,
                          im(trouble == e.reading_troubles.end() ? ui.theme.ink.muted : ui.theme.ink.query));
    text(trouble == e.reading_troubles.end() ? " " : trouble->second);
    ImGui::PopStyleColor();
    ImGui::PopTextWrapPos();
    ImGui::EndGroup();
  }
  ImGui::EndChild();
}

}  // namespace brookmark::viewer
