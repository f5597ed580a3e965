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
  const float em = ui.theme.em, side = ui.theme.row(2.0F), small = ui.theme.small->FontSize;
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
    const float below =
        detail.empty() ? 0 : ui.theme.small->CalcTextSizeA(small, 1e6F, free, detail.c_str()).y;
    const float content = detail.empty() ? em : std::round(em * 1.05F) + below;
    const float height = std::max(side, content + em * 0.5F);
    if (e.touched == r.key)
      list.AddRectFilled(at, {at.x + room, at.y + height}, im(ui.theme.ink.field_active), em * 0.25F);
    const float top = at.y + std::round((height - content) / 2);
    float used = 0;
    {
      const FontScope strong(ui.theme.strong);
      const std::string shown = fitted(quantity, words * 0.6F);
      used = ImGui::CalcTextSize(shown.c_str()).x;
      list.AddText({at.x + words - used, top}, im(ui.theme.ink.text), shown.c_str());
    }
    list.AddText({at.x + em * 0.3F, top}, im(ui.theme.ink.text),
                 fitted(r.verbatim_name, words - used - em * 0.8F).c_str());
    if (!detail.empty())
      list.AddText(ui.theme.small, small, {at.x + em * 0.3F, top + std::round(em * 1.05F)},
                   im(ui.theme.ink.muted), detail.c_str(), nullptr, free);
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
