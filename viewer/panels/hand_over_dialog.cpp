// Handing over: what the file is to be, what of the survey may leave, and what stays at home, before anything is written.
#include "viewer/panels/desk_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

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
  if (!begin_chooser(ui.theme, "##layers", shown, ImGuiComboFlags_HeightLarge)) return;
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

void draw_hand_over_dialog(const Ui& ui) {
  Dialog next = ui.state.desk.dialog;
  if (begin_card(ui, "hand over", 44)) ui.push(CloseDialog{});
  {
    const FontScope font(ui.theme.title);
    text("Hand over");
  }
  draw_what_counts(ui, "Sites with their class by ");
  const Form* form = form_chooser(ui, next);
  if (form) layer_chooser(ui, *form, next);
  draw_target(ui, next, {".gpkg", ".geojson", ".csv", ".fgb", ".kml", ".gpx", ".zip"}, "name.gpkg");
  if (form && form->own_system) {
    text_field(ui, "Coordinates in", next.crs, "EPSG:number; empty for WGS 84");
    if (const auto& leaving = ui.state.desk.leaving; leaving && !leaving->crs_said.empty())
      notice(ui.theme, as_sentence(leaving->crs_said));
  }
  text_field(ui, "Licence, in words or as an address", next.licence, "empty: it says that none was stated");
  draw_rules_and_foot(ui, next, "Write the file");
}

}  // namespace brookmark::viewer
