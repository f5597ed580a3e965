// Where a survey comes from: nothing open yet, one to open, a new one.
#include <cmath>
#include <filesystem>

#include "viewer/panels/desk_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"

namespace brookmark::viewer {
namespace {

// A big button with a title and a line below. True when tapped.
bool big_choice(const Ui& ui, const char* sign, const char* title, const char* below) {
  const float em = ui.theme.em, width = ImGui::GetContentRegionAvail().x;
  const float room = width - em * 4.4F;
  const float size = ui.theme.small->FontSize;
  const float below_height = ui.theme.small->CalcTextSizeA(size, 1e6F, room, below).y;
  const float height = std::max(ui.theme.row(3.4F), std::round(below_height + em * 2.3F));
  ImGui::PushStyleColor(ImGuiCol_Button, im(ui.theme.ink.raised));
  ImGui::PushStyleColor(ImGuiCol_Border, im(ui.theme.ink.edge));
  ImGui::PushStyleVar(ImGuiStyleVar_FrameBorderSize, 1);
  ImGui::PushID(title);
  const bool tapped = ImGui::Button("##choice", {width, height});
  ImGui::PopID();
  ImGui::PopStyleVar();
  ImGui::PopStyleColor(2);
  const ImVec2 at = ImGui::GetItemRectMin();
  ImDrawList& list = *ImGui::GetWindowDrawList();
  const float big = ui.theme.title->FontSize * 1.3F;
  const ImVec2 sign_size = ui.theme.title->CalcTextSizeA(big, 1e6F, 0, sign);
  list.AddText(
      ui.theme.title, big,
      {std::round(at.x + em * 1.9F - sign_size.x / 2), std::round(at.y + (height - sign_size.y) / 2)},
      im(ui.theme.ink.accent), sign);
  const float top = std::round(at.y + (height - below_height - em * 1.35F) / 2);
  list.AddText(ui.theme.strong, em, {at.x + em * 3.6F, top}, im(ui.theme.ink.text), title);
  list.AddText(ui.theme.small, size, {at.x + em * 3.6F, top + std::round(em * 1.35F)}, im(ui.theme.ink.muted),
               below, nullptr, room);
  return tapped;
}

void draw_open_dialog(const Ui& ui) {
  Dialog next = ui.state.desk.dialog;
  if (begin_card(ui, "open a survey", 40)) ui.push(CloseDialog{});
  {
    const FontScope font(ui.theme.title);
    text("Open a survey");
  }
  file_picker(ui, next, {".brook"}, 14);
  text_field(ui, "Survey file", next.name, "name.brook");
  if (next != ui.state.desk.dialog) ui.push(ChangeDialog{next});
  card_foot(ui, ui.state.desk.trouble.empty() ? "Open" : "Try again", missing_in(ui.state, ui.model));
  end_card(ui);
}

void draw_new_dialog(const Ui& ui) {
  Dialog next = ui.state.desk.dialog;
  if (begin_card(ui, "a new survey", 40)) ui.push(CloseDialog{});
  {
    const FontScope font(ui.theme.title);
    text("A new survey");
  }
  text_field(ui, "What it is called", next.title, "the catchment, the brook, the ponds");
  text_field(ui, "Coordinate system for display and exchange", next.crs, "EPSG:number; empty for degrees");
  file_picker(ui, next, {".brook"}, 9);
  text_field(ui, "File", next.name, "name.brook");
  if (next != ui.state.desk.dialog) ui.push(ChangeDialog{next});
  card_foot(ui, "Create the survey", missing_in(ui.state, ui.model));
  end_card(ui);
}

}  // namespace

void draw_start_card(const Ui& ui) {
  begin_card(ui, "start", 34);
  {
    const FontScope font(ui.theme.title);
    text("Brookmark");
  }
  muted("Freshwater surveys in one file, from the field sheet to the map.");
  gap(ui.theme, 0.5F);
  if (!ui.state.desk.trouble.empty()) {
    alarm(ui.theme, ui.state.desk.trouble);
    gap(ui.theme, 0.4F);
  }
  if (big_choice(ui, "\u25C9", "See the demo",
                 "An invented catchment with six years of samples. Nothing there can be spoilt."))
    ui.push(OpenDemo{});
  if (big_choice(ui, "\u271A", "Begin a new survey",
                 "An empty file for your own sites; places and samples can be imported."))
    ui.push(OpenDialog{DialogKind::kNew});
  if (big_choice(ui, "\u25B8", "Open a survey",
                 "A .brook file that is already there. It can also be dropped on this window."))
    ui.push(OpenDialog{DialogKind::kOpen});
  end_card(ui);
}

void draw_dialogs(const Ui& ui) {
  switch (ui.state.desk.dialog.kind) {
    case DialogKind::kNone:
      return;
    case DialogKind::kStart:
      draw_start_card(ui);
      return;
    case DialogKind::kOpen:
      draw_open_dialog(ui);
      return;
    case DialogKind::kNew:
      draw_new_dialog(ui);
      return;
    case DialogKind::kImport:
      draw_import_dialog(ui);
      return;
    case DialogKind::kHandOver:
      draw_hand_over_dialog(ui);
      return;
    case DialogKind::kReport:
      draw_report_dialog(ui);
      return;
    case DialogKind::kChanges:
      draw_changes_dialog(ui);
      return;
    case DialogKind::kPhoto:
      draw_photo_dialog(ui);
      return;
    case DialogKind::kSheet:
      draw_sheet_dialog(ui);
      return;
    case DialogKind::kSpots:
      draw_spots_dialog(ui);
      return;
  }
}

}  // namespace brookmark::viewer
