// Several sites on one spot: a list to choose from, since no nearness parts them on the map.
#include <algorithm>
#include <cmath>

#include "viewer/panels/desk_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

// "Kiln Pond · Poor, 24 · last sample 4 October 2025"
std::string below_of(const Ui& ui, std::size_t site) {
  const core::SiteColumns& sites = ui.snapshot().sites;
  std::string words(sites.water[site]);
  const auto say = [&](const std::string& part) { words += (words.empty() ? "" : " \u00B7 ") + part; };
  if (sites.status[site] != core::SiteStatus::kActive) say(core::site_status_name(sites.status[site]));
  if (!ui.assessment) return words;
  const core::SiteAssessment& known = ui.assessment->sites[site];
  const core::Metric& metric = ui.assessment->metric_info();
  switch (standing_of(known, metric)) {
    case Standing::kClass:
      say(std::string(core::class_name(metric, known.class_rank)) + ", " +
          value_in_words(metric, known.value));
      break;
    case Standing::kValue:
      say(value_in_words(metric, known.value));
      break;
    case Standing::kOutsideScope:
      say(value_in_words(metric, known.value) + ", outside the method\u2019s scope");
      break;
    case Standing::kNoValue:
      say("sampled, no class");
      break;
    case Standing::kNotSampled:
      say(ui.state.is_narrowed() ? "no sample in the period shown" : "not sampled by this day");
      break;
  }
  return words;
}

void take(const Ui& ui, core::SiteIndex site) {
  ui.push(CloseSpot{});
  ui.push(SelectSite{site});
}

void row_of(const Ui& ui, std::size_t row, float height, bool lit) {
  const core::SiteIndex site = ui.state.desk.spot.sites[row];
  const std::size_t i = site.value();
  const float em = ui.theme.em, room = ImGui::GetContentRegionAvail().x;
  ImGui::PushID(static_cast<int>(row));
  const ImVec2 at = ImGui::GetCursorScreenPos();
  if (ImGui::Selectable("##site", lit, 0, {0, height})) take(ui, site);
  tell_target(ui.snapshot().sites.code[i]);
  ImDrawList& list = *ImGui::GetWindowDrawList();
  if (i < ui.all_site_marks.size())
    draw_mark(list, {at.x + em * 0.9F, at.y + height / 2}, em * 0.6F, ui.all_site_marks[i], ui.colours,
              ui.theme);
  const float small = ui.theme.small->FontSize, left = at.x + em * 2.0F,
              top = std::round(at.y + (height - em - small - em * 0.15F) / 2);
  const std::string name(ui.snapshot().sites.name[i]);
  {
    const FontScope font(ui.theme.strong);
    list.AddText(
        {left, top}, im(ui.theme.ink.text),
        fitted(std::string(ui.snapshot().sites.code[i]) + (name.empty() ? "" : "  " + name), room - em * 2.3F)
            .c_str());
  }
  const FontScope font(ui.theme.small);
  list.AddText({left, std::round(top + em * 1.15F)}, im(ui.theme.ink.muted),
               fitted(below_of(ui, i), room - em * 2.3F).c_str());
  ImGui::PopID();
}

// The row that the keys ask for.
std::size_t row_by_keys(const SpotList& spot, std::size_t page) {
  const auto pressed = [](ImGuiKey key) { return ImGui::IsKeyPressed(ImGui::GetKeyIndex(key), true); };
  const std::size_t last = spot.sites.size() - 1;
  if (pressed(ImGuiKey_DownArrow)) return std::min(spot.row + 1, last);
  if (pressed(ImGuiKey_UpArrow)) return spot.row - std::min<std::size_t>(spot.row, 1);
  if (pressed(ImGuiKey_PageDown)) return std::min(spot.row + page, last);
  if (pressed(ImGuiKey_PageUp)) return spot.row - std::min(spot.row, page);
  if (pressed(ImGuiKey_Home)) return 0;
  if (pressed(ImGuiKey_End)) return last;
  return spot.row;
}

}  // namespace

void draw_spot_list(const Ui& ui) {
  const SpotList& spot = ui.state.desk.spot;
  if (spot.sites.empty()) return;
  if (begin_card(ui, "spot", 30)) ui.push(CloseSpot{});
  const float em = ui.theme.em, height = ui.theme.row(2.7F);
  heading(ui.theme, count_of(spot.sites.size(), "site", "sites") + " on this spot: which one?");
  const float step = height + ImGui::GetStyle().ItemSpacing.y;
  const float wanted = step * static_cast<float>(std::min<std::size_t>(spot.sites.size(), 8));
  const float most = std::max(ImGui::GetIO().DisplaySize.y - em * 12 - ui.theme.row(2.2F), step * 2);
  const float list_height = std::min(wanted, most);
  const std::size_t row =
      row_by_keys(spot, std::max<std::size_t>(static_cast<std::size_t>(list_height / step), 1));
  ImGui::BeginChild("sites", {0, list_height}, false, ImGuiWindowFlags_NoNavInputs);
  if (ImGui::IsWindowAppearing() || row != spot.row)
    ImGui::SetScrollY(std::max(0.0F, step * (static_cast<float>(row) + 0.5F) - list_height / 2));
  ImGuiListClipper clipper;  // ten thousand sites stand on one spot where nobody noted a better one
  clipper.Begin(static_cast<int>(spot.sites.size()), step);
  while (clipper.Step())
    for (int i = clipper.DisplayStart; i < clipper.DisplayEnd; ++i)
      row_of(ui, static_cast<std::size_t>(i), height, static_cast<std::size_t>(i) == row);
  ImGui::EndChild();
  if (ImGui::Button("Close", {em * 7, ui.theme.row(2.2F)})) ui.push(CloseSpot{});
  tell_target("Close");
  if (row != spot.row) ui.push(LightSpot{row});
  if (ImGui::IsKeyPressed(ImGui::GetKeyIndex(ImGuiKey_Enter), false) ||
      ImGui::IsKeyPressed(ImGui::GetKeyIndex(ImGuiKey_KeyPadEnter), false))
    take(ui, spot.sites[row]);
  end_card(ui);
}

}  // namespace brookmark::viewer
