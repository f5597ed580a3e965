// The rail: one tap to every page, and back to the map.
#include <algorithm>
#include <cmath>
#include <string>

#include "viewer/panels/pages_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"

namespace brookmark::viewer {
namespace {

constexpr float kCell_ems = 3.3F;

// True when tapped. Filled where it is the page that is open.
bool rail_button(const Ui& ui, const char* sign, const char* word, bool on, float top, float height) {
  const Theme& theme = ui.theme;
  const auto width = static_cast<float>(ui.layout.rail.width);
  ImGui::SetCursorPos({0, top});
  ImGui::PushID(word);
  const bool clicked = ImGui::InvisibleButton("page", {width, height - 1});
  tell_target(word);
  const bool lit = ImGui::IsItemHovered() || ImGui::IsItemActive();
  const bool focused = ImGui::IsItemFocused() && ImGui::GetIO().NavVisible;
  ImGui::PopID();
  const ImVec2 low = ImGui::GetItemRectMin(), high = ImGui::GetItemRectMax();
  ImDrawList& list = *ImGui::GetWindowDrawList();
  if (on || lit) list.AddRectFilled(low, high, im(on ? theme.ink.accent : theme.ink.bar_field));
  if (focused) list.AddRect(low, high, im(theme.ink.bar_text), 0, 0, std::max(2.0F, theme.em * 0.12F));
  const ImU32 ink = im(on ? theme.ink.on_accent : theme.ink.bar_text);
  const ImVec2 sign_size = theme.title->CalcTextSizeA(theme.title->FontSize, 1e6F, 0, sign);
  const ImVec2 word_size = theme.small->CalcTextSizeA(theme.small->FontSize, 1e6F, 0, word);
  const float middle = (low.x + high.x) / 2, used = sign_size.y + word_size.y + theme.em * 0.05F;
  const float y = std::round(low.y + (high.y - low.y - used) / 2);
  list.AddText(theme.title, theme.title->FontSize, {std::round(middle - sign_size.x / 2), y}, ink, sign);
  list.AddText(theme.small, theme.small->FontSize,
               {std::round(middle - word_size.x / 2), std::round(y + sign_size.y + theme.em * 0.05F)}, ink,
               word);
  return clicked;
}

// The pages that found no room.
void more_pages(const Ui& ui, std::span<const PageEntry> rest, float top, float height) {
  const bool inside = ui.state.panel_open && std::any_of(rest.begin(), rest.end(), [&](const PageEntry& e) {
                        return e.page == ui.state.page;
                      });
  if (rail_button(ui, "\u22EF", "More", inside, top, height)) ImGui::OpenPopup("more pages");
  const ImVec2 corner = ImGui::GetItemRectMax();
  ImGui::SetNextWindowPos(
      {corner.x - static_cast<float>(ui.layout.rail.width) - ui.theme.em * 0.3F, corner.y}, ImGuiCond_Always,
      {1, 1});
  if (!ImGui::BeginPopup("more pages")) return;
  for (const PageEntry& entry : rest)
    if (ImGui::Selectable((std::string(entry.sign) + "   " + entry.word).c_str(), entry.page == ui.state.page,
                          0, {ui.theme.em * 10, ui.theme.row(2.0F)}))
      ui.push(ShowPage{entry.page});
  ImGui::EndPopup();
}

}  // namespace

void draw_page_menu(const Ui& ui, float width, float height) {
  const Theme& theme = ui.theme;
  const PageEntry& open = entry_of(ui.state.page);
  const std::string label =
      std::string("\u2630  ") + (ui.state.panel_open ? open.word : "Map") + "###page menu";
  ImGui::PushStyleColor(ImGuiCol_Button, im(theme.ink.bar_field));
  ImGui::PushStyleColor(ImGuiCol_ButtonHovered, im(theme.ink.bar_field));
  ImGui::PushStyleColor(ImGuiCol_ButtonActive, im(theme.ink.bar_field));
  ImGui::PushStyleColor(ImGuiCol_Text, im(theme.ink.bar_text));
  ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, ImVec2(0, 0));
  const bool tapped = ImGui::Button(label.c_str(), {width, height});
  tell_target("pages");
  ImGui::PopStyleVar();
  ImGui::PopStyleColor(4);
  if (tapped) ImGui::OpenPopup("all pages");
  const ImVec2 low = ImGui::GetItemRectMin();
  const float below = ImGui::GetItemRectMax().y + theme.em * 0.2F;
  ImGui::SetNextWindowPos({low.x, below}, ImGuiCond_Always);
  ImGui::SetNextWindowSizeConstraints({0, 0}, {1e6F, ImGui::GetIO().DisplaySize.y - below - theme.em * 0.4F});
  if (!ImGui::BeginPopup("all pages")) return;
  const ImVec2 line{theme.em * 10, theme.row(2.0F)};
  if (ImGui::Selectable("\u25B1   Map", !ui.state.panel_open, 0, line)) ui.push(ShowPanel{false});
  for (const PageEntry& entry : pages())
    if (ImGui::Selectable((std::string(entry.sign) + "   " + entry.word).c_str(),
                          ui.state.panel_open && entry.page == ui.state.page, 0, line))
      ui.push(ShowPage{entry.page});
  ImGui::EndPopup();
}

void draw_rail(const Ui& ui) {
  if (ui.layout.rail.width <= 0) return;
  ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, ImVec2(0, 0));
  begin_part("rail", ui.layout.rail, ui.theme.ink.bar);
  ImGui::PopStyleVar();
  const auto all = pages();
  const auto height = static_cast<float>(ui.layout.rail.height);
  const float cell = ui.theme.row(kCell_ems);
  const auto room = static_cast<std::size_t>(std::max(2.0F, std::floor(height / cell)));
  const std::size_t shown =
      all.size() + 1 <= room ? all.size() : room - 2;  // the map before them, "more" behind
  if (rail_button(ui, "\u25B1", "Map", !ui.state.panel_open, 0, cell)) ui.push(ShowPanel{false});
  float top = cell;
  for (const PageEntry& entry : all.first(shown)) {
    const bool on = ui.state.panel_open && ui.state.page == entry.page;
    if (rail_button(ui, entry.sign, entry.word, on, top, cell)) ui.push(ShowPage{entry.page});
    top += cell;
  }
  if (shown < all.size()) more_pages(ui, all.subspan(shown), top, cell);
  ImGui::End();
}

}  // namespace brookmark::viewer
