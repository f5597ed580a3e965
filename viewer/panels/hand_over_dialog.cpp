// Handing over: what the file is to be, what of the survey may leave, and what stays at home, before anything is written.
#include <algorithm>
#include <cmath>

#include "viewer/panels/desk_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

constexpr std::size_t kMostHidden = 300;

struct Form {
  const char* ending;
  const char* name;
  bool several_layers, one_layer, own_system;
};
constexpr Form kForms[] = {
    {".gpkg", "GeoPackage", true, false, true},  {".geojson", "GeoJSON", false, true, false},
    {".csv", "CSV", false, true, false},         {".fgb", "FlatGeobuf", false, true, true},
    {".kml", "KML", false, true, false},         {".gpx", "GPX", false, false, false},
    {".zip", "Darwin Core", false, false, false}};

// What the ending says; the button writes the ending.
const Form* form_chooser(const Ui& ui, Dialog& next) {
  small_muted(ui.theme, "As");
  const char* names[std::size(kForms)];
  int form = -1;
  for (std::size_t i = 0; i < std::size(kForms); ++i) {
    names[i] = kForms[i].name;
    if (next.name.ends_with(kForms[i].ending)) form = static_cast<int>(i);
  }
  if (const int i = choices(ui.theme, "form", names, form, ImGui::GetContentRegionAvail().x); i >= 0) {
    const std::size_t dot = next.name.rfind('.');
    next.name = next.name.substr(0, dot == std::string::npos ? next.name.size() : dot) +
                kForms[static_cast<std::size_t>(i)].ending;
    next.layers.clear();
    form = i;
  }
  if (form < 0) return nullptr;
  for (const geodata::ExportFormat& known : geodata::export_formats())
    if (next.name.ends_with(known.ending)) small_muted(ui.theme, known.what);
  return &kForms[form];
}

void layer_chooser(const Ui& ui, const Form& form, Dialog& next) {
  if (!form.several_layers && !form.one_layer) return;
  small_muted(ui.theme, form.one_layer ? "Layer" : "Layers");
  std::string shown = form.one_layer ? "sites" : "all of them";
  if (!next.layers.empty()) {
    shown.clear();
    for (const std::string& name : next.layers) shown += (shown.empty() ? "" : ", ") + name;
  }
  ImGui::SetNextItemWidth(-1);
  const float room = ImGui::GetContentRegionAvail().x - ui.theme.em * 3;
  if (!ImGui::BeginCombo("##layers", fitted(shown, room).c_str(), ImGuiComboFlags_HeightLarge)) return;
  for (const std::string& name : geodata::export_layer_names()) {
    const bool on = next.layers.contains(name) || (form.one_layer && next.layers.empty() && name == "sites");
    const auto flags = form.several_layers ? ImGuiSelectableFlags_DontClosePopups : ImGuiSelectableFlags_None;
    if (!ImGui::Selectable(name.c_str(), on, flags, {0, ui.theme.row(1.8F)})) continue;
    if (form.one_layer)
      next.layers = {name};
    else if (!next.layers.erase(name))
      next.layers.insert(name);
  }
  ImGui::EndCombo();
}

}  // namespace

void draw_what_stays(const Ui& ui) {
  rule(ui.theme);
  const auto& hidden = ui.state.desk.hidden;
  if (!hidden) {
    heading(ui.theme, "What stays at home");
    muted("Working it out \u2026");
    ui.shown.moving = ui.state.desk.running.has_value();
    return;
  }
  heading(ui.theme, hidden->empty() ? "Nothing of it stays at home"
                                    : "Left out or moved: " + count_of(hidden->size(), "thing", "things"));
  const FontScope small(ui.theme.small);
  for (std::size_t i = 0; i < std::min(hidden->size(), kMostHidden); ++i) {
    const core::HiddenItem& item = (*hidden)[i];
    wrapped(item.layer + (item.code.empty() ? "" : ", " + item.code) + ": " + item.what);
    ImGui::Indent(ui.theme.em);
    muted(as_sentence("because " + item.why));
    ImGui::Unindent(ui.theme.em);
  }
  if (hidden->size() > kMostHidden)
    muted("and " + std::to_string(hidden->size() - kMostHidden) + " more of the same kinds.");
  muted(
      "Kit, cleaning, live samples, risks, photos, background maps, ground and these rules never leave. The "
      "rules are kept in the survey file; this window follows them and cannot change them.");
}

void draw_hand_over_dialog(const Ui& ui) {
  Dialog next = ui.state.desk.dialog;
  if (begin_card(ui, "hand over", 44)) ui.push(CloseDialog{});
  {
    const FontScope font(ui.theme.title);
    text("Hand over");
  }
  if (ui.assessment) {
    const core::Method& method = *ui.assessment->method;
    muted("Sites with their class by " + ui.assessment->metric_info().title + " (" + method.title + ")" +
          (ui.state.date ? ", up to " + date_in_words(*ui.state.date) : "") + ".");
    if (ui.state.is_narrowed())
      small_muted(ui.theme,
                  "Seasons and window of days chosen below the map are not used here: all samples up to the "
                  "day count.");
    if (method.confirmed != core::Confirmed::kDocument)
      notice(ui.theme, confirmed_sentence(method.confirmed));
  }
  const Form* form = form_chooser(ui, next);
  if (form) layer_chooser(ui, *form, next);
  file_picker(ui, next, {".gpkg", ".geojson", ".csv", ".fgb", ".kml", ".gpx", ".zip"}, 6);
  text_field(ui, "File", next.name, "name.gpkg");
  ImGui::Checkbox("Replace a file already there", &next.replace);
  if (form && form->own_system) text_field(ui, "Coordinates in", next.crs, "EPSG:number; empty for WGS 84");
  text_field(ui, "Licence, in words or as an address", next.licence, "empty: it says that none was stated");
  ImGui::Checkbox("Name people who agreed", &next.people);
  text_field(ui, "Least grid cell of sites that are shared blurred", next.cell, "1 km");
  draw_what_stays(ui);
  if (next != ui.state.desk.dialog) ui.push(ChangeDialog{next});
  card_foot(ui, "Write the file", missing_in(ui.state, ui.model));
  end_card(ui);
}

}  // namespace brookmark::viewer
