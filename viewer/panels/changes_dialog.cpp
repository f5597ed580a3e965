// A partner's changes: what stood in the file when it left, what they made of it and what we have now, each to be taken or
// not; all that is taken is one edit.
#include <algorithm>
#include <cmath>

#include "viewer/panels/desk_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

constexpr std::size_t kMostListed = 400;

std::string said(const std::string& value) {
  return value.empty() ? "nothing" : "\u201C" + value + "\u201D";
}

std::string title_of(const core::Change& c) {
  std::string words = c.layer + (c.code.empty() ? "" : " " + c.code);
  switch (c.kind) {
    case core::ChangeKind::kCell:
      return words + ": " + c.column;
    case core::ChangeKind::kPlace:
      return words + ": moved or redrawn";
    case core::ChangeKind::kAdded:
      return words + ": added by them";
    case core::ChangeKind::kRemoved:
      break;
  }
  return words + ": taken out by them";
}

// Why it is not taken unasked; empty where it is.
std::string caution_of(const core::Change& c) {
  std::string words = c.state == core::ChangeState::kConflict ? "Both changed it; taking it gives up ours."
                      : c.state == core::ChangeState::kImpossible ? "Cannot be taken."
                                                                  : "";
  if (!c.note.empty()) words += (words.empty() ? "" : " ") + as_sentence(c.note);
  return words;
}

void change_row(const Ui& ui, const core::Change& change, Dialog& next) {
  bool taken = next.taken.contains(change.id);
  const float em = ui.theme.em;
  ImGui::PushID(change.id.c_str());
  ImGui::BeginDisabled(change.state == core::ChangeState::kImpossible);
  const bool tapped = ImGui::Checkbox("##take", &taken);
  tell_target("take " + change.id);
  ImGui::EndDisabled();
  if (tapped && taken) next.taken.insert(change.id);
  if (tapped && !taken) next.taken.erase(change.id);
  ImGui::SameLine();
  ImGui::BeginGroup();
  heading(ui.theme, title_of(change));
  const FontScope small(ui.theme.small);
  if (change.kind == core::ChangeKind::kCell || change.kind == core::ChangeKind::kPlace) {
    wrapped("When it left: " + said(change.base));
    wrapped("Theirs: " + said(change.theirs));
    if (change.ours != change.base) wrapped("Ours now: " + said(change.ours));
  } else if (!change.theirs.empty()) {
    wrapped(change.theirs);
  }
  if (const std::string caution = caution_of(change); !caution.empty()) {
    ImGui::PushStyleColor(ImGuiCol_Text, im(ui.theme.ink.query));
    wrapped(caution);
    ImGui::PopStyleColor();
  }
  ImGui::EndGroup();
  gap(ui.theme, em > 0 ? 0.2F : 0);
  ImGui::PopID();
}

void list_of_changes(const Ui& ui, const ChangePlan& plan, Dialog& next) {
  const auto& changes = plan.list.changes;
  rule(ui.theme);
  const auto conflicts =
      static_cast<std::size_t>(std::count_if(changes.begin(), changes.end(), [](const core::Change& c) {
        return c.state == core::ChangeState::kConflict;
      }));
  heading(ui.theme, changes.empty()
                        ? "Nothing in it differs from what left"
                        : count_of(changes.size(), "change", "changes") +
                              (conflicts > 0 ? ", " + std::to_string(conflicts) + " made by both" : ""));
  for (const std::string& note : plan.list.notes) small_muted(ui.theme, as_sentence(note));
  if (changes.empty()) return;
  const float between = ImGui::GetStyle().ItemSpacing.x;
  const float each = std::floor((ImGui::GetContentRegionAvail().x - between) / 2);
  if (push_button(ui.theme, "All that is theirs alone", {each, 0})) next.taken = safe_changes(plan);
  ImGui::SameLine();
  if (push_button(ui.theme, "None", {each, 0})) next.taken.clear();
  gap(ui.theme, 0.2F);
  for (std::size_t i = 0; i < std::min(changes.size(), kMostListed); ++i) change_row(ui, changes[i], next);
  if (changes.size() > kMostListed)
    muted("and " + std::to_string(changes.size() - kMostListed) +
          " more; \u201CAll that is theirs alone\u201D takes theirs among these too");
}

}  // namespace

void draw_changes_dialog(const Ui& ui) {
  const DeskState& desk = ui.state.desk;
  Dialog next = desk.dialog;
  if (begin_card(ui, "changes", 46)) ui.push(CloseDialog{});
  {
    const FontScope font(ui.theme.title);
    wrapped("Take a partner's changes");
  }
  small_muted(ui.theme,
              "From a GeoPackage that was handed over and came back. Nothing is taken before you have seen "
              "it; all that "
              "is taken can be undone in one step.");
  file_picker(ui, next, {".gpkg"}, desk.changes ? 4 : 9);
  text_field(ui, "File", next.name, "name.gpkg");
  if (desk.changes) list_of_changes(ui, *desk.changes, next);
  if (next != desk.dialog) ui.push(ChangeDialog{next});
  const std::string label =
      next.taken.empty() ? "Take them" : "Take " + count_of(next.taken.size(), "change", "changes");
  card_foot(ui, label.c_str(), missing_in(ui.state, ui.model));
  end_card(ui);
}

}  // namespace brookmark::viewer
