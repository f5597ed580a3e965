// What is on the tally: each line with how its name was read, and a button to take one away or add one.
#include <algorithm>
#include <cmath>

#include "viewer/actions/tally_words.hpp"
#include "viewer/panels/entry_fields_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

// "= Malacostraca (class): will not score", and stage and doubt.
std::string line_detail(const Ui& ui, const core::Record& r) {
  const auto& lineages = ui.state.entry->lineages;
  const auto known = lineages.find(r.taxon_key);
  std::string words =
      known == lineages.end() ? "" : read_as(known->second, r.verbatim_name, method_shown(ui));
  const auto say = [&](const std::string& more) { words += (words.empty() ? "" : " \u00B7 ") + more; };
  if (r.stage != core::LifeStage::kUnknown) say(core::life_stage_name(r.stage));
  if (!r.qualifier.empty()) say(r.qualifier == "?" ? "unsure" : r.qualifier);
  return words;
}

}  // namespace

void draw_entry_lines(const Ui& ui, bool scrolls) {
  const EntrySheet& e = *ui.state.entry;
  const float em = ui.theme.em, side = ui.theme.row(2.0F);
  std::int64_t animals = 0;
  for (const core::Record& r : e.records)
    if (r.quantity == core::QuantityKind::kCount) animals += r.count_min.value_or(0);
  heading(
      ui.theme,
      count_of(found_lines(e), "line", "lines") +
          (animals > 0 ? ", " + count_of(static_cast<std::size_t>(animals), "animal", "animals") + " counted"
                       : ""));
  if (e.records.empty()) {
    muted("Nothing yet. Every tap is stored at once; nothing is lost when the machine stops.");
    return;
  }
  if (scrolls) ImGui::BeginChild("lines", {0, 0});
  const float room = ImGui::GetContentRegionAvail().x;
  ImDrawList& list = *ImGui::GetWindowDrawList();
  for (std::size_t n = e.records.size(); n-- > 0;) {
    const core::Record& r = e.records[n];
    ImGui::PushID(static_cast<int>(n));
    const ImVec2 at = ImGui::GetCursorScreenPos();
    const float words = room - 2 * side - em * 0.9F, free = words - em * 0.3F;
    const std::string quantity = quantity_in_words(r), detail = line_detail(ui, r);
    // The detail stands below name and number, in as many lines as it needs.
    const float below = detail.empty() ? 0 : height_of(ui.theme.small, detail, free);
    const float number = std::min(ui.theme.strong->CalcTextSizeA(em, 1e6F, 0, quantity.c_str()).x + 1,
                                  std::round(words * 0.6F));
    const float name_room = words - number - em * 0.8F;
    const float name = std::max(height_of(ui.theme.body, r.verbatim_name, name_room),
                                height_of(ui.theme.strong, quantity, number));
    const float content = name + (detail.empty() ? 0 : std::round(em * 0.05F) + below);
    const float height = std::max(side, content + em * 0.5F);
    if (e.touched == r.key)
      list.AddRectFilled(at, {at.x + room, at.y + height}, im(ui.theme.ink.field_active), em * 0.25F);
    const float top = at.y + std::round((height - content) / 2);
    put_words(list, ui.theme.strong, {at.x + words - number, top}, number, ui.theme.ink.text, quantity);
    put_words(list, ui.theme.body, {at.x + em * 0.3F, top}, name_room, ui.theme.ink.text, r.verbatim_name);
    if (!detail.empty())
      put_words(list, ui.theme.small, {at.x + em * 0.3F, top + name + std::round(em * 0.05F)}, free,
                ui.theme.ink.muted, detail);
    const float button_top = at.y + std::round((height - side) / 2);
    ImGui::SetCursorScreenPos({at.x + words + em * 0.4F, button_top});
    ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, ImVec2(0, 0));
    if (ImGui::Button("\u2212", {side, side})) ui.push(ChangeCount{n, -1});
    ImGui::SetCursorScreenPos({at.x + words + em * 0.65F + side, button_top});
    if (ImGui::Button("+", {side, side})) ui.push(ChangeCount{n, 1});
    ImGui::PopStyleVar();
    ImGui::SetCursorScreenPos({at.x, at.y + height + std::round(em * 0.3F)});
    ImGui::Dummy({1, 0});
    ImGui::PopID();
  }
  if (scrolls) ImGui::EndChild();
}

}  // namespace brookmark::viewer
