// What the dialogs of a hand-over and of a report have in common: by which method and of which days, the file, the rules, and
// what stays at home.
#include <algorithm>

#include "viewer/panels/desk_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

constexpr std::size_t kMostHidden = 300;

void what_stays(const Ui& ui) {
  rule(ui.theme);
  const auto& leaving = ui.state.desk.leaving;
  if (!leaving) {
    heading(ui.theme, "What stays at home");
    muted("Working it out \u2026");
    ui.shown.moving = ui.state.desk.running.has_value();
    return;
  }
  const std::vector<core::HiddenItem>& hidden = leaving->hidden;
  heading(ui.theme, hidden.empty() ? "Nothing of it stays at home"
                                   : "Left out or moved: " + count_of(hidden.size(), "thing", "things"));
  const FontScope small(ui.theme.small);
  for (std::size_t i = 0; i < std::min(hidden.size(), kMostHidden); ++i) {
    const core::HiddenItem& item = hidden[i];
    wrapped(item.layer + (item.code.empty() ? "" : ", " + item.code) + ": " + item.what);
    ImGui::Indent(ui.theme.em);
    muted(as_sentence("because " + item.why));
    ImGui::Unindent(ui.theme.em);
  }
  if (hidden.size() > kMostHidden)
    muted("and " + std::to_string(hidden.size() - kMostHidden) + " more of the same kinds.");
  muted(
      "Kit, cleaning, live samples, risks, photos, background maps, ground and these rules never leave. The "
      "rules are kept in the survey file; this window follows them and cannot change them.");
}

}  // namespace

void draw_what_counts(const Ui& ui, const std::string& begin) {
  if (!ui.assessment) return;
  const core::Method& method = *ui.assessment->method;
  const auto period = ui.state.period();
  muted(begin + ui.assessment->metric_info().title + " (" + method.title + ")" +
        (period ? ", samples " + period_in_words(*period) : "") + ".");
  if (ui.state.is_narrowed())
    small_muted(ui.theme, "Days and seasons are those chosen below the map; samples of others stay at home.");
  if (method.confirmed != core::Confirmed::kDocument) notice(ui.theme, confirmed_sentence(method.confirmed));
}

void draw_target(const Ui& ui, Dialog& next, const std::vector<std::string>& endings, const char* hint) {
  file_picker(ui, next, endings, 6);
  text_field(ui, "File", next.name, hint);
  ImGui::Checkbox("Replace a file already there", &next.replace);
}

void draw_rules_and_foot(const Ui& ui, Dialog& next, const char* label) {
  ImGui::Checkbox("Name people who agreed", &next.people);
  text_field(ui, "Least grid cell of sites that are shared blurred", next.cell, "1 km");
  what_stays(ui);
  if (next != ui.state.desk.dialog) ui.push(ChangeDialog{next});
  card_foot(ui, label, missing_in(ui.state, ui.model));
  end_card(ui);
}

}  // namespace brookmark::viewer
