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

constexpr float kMark_ems = 2.0F;  // before the words

RowWords words_of(const Ui& ui, std::size_t row) {
  const std::size_t i = ui.state.desk.spot.sites[row].value();
  const core::SiteColumns& sites = ui.snapshot().sites;
  std::string name(sites.code[i]);
  if (!sites.name[i].empty()) name += "  " + std::string(sites.name[i]);
  return {name, {}, below_of(ui, i), ui.theme.strong, {}};
}

void row_of(const Ui& ui, std::size_t row, float least, bool lit) {
  const core::SiteIndex site = ui.state.desk.spot.sites[row];
  const float em = ui.theme.em;
  ImGui::PushID(static_cast<int>(row));
  const DrawnRow drawn = words_row(ui.theme, "##site", lit, words_of(ui, row), em * kMark_ems, least);
  if (drawn.tapped) take(ui, site);
  tell_target(ui.snapshot().sites.code[site.value()]);
  if (site.value() < ui.all_site_marks.size())
    draw_mark(*ImGui::GetWindowDrawList(), {drawn.at.x + em * 0.9F, drawn.at.y + drawn.height / 2}, em * 0.6F,
              ui.all_site_marks[site.value()], ui.colours, ui.theme);
  ImGui::PopID();
}

// What the heights of the rows depend on.
std::string measured_for(const Ui& ui, float width) {
  const SpotList& spot = ui.state.desk.spot;
  const std::optional<core::Period> period = ui.state.period();
  return std::to_string(ui.model.revision()) + " " + std::to_string(spot.sites.front().value()) + " " +
         std::to_string(width) + " " + std::to_string(ui.theme.em) + " " +
         std::to_string(ui.state.choice.method) + " " + std::to_string(ui.state.choice.metric) + " " +
         (period ? core::period_words(*period) : std::string());
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
  const float em = ui.theme.em, least = ui.theme.row(2.7F), between = ImGui::GetStyle().ItemSpacing.y;
  heading(ui.theme, count_of(spot.sites.size(), "site", "sites") + " on this spot: which one?");
  // A bar beside the rows takes its width from their words.
  const float width = ImGui::GetContentRegionAvail().x - ImGui::GetStyle().ScrollbarSize;
  RowTops& rows = ui.desk.spot_rows;
  follow_rows(rows, measured_for(ui, width), spot.sites.size(), [&](std::size_t i) {
    return row_height(ui.theme, words_of(ui, i), em * kMark_ems, width, least) + between;
  });
  const float wanted = rows.tops[std::min<std::size_t>(spot.sites.size(), 8)];
  const float most =
      std::max(ImGui::GetIO().DisplaySize.y - em * 12 - ui.theme.row(2.2F), 2 * (least + between));
  const float list_height = std::min(wanted, most);
  const std::size_t row =
      row_by_keys(spot, std::max<std::size_t>(static_cast<std::size_t>(list_height / (least + between)), 1));
  ImGui::BeginChild("sites", {0, list_height}, false, ImGuiWindowFlags_NoNavInputs);
  if (ImGui::IsWindowAppearing() || row != spot.row)
    ImGui::SetScrollY(std::max(0.0F, (rows.tops[row] + rows.tops[row + 1] - list_height) / 2));
  const ImVec2 top = ImGui::GetCursorScreenPos();
  const auto [first, behind] = rows_in_sight(rows, top.y);
  for (std::size_t i = first; i < behind; ++i) {
    ImGui::SetCursorScreenPos({top.x, top.y + rows.tops[i]});
    row_of(ui, i, least, i == row);
  }
  ImGui::SetCursorScreenPos({top.x, top.y + rows.tops.back()});
  ImGui::Dummy({1, 0});
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
