// The page that says where to sample next: the question, each spot with its reason, and what becomes of it.
#include <algorithm>
#include <cmath>
#include <utility>

#include "core/base/text.hpp"
#include "viewer/panels/pages_internal.hpp"
#include "viewer/panels/suggest_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

#include <imgui_stdlib.h>

namespace brookmark::viewer {
namespace {

constexpr const char* kReasons[] = {"private", "no way in", "unsafe", "dry", "no water here"};

// Once after it was asked for, the answer comes into sight, also where the question fills a small window.
void bring_answer_into_sight(const Design& design) {
  bool* wanted = ImGui::GetStateStorage()->GetBoolRef(ImGui::GetID("to the answer"));
  if (!*wanted || design.asked != design.question) return;
  *wanted = false;
  const float at = ImGui::GetCursorPosY() - ImGui::GetScrollY();
  if (at > ImGui::GetWindowHeight() / 2) ImGui::SetScrollHereY(0);
}

// With a capital and a full stop.
std::string sentence(std::string words) {
  words = in_the_window(std::move(words));
  if (!words.empty() && words[0] >= 'a' && words[0] <= 'z')
    words[0] = static_cast<char>(words[0] - 'a' + 'A');
  return words + ".";
}

// Why not: common words to tap, and a field for any other.
void refusal_part(const Ui& ui, std::size_t row) {
  const Design& design = ui.state.design;
  bool* in_sight = ImGui::GetStateStorage()->GetBoolRef(ImGui::GetID("refusal in sight"));
  if (design.refusing != row) {
    *in_sight = false;
    return;
  }
  wrapped("Why not? The reason stays, and keeps later suggestions away from here.");
  float left = 0;
  for (const char* reason : kReasons) {
    const float width = ImGui::CalcTextSize(reason).x + ui.theme.em * 1.4F;
    if (left > 0 && left + width < ImGui::GetContentRegionAvail().x)
      ImGui::SameLine();
    else
      left = 0;
    left += width + ImGui::GetStyle().ItemSpacing.x;
    if (push_button(ui.theme, reason, {width, 0})) ui.push(WriteRefusal{row, reason});
  }
  std::string why = design.why;
  ImGui::SetNextItemWidth(ImGui::GetContentRegionAvail().x);
  if (ImGui::InputTextWithHint("##why", "the reason", &why)) ui.push(WriteRefusal{row, why});
  ImGui::BeginDisabled(core::trim(design.why).empty());
  if (push_button(ui.theme, "Refuse", {ui.theme.em * 7, 0})) ui.push(RefuseSuggestion{});
  ImGui::EndDisabled();
  ImGui::SameLine();
  if (push_button(ui.theme, "Back", {ui.theme.em * 5, 0})) ui.push(WriteRefusal{});
  // Once, when it opens: all of it, down to its buttons.
  const float at = ImGui::GetCursorPosY() - ImGui::GetScrollY();
  if (!*in_sight && at > ImGui::GetWindowHeight()) ImGui::SetScrollHereY(1);
  *in_sight = true;
}

std::string visits_words(std::size_t left, std::size_t shown) {
  const std::string after = shown == 1 ? "After this visit " : "After these visits ";
  return after + (left == 0 ? "nothing is left to part."
                            : "at worst " + count_of(left, "more is needed.", "more are needed."));
}

// The reminder of this spot alone: what all are told stands above them, and the caution in its reason.
std::string sewage_words(const core::Suggestion& s) {
  const std::size_t at = s.reminder.rfind(s.sewage_above->code + " lets in sewage");
  return at == std::string::npos ? s.reminder : s.reminder.substr(at);
}

void suggestion_row(const Ui& ui, std::size_t row) {
  const Design& design = ui.state.design;
  const core::Suggestion& s = design.answer.list[row];
  const float em = ui.theme.em;
  const bool focus = design.focus == row;
  ImGui::PushID(static_cast<int>(row));
  const DrawnRow drawn =
      words_row(ui.theme, "##suggestion", focus, {s.code + "  " + s.place, {}, {}, ui.theme.strong, {}},
                em * 2.3F, ui.theme.row(2.2F));
  if (drawn.tapped) ui.push(FocusSuggestion{focus ? std::nullopt : std::optional(row)});
  draw_suggestion_tag(*ImGui::GetWindowDrawList(),
                      {drawn.at.x + em * (focus ? 1.25F : 1), drawn.at.y + drawn.height / 2}, ui.theme,
                      suggestion_number(s), focus);
  ImGui::Indent(em * 2.3F);
  wrapped(sentence(s.reason));
  if (const std::string near = core::around_words(s); !near.empty()) small_muted(ui.theme, near);
  if (s.chance)
    small_muted(ui.theme,
                "Drawn with a chance of 1 in " + core::format_fixed(*s.weight, *s.weight < 10 ? 1 : 0) + ".");
  if (!s.note.empty()) notice(ui.theme, sentence(s.note));
  if (s.sewage_above) notice(ui.theme, sewage_words(s));
  refusal_part(ui, row);
  if (design.refusing != row) {
    if (push_button(ui.theme, "Accept", {em * 7, 0})) ui.push(AcceptSuggestions{row});
    ImGui::SameLine();
    if (push_button(ui.theme, "Refuse \u2026", {em * 7, 0})) ui.push(WriteRefusal{row, ""});
  }
  ImGui::Unindent(em * 2.3F);
  ImGui::PopID();
  ImGui::Separator();
}

}  // namespace

void draw_suggest_page(const Ui& ui) {
  heading(ui.theme, "Where to sample next");
  draw_suggest_question(ui);
  const Design& design = ui.state.design;
  bring_answer_into_sight(design);
  if (design.asked && *design.asked != design.question)
    small_muted(ui.theme, "What stands below answers the question before.");
  if (!design.trouble.empty()) notice(ui.theme, sentence(design.trouble));
  if (!ui.snapshot().grounds.empty())
    small_muted(ui.theme, "Hatched or shaded on the map: where nobody is sent.");
  for (const std::string& note : design.answer.notes) small_muted(ui.theme, sentence(note));
  if (design.answer.left_out.total() > 0)
    small_muted(ui.theme, "Spots left out: " + design.answer.left_out.words() + ".");
  if (design.answer.visits_left) wrapped(visits_words(*design.answer.visits_left, design.answer.list.size()));
  if (design.answer.list.empty()) {
    if (!design.taken.empty())
      small_muted(ui.theme,
                  "No spot is open any more. One that is taken back on the page Edit comes back here.");
    return;
  }
  gap(ui.theme, 0.2F);
  notice(ui.theme, core::kSpotReminder);
  small_muted(ui.theme, "Drag a number on the map to move its spot.");
  ImGui::Separator();
  for (std::size_t row = 0; row < design.answer.list.size(); ++row) suggestion_row(ui, row);
  gap(ui.theme, 0.2F);
  const float half = std::floor((ImGui::GetContentRegionAvail().x - ImGui::GetStyle().ItemSpacing.x) / 2);
  if (push_button(ui.theme, "Accept all", {half, 0})) ui.push(AcceptSuggestions{});
  ImGui::SameLine();
  if (push_button(ui.theme, "Clear", {half, 0})) ui.push(ClearSuggestions{});
  if (push_button(ui.theme, "Save as a file \u2026", {2 * half + ImGui::GetStyle().ItemSpacing.x, 0}))
    ui.push(OpenDialog{DialogKind::kSpots});
}

}  // namespace brookmark::viewer
