// What leaves the pages "Where" and "Clean" as files: the field sheet of a round, and suggested spots.
#include <algorithm>
#include <array>

#include "viewer/panels/desk_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"

namespace brookmark::viewer {
namespace {

// The button writes the ending.
template <std::size_t N>
void form_chooser(const Ui& ui, Dialog& next, const std::array<const char*, N>& words,
                  const std::array<const char*, N>& endings) {
  int form = -1;
  for (std::size_t i = 0; i < N; ++i)
    if (next.name.ends_with(endings[i])) form = static_cast<int>(i);
  const int chosen = choices(ui.theme, "form", words, form, ImGui::GetContentRegionAvail().x);
  if (chosen < 0) return;
  const std::size_t dot = next.name.rfind('.');
  next.name = next.name.substr(0, dot == std::string::npos ? next.name.size() : dot) +
              endings[static_cast<std::size_t>(chosen)];
}

}  // namespace

void draw_sheet_dialog(const Ui& ui) {
  static constexpr std::array<const char*, 2> kWords{"On paper (PDF)", "A page (HTML)"},
      kEndings{".pdf", ".html"};
  Dialog next = ui.state.desk.dialog;
  if (begin_card(ui, "sheet", 42)) ui.push(CloseDialog{});
  {
    const FontScope font(ui.theme.title);
    text("Field sheet");
  }
  muted(
      "One page to take along: the order, kit and vessels for each stop, a tally to fill in, the cautions.");
  form_chooser(ui, next, kWords, kEndings);
  file_picker(ui, next, {".pdf", ".html"}, 6);
  text_field(ui, "File", next.name, "round.pdf");
  text_field(ui, "Whom to call, and when they expect you back", next.call, "left empty: a line to fill in");
  ImGui::Checkbox("Replace a file already there", &next.replace);
  if (next != ui.state.desk.dialog) ui.push(ChangeDialog{next});
  card_foot(ui, "Write the sheet", missing_in(ui.state, ui.model));
  end_card(ui);
}

void draw_spots_dialog(const Ui& ui) {
  static constexpr std::array<const char*, 4> kWords{"GPX", "GeoJSON", "GeoPackage", "CSV"},
      kEndings{".gpx", ".geojson", ".gpkg", ".csv"};
  Dialog next = ui.state.desk.dialog;
  if (begin_card(ui, "spots", 42)) ui.push(CloseDialog{});
  {
    const FontScope font(ui.theme.title);
    text("Suggested spots as a file");
  }
  muted(
      "Those that stand on the page now, each with its reason, what lies around it and what to ask before "
      "going.");
  form_chooser(ui, next, kWords, kEndings);
  file_picker(ui, next, {".gpx", ".geojson", ".gpkg", ".csv"}, 6);
  text_field(ui, "File", next.name, "spots.gpx");
  ImGui::Checkbox("Replace a file already there", &next.replace);
  if (next != ui.state.desk.dialog) ui.push(ChangeDialog{next});
  card_foot(ui, "Write the file", missing_in(ui.state, ui.model));
  end_card(ui);
}

}  // namespace brookmark::viewer
