// The page of edits: the tools, what is being changed, and what was changed and can be taken back.
#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "core/base/date.hpp"
#include "core/base/text.hpp"
#include "viewer/map/position_words.hpp"
#include "viewer/panels/desk_internal.hpp"
#include "viewer/panels/entry_fields_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

constexpr std::size_t kEditsListed = 40;

void tools(const Ui& ui) {
  struct Tool {
    EditTool tool;
    const char* words;
  };
  static constexpr Tool kTools[] = {{EditTool::kAddSite, "Add a site"},
                                    {EditTool::kAddOutfall, "Add an outfall"},
                                    {EditTool::kDrawReach, "Draw a reach"},
                                    {EditTool::kFixReach, "Correct a reach"}};
  const float room = ImGui::GetContentRegionAvail().x, gap_px = ImGui::GetStyle().ItemSpacing.x;
  const float each = std::floor((room - gap_px) / 2), high = ui.theme.row(2.2F);
  for (std::size_t i = 0; i < std::size(kTools); ++i) {
    if (i % 2 == 1) ImGui::SameLine();
    if (push_button(ui.theme, kTools[i].words, {each, high})) ui.push(TakeTool{kTools[i].tool});
  }
  gap(ui.theme, 0.3F);
  if (!ui.state.site) {
    small_muted(ui.theme, "To move or retire a site, tap on it first.");
    return;
  }
  const std::size_t i = ui.state.site->value();
  const core::SiteColumns& sites = ui.snapshot().sites;
  heading(ui.theme, "Site " + std::string(sites.code[i]) + "  " + std::string(sites.name[i]));
  if (push_button(ui.theme, "Move it", {each, high})) ui.push(TakeTool{EditTool::kMoveSite});
  ImGui::SameLine();
  const bool retired = sites.status[i] == core::SiteStatus::kRetired;
  if (push_button(ui.theme, retired ? "Make it active again" : "Retire it", {each, high}))
    ui.push(SetStatus{retired ? core::SiteStatus::kActive : core::SiteStatus::kRetired});
  if (sites.status[i] == core::SiteStatus::kProposed && push_button(ui.theme, "Make it active", {each, high}))
    ui.push(SetStatus{core::SiteStatus::kActive});
}

template <class Kind>
void kind_box(const Ui& ui, const char* label, Kind now, std::size_t count, const char* (*name)(Kind),
              const std::function<void(Kind)>& take) {
  small_muted(ui.theme, label);
  ImGui::SetNextItemWidth(ImGui::GetContentRegionAvail().x);
  if (!begin_chooser(ui.theme, (std::string("##") + label).c_str(), now == Kind{} ? "not known" : name(now),
                     ImGuiComboFlags_HeightLargest))
    return;
  for (std::size_t k = 0; k < count; ++k) {
    const auto kind = static_cast<Kind>(k);
    if (ImGui::Selectable(k == 0 ? "not known" : name(kind), kind == now, 0, {0, ui.theme.row(1.8F)}))
      take(kind);
  }
  ImGui::EndCombo();
}

void code_and_name(const Ui& ui, const MapEdit& e) {
  const float room = ImGui::GetContentRegionAvail().x, gap_px = ImGui::GetStyle().ItemSpacing.x;
  const Typed code = field(ui, "##code", "Code", e.code, std::floor((room - gap_px) * 0.36F));
  if (code.words) ui.push(TypeEditCode{*code.words});
  ImGui::SameLine();
  const Typed name = field(ui, "##name", "Name", e.name, std::floor((room - gap_px) * 0.64F));
  if (name.words) ui.push(TypeEditName{*name.words});
  if (code.entered || name.entered) ui.push(StoreEdit{});
}

void take_typed_place(const Ui& ui, core::LonLat place) {
  ui.push(PlaceEdit{place});
  const core::PlanePoint at = ui.model.frame().to_plane(place);
  if (std::isfinite(at.x) && std::isfinite(at.y) && !ui.state.view.box.contains(ui.state.view.to_pixel(at)))
    ui.push(ShowArea{{at.x - 200, at.y - 200, at.x + 200, at.y + 200}});
  ui.desk.typed_place.clear();
  ui.desk.far_place.reset();
}

// Far from every site of the survey: asked back, for latitude and longitude are easily exchanged.
void far_place_question(const Ui& ui) {
  if (!ui.desk.far_place) return;
  const core::LonLat place = *ui.desk.far_place, exchanged{place.lat, place.lon};
  const auto& sites = ui.snapshot().sites.position;
  notice(ui.theme, position_in_words(place.lon, place.lat) + " is " +
                       distance_in_words(nearest_place_m(place, sites).value_or(0)) +
                       " from your nearest site. Are latitude and longitude exchanged?");
  const float width = ImGui::GetContentRegionAvail().x, high = ui.theme.row(2.2F);
  if (core::is_valid(exchanged) && nearest_place_m(exchanged, sites).value_or(0) <= kFarPlace_m &&
      push_button(ui.theme, "Exchange them", {width, high}))
    take_typed_place(ui, exchanged);
  else if (push_button(ui.theme, "No, it is there", {width, high}))
    take_typed_place(ui, place);
}

// For a place known in figures, and for a survey whose map is still empty.
void place_field(const Ui& ui) {
  std::string& words = ui.desk.typed_place;
  const auto place = read_position(words);
  const Typed typed = field(ui, "##place", "Or latitude, longitude in degrees, then Enter", words,
                            ImGui::GetContentRegionAvail().x, !words.empty() && !place);
  if (typed.words) {
    words = *typed.words;
    ui.desk.far_place.reset();
  }
  small_muted(ui.theme, "Like 45.0010 N 30.0020 W, or 45.0010, -30.0020: latitude first.");
  if (typed.entered && place) {
    if (nearest_place_m(*place, ui.snapshot().sites.position).value_or(0) > kFarPlace_m)
      ui.desk.far_place = place;
    else
      take_typed_place(ui, *place);
  }
  far_place_question(ui);
}

void place_words(const Ui& ui, const MapEdit& e) {
  if (e.points.empty()) {
    muted("No place yet: tap on the map.");
    place_field(ui);
    return;
  }
  const EditVertex& v = e.points.front();
  std::string words = position_in_words(v.at.lon, v.at.lat);
  if (e.from) words += ", " + distance_in_words(core::geodesic_m(*e.from, v.at)) + " from where it stands";
  muted(words);
  if (e.metres_per_pixel > 0)
    small_muted(ui.theme, "One pixel of the map is " + core::format_fixed(e.metres_per_pixel, 1) +
                              " m; zoom in for a better place. Its accuracy is left open.");
  place_field(ui);
}

void reach_words(const Ui& ui, const MapEdit& e) {
  core::Line line;
  for (const EditVertex& v : e.points) line.push_back(v.at);
  muted(count_of(line.size(), "point", "points") +
        (line.size() > 1 ? ", " + distance_in_words(core::length_m(line)) : "") +
        ", drawn downstream: from its first point to its last.");
  for (std::size_t i = 0; i < e.points.size(); ++i)
    if (!e.points[i].joined.empty())
      small_muted(ui.theme, "Point " + std::to_string(i + 1) + " was put onto " + e.points[i].joined + ", " +
                                core::format_fixed(e.points[i].joined_m, 1) + " m away.");
  const Typed name = field(ui, "##name", "Name of the water", e.name, ImGui::GetContentRegionAvail().x);
  if (name.words) ui.push(TypeEditName{*name.words});
  bool two_way = e.two_way;
  if (ImGui::Checkbox("Water goes either way (canal, level ditch)", &two_way)) ui.push(SetTwoWay{two_way});
  const float room = ImGui::GetContentRegionAvail().x, gap_px = ImGui::GetStyle().ItemSpacing.x;
  const float each = std::floor((room - gap_px) / 2), high = ui.theme.row(2.0F);
  if (push_button(ui.theme, "Reverse its direction", {each, high})) ui.push(TurnReach{});
  ImGui::SameLine();
  ImGui::BeginDisabled(!e.chosen);
  if (push_button(ui.theme, "Remove the point", {each, high})) ui.push(TakeOutVertex{});
  ImGui::EndDisabled();
}

// What is in hand.
void in_hand(const Ui& ui) {
  const MapEdit& e = ui.state.edit;
  static constexpr const char* kTitles[] = {"",          "New site",       "Move site", "New outfall",
                                            "New reach", "Correct a reach"};
  heading(ui.theme, std::string(kTitles[static_cast<std::size_t>(e.tool)]) +
                        (e.tool == EditTool::kMoveSite ? " " + e.code : ""));
  if (!e.trouble.empty()) notice(ui.theme, e.trouble);
  switch (e.tool) {
    case EditTool::kAddSite:
      place_words(ui, e);
      code_and_name(ui, e);
      kind_box<core::WaterKind>(ui, "Kind of water", e.water_kind, 9, core::water_kind_name,
                                [&](core::WaterKind k) { ui.push(ChooseEditWater{k}); });
      break;
    case EditTool::kAddOutfall:
      place_words(ui, e);
      code_and_name(ui, e);
      kind_box<core::OutfallKind>(ui, "What enters there", e.outfall_kind, 6, core::outfall_kind_name,
                                  [&](core::OutfallKind k) { ui.push(ChooseEditOutfall{k}); });
      break;
    case EditTool::kMoveSite:
      place_words(ui, e);
      break;
    case EditTool::kDrawReach:
      reach_words(ui, e);
      break;
    case EditTool::kFixReach:
      if (e.key.empty())
        muted("Tap the line on the map.");
      else
        reach_words(ui, e);
      break;
    case EditTool::kNone:
      break;
  }
  gap(ui.theme, 0.3F);
  const float room = ImGui::GetContentRegionAvail().x, gap_px = ImGui::GetStyle().ItemSpacing.x;
  const float each = std::floor((room - 2 * gap_px) / 3), high = ui.theme.row(2.4F);
  if (push_button(ui.theme, "Store", {each, high})) ui.push(StoreEdit{});
  ImGui::SameLine();
  ImGui::BeginDisabled(e.before.empty());
  if (push_button(ui.theme, "Undo", {each, high})) ui.push(StepBackEdit{});
  ImGui::EndDisabled();
  ImGui::SameLine();
  if (push_button(ui.theme, "Cancel", {each, high})) ui.push(TakeTool{EditTool::kNone});
  if (e.tool == EditTool::kFixReach && !e.key.empty() &&
      push_button(ui.theme, "Remove this reach", {room, high}))
    ui.push(RemoveReach{});
}

// "5 January 2026, 12:00 UTC"
std::string time_of(const core::EditLogEntry& edit) {
  const auto day = core::parse_date(edit.at_utc.substr(0, 10));
  return (day ? short_date(*day) : edit.at_utc.substr(0, 10)) + ", " + edit.at_utc.substr(11, 5) + " UTC";
}

// What takes much back, or what somebody may no longer have in mind, is asked back.
bool asks_back(const core::EditLogEntry& edit) {
  return edit.kind.starts_with("import") || edit.kind == "take changes" ||
         edit.at_utc.substr(0, 10) != core::now_utc().substr(0, 10);
}

// "5027 records from counts.csv" -> "5027 records"; empty where no number begins it.
std::string amount_of(const core::EditLogEntry& edit) {
  if (edit.summary.empty() || edit.summary[0] < '0' || edit.summary[0] > '9') return {};
  return edit.summary.substr(0, edit.summary.find(" from "));
}

void undo_part(const Ui& ui, const core::EditLogEntry& newest) {
  const float width = ImGui::GetContentRegionAvail().x, high = ui.theme.row(2.2F);
  small_muted(ui.theme, "Newest: " + newest.kind + ", " + newest.summary + " \u00B7 " + time_of(newest));
  if (ui.desk.undo_asked != newest.number) {
    if (!push_button(ui.theme, "Undo the newest edit", {width, high})) return;
    if (asks_back(newest))
      ui.desk.undo_asked = newest.number;
    else
      ui.push(UndoEdit{});
    return;
  }
  const std::string amount = amount_of(newest);
  notice(ui.theme, "This takes back: " + newest.summary + ".");
  if (push_button(ui.theme, amount.empty() ? "Take it back" : ("Take back " + amount + "?").c_str(),
                  {width, high})) {
    ui.desk.undo_asked = 0;
    ui.push(UndoEdit{});
  }
  if (push_button(ui.theme, "Leave it", {width, high})) ui.desk.undo_asked = 0;
}

// What was taken back last, unless another edit was made since.
void redo_part(const Ui& ui) {
  const auto& edits = ui.model.session().edits;
  const auto next =
      std::find_if(edits.begin(), edits.end(), [](const core::EditLogEntry& e) { return e.redo_next; });
  if (next == edits.end()) return;
  gap(ui.theme, 0.2F);
  small_muted(ui.theme, "Undone last: " + next->kind + ", " + next->summary);
  if (push_button(ui.theme, "Redo it", {ImGui::GetContentRegionAvail().x, ui.theme.row(2.2F)}))
    ui.push(RedoEdit{});
}

void list_of_edits(const Ui& ui) {
  heading(ui.theme, "Edits, newest first");
  const auto& edits = ui.model.session().edits;
  const auto newest =
      std::find_if(edits.rbegin(), edits.rend(), [](const core::EditLogEntry& e) { return !e.undone; });
  if (newest == edits.rend())
    muted("Nothing to undo.");
  else if (newest->undoable)
    undo_part(ui, *newest);
  else
    small_muted(ui.theme, "The newest edit was too large to be undone.");
  redo_part(ui);
  std::size_t listed = 0;
  for (auto at = edits.rbegin(); at != edits.rend() && listed < kEditsListed; ++at, ++listed) {
    gap(ui.theme, 0.15F);
    if (at->undone)
      muted(at->summary + " (undone)");
    else
      wrapped(at->summary);
    small_muted(ui.theme, at->kind + " \u00B7 " + time_of(*at));
  }
  if (edits.size() > kEditsListed) {
    gap(ui.theme, 0.2F);
    small_muted(ui.theme, "and " + std::to_string(edits.size() - kEditsListed) + " older ones.");
  }
}

}  // namespace

void draw_edit_page(const Ui& ui) {
  if (ui.model.session().path.empty())
    notice(ui.theme, "This survey is not in a file, so it can only be looked at.");
  if (ui.state.edit.tool == EditTool::kNone) {
    if (!ui.state.edit.trouble.empty()) notice(ui.theme, ui.state.edit.trouble);
    tools(ui);
  } else {
    in_hand(ui);
  }
  rule(ui.theme);
  list_of_edits(ui);
}

}  // namespace brookmark::viewer
