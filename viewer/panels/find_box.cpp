// The find box: type, and take what is offered.
#include <imgui_internal.h>

#include <algorithm>
#include <cmath>

#include "viewer/actions/find_place.hpp"
#include "viewer/panels/desk_internal.hpp"
#include "viewer/panels/pages_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"

namespace brookmark::viewer {
namespace {

constexpr std::size_t kMostHits = 60;

const char* sign_of(FindHit::Kind kind) {
  switch (kind) {
    case FindHit::Kind::kSite:
      return "\u25C9";
    case FindHit::Kind::kOutfall:
      return "\u25A0";
    case FindHit::Kind::kTaxon:
      return "\u223F";
    case FindHit::Kind::kWater:
      return "\u2248";
    case FindHit::Kind::kPlace:
      return "\u2295";
    case FindHit::Kind::kCommand:
      break;
  }
  return "\u25B8";
}

// Places by their coordinates first, then what bears the name.
std::vector<FindHit> hits_of(const Ui& ui, const Finding& find) {
  if (find.taxon) return ui.desk.index.places_of(ui.model, *find.taxon, kMostHits);
  std::vector<FindHit> hits = ui.desk.index.search(find.text, kMostHits);
  std::vector<FindHit> places = place_hits(find.text, ui.model, ui.state.settings.positions, ui.grid);
  // That words are no place is told only where they are no name either.
  if (!hits.empty() && !places.empty() && places.front().actions.empty()) return hits;
  hits.insert(hits.begin(), places.begin(), places.end());
  return hits;
}

void take(const Ui& ui, const FindHit& hit) {
  if (hit.actions.empty()) return;
  if (hit.kind != FindHit::Kind::kTaxon) ui.push(CloseFind{});
  for (const Action& action : hit.actions) ui.push(action);
  // What was under the keys closes with the box: no frame may stand around whatever ImGui finds next.
  ImGuiContext& context = *ImGui::GetCurrentContext();
  if (context.NavWindow != nullptr) ImGui::SetNavID(0, ImGuiNavLayer_Main, 0, {});
  context.NavDisableHighlight = true;
}

}  // namespace

std::vector<FindCommand> window_commands(const State& state) {
  std::vector<FindCommand> commands;
  const auto add = [&](std::string title, std::string below, Action action) {
    commands.push_back({std::move(title), std::move(below), {std::move(action)}});
  };
  for (const PageEntry& entry : pages()) add(entry.word, entry.what, ShowPage{entry.page});
  add("Map", "the map alone", ShowPanel{false});
  add("Show everything", "fit the map to the survey", Fit{});
  const auto add_tool = [&](std::string title, EditTool tool) {
    commands.push_back({std::move(title),
                        state.map.found ? "where the cross stands" : "with a tap on the map",
                        {ShowPage{Page::kEdit}, TakeTool{tool}}});
  };
  add_tool("Add a site", EditTool::kAddSite);
  add_tool("Add an outfall", EditTool::kAddOutfall);
  add("Import", "sites, samples, records, watercourses ... from a file", OpenDialog{DialogKind::kImport});
  add("Take a partner's changes", "from a GeoPackage that came back", OpenDialog{DialogKind::kChanges});
  add("Hand over", "write a GeoPackage, GeoJSON, CSV, FlatGeobuf, KML, GPX or Darwin Core file",
      OpenDialog{DialogKind::kHandOver});
  add("Report", "on the survey, a catchment or a site, as a page or a PDF", OpenDialog{DialogKind::kReport});
  add("Open a survey", "another file in this window", OpenDialog{DialogKind::kOpen});
  add("New survey", "an empty file", OpenDialog{DialogKind::kNew});
  add("Demo", "the invented catchment", OpenDemo{});
  add("Undo", "the page of edits: the newest can be taken back", ShowPage{Page::kEdit});
  add("Redo", "the page of edits: what was taken back last can be done again", ShowPage{Page::kEdit});
  add("Guided look", "the window in two minutes", StartGuide{});
  for (std::size_t i = 0; i < kLookCount; ++i) {
    Settings next = state.settings;
    next.look = static_cast<Look>(i);
    add(std::string("Look: ") + look_name(next.look), "colours of the window", ChangeSettings{next});
  }
  Settings touch = state.settings;
  touch.touch = !touch.touch;
  add(touch.touch ? "Touch on" : "Touch off", "targets for a fingertip", ChangeSettings{touch});
  return commands;
}

void draw_find(const Ui& ui) {
  const Finding& find = ui.state.desk.find;
  if (!find.open) return;
  if (begin_card(ui, "find", 36)) ui.push(CloseFind{});
  const float em = ui.theme.em;
  Finding next = find;
  if (ImGui::IsWindowAppearing()) ImGui::SetKeyboardFocusHere();
  if (text_field(ui, "Find sites, waters, animals, places, commands", next.text,
                 "a few letters, or latitude, longitude", true)) {
    next.taxon.reset();
    next.row = 0;
  }
  const std::vector<FindHit> hits = hits_of(ui, next);
  const auto pressed = [](ImGuiKey key) { return ImGui::IsKeyPressed(ImGui::GetKeyIndex(key), true); };
  if (pressed(ImGuiKey_DownArrow) && next.row + 1 < hits.size()) ++next.row;
  if (pressed(ImGuiKey_UpArrow) && next.row > 0) --next.row;
  next.row = std::min(next.row, hits.empty() ? 0 : hits.size() - 1);
  const bool moved = next.row != find.row;
  const float row = ui.theme.row(2.7F);
  ImGui::BeginChild("hits", {0, std::round(em * 19)}, false);
  for (std::size_t i = 0; i < hits.size(); ++i) {
    const FindHit& hit = hits[i];
    if (hit.kind == FindHit::Kind::kPlace &&
        hit.actions.empty()) {  // why not, and how to write it, is read whole
      ImGui::TextUnformatted(hit.title.c_str());
      muted(hit.below);
      continue;
    }
    ImGui::PushID(static_cast<int>(i));
    const DrawnRow drawn =
        words_row(ui.theme, "##hit", i == next.row, {hit.title, {}, hit.below, nullptr, {}}, em * 1.9F, row);
    if (drawn.tapped) take(ui, hit);
    if (i == next.row && moved) ImGui::SetScrollHereY();
    put_words(*ImGui::GetWindowDrawList(), ui.theme.body,
              {drawn.at.x + em * 0.3F, drawn.at.y + std::round((drawn.height - em) / 2)}, 1e6F,
              ui.theme.ink.accent, sign_of(hit.kind));
    ImGui::PopID();
  }
  if (hits.empty()) muted(next.taxon ? "Not found in any sample." : "Nothing of that name in this survey.");
  ImGui::EndChild();
  if (ImGui::Button("Close", {em * 7, ui.theme.row(2.2F)})) ui.push(CloseFind{});
  const bool entered = pressed(ImGuiKey_Enter) || pressed(ImGuiKey_KeyPadEnter);
  if (next.text != find.text || next.row != find.row || next.taxon != find.taxon) ui.push(ChangeFind{next});
  if (entered && !hits.empty()) take(ui, hits[next.row]);
  end_card(ui);
}

}  // namespace brookmark::viewer
