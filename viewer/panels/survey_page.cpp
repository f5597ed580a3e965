// The survey as a whole: what it is, what goes in and out, what was done last.
#include <algorithm>
#include <cmath>

#include "viewer/panels/pages_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

constexpr std::size_t kMostEdits = 12;

void two_buttons(const Ui& ui, const char* left, Action on_left, const char* right, Action on_right) {
  const float width = std::floor((ImGui::GetContentRegionAvail().x - ImGui::GetStyle().ItemSpacing.x) / 2);
  if (push_button(ui.theme, left, {width, ui.theme.row(2.3F)})) ui.push(std::move(on_left));
  ImGui::SameLine();
  if (push_button(ui.theme, right, {width, ui.theme.row(2.3F)})) ui.push(std::move(on_right));
}

void edit_lines(const Ui& ui) {
  const auto& edits = ui.model.session().edits;
  heading(ui.theme, "Done last");
  if (edits.empty()) {
    small_muted(ui.theme, "Nothing has been changed in this file yet.");
    return;
  }
  const auto newest = std::find_if(edits.rbegin(), edits.rend(), [](const auto& e) { return !e.undone; });
  ImGui::BeginDisabled(newest == edits.rend() || !newest->undoable);
  if (ImGui::Button("Take back the newest", {ImGui::GetContentRegionAvail().x, ui.theme.row(2.2F)}))
    ui.push(UndoEdit{});
  ImGui::EndDisabled();
  std::size_t shown = 0;
  for (auto e = edits.rbegin(); e != edits.rend() && shown < kMostEdits; ++e, ++shown) {
    // "2025-10-07T08:30:00Z": the day is enough here.
    std::string words = e->at_utc.substr(0, 10) + "  " + e->summary;
    if (e->undone) words += " (taken back)";
    if (!e->undoable) words += " (cannot be taken back)";
    const FontScope small(ui.theme.small);
    if (e->undone)
      muted(words);
    else
      wrapped(words);
  }
  if (edits.size() > kMostEdits)
    small_muted(ui.theme, "and " + std::to_string(edits.size() - kMostEdits) +
                              " before; `brookmark log` lists them all.");
}

}  // namespace

void draw_survey_page(const Ui& ui) {
  const core::Snapshot& s = ui.snapshot();
  {
    const FontScope font(ui.theme.title);
    wrapped(s.survey.title.empty() ? "Untitled survey" : s.survey.title);
  }
  small_muted(ui.theme, ui.model.session().path.empty() ? "Not in a file" : ui.model.session().path.string());
  if (!ui.model.session().notice.empty()) notice(ui.theme, ui.model.session().notice);
  small_muted(ui.theme, count_of(s.sites.size(), "site", "sites") + ", " +
                            count_of(s.samples.size(), "sample", "samples") + ", " +
                            count_of(s.records.size(), "record", "records") + ", " +
                            count_of(s.reaches.size(), "reach", "reaches") + ", " +
                            count_of(s.outfalls.size(), "outfall", "outfalls"));
  gap(ui.theme, 0.3F);
  two_buttons(ui, "Import\u2026", DeskAction(OpenDialog{DialogKind::kImport}), "Hand over\u2026",
              DeskAction(OpenDialog{DialogKind::kHandOver}));
  two_buttons(ui, "Open\u2026", DeskAction(OpenDialog{DialogKind::kOpen}), "New\u2026",
              DeskAction(OpenDialog{DialogKind::kNew}));
  rule(ui.theme);
  edit_lines(ui);
  if (!s.survey.description.empty()) {
    rule(ui.theme);
    small_muted(ui.theme, s.survey.description);
  }
}

}  // namespace brookmark::viewer
