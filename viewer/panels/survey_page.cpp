// The survey as a whole: what it is, and what goes in and out.
#include <cmath>

#include "viewer/panels/pages_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

void two_buttons(const Ui& ui, const char* left, Action on_left, const char* right, Action on_right) {
  const float width = std::floor((ImGui::GetContentRegionAvail().x - ImGui::GetStyle().ItemSpacing.x) / 2);
  if (push_button(ui.theme, left, {width, ui.theme.row(2.3F)})) ui.push(std::move(on_left));
  ImGui::SameLine();
  if (push_button(ui.theme, right, {width, ui.theme.row(2.3F)})) ui.push(std::move(on_right));
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
  two_buttons(ui, "Import \u2026", OpenDialog{DialogKind::kImport}, "Hand over \u2026",
              OpenDialog{DialogKind::kHandOver});
  // Here follows what else goes in or out, one line each.
  two_buttons(ui, "Report \u2026", OpenDialog{DialogKind::kReport}, "Partner's changes \u2026",
              OpenDialog{DialogKind::kChanges});
  two_buttons(ui, "Open \u2026", OpenDialog{DialogKind::kOpen}, "New \u2026", OpenDialog{DialogKind::kNew});
  if (!s.survey.description.empty()) {
    rule(ui.theme);
    small_muted(ui.theme, s.survey.description);
  }
}

}  // namespace brookmark::viewer
