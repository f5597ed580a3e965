// The sheet of a visit: its head, its three parts, and the doors that open it.
#include <algorithm>
#include <cmath>

#include "core/base/date.hpp"
#include "viewer/actions/visit_form.hpp"
#include "viewer/panels/panels_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

// What undo would take back, where anything of this sample can be.
std::string next_undo(const Ui& ui) {
  const EntrySheet& e = *ui.state.entry;
  if (!e.steps.empty()) return e.steps.back().summary;
  if (e.sample_key.empty()) return {};
  const auto& edits = ui.model.session().edits;
  for (auto at = edits.rbegin(); at != edits.rend(); ++at)
    if (!at->undone) return at->undoable ? at->summary : std::string();
  return {};
}

constexpr float kOneLine_ems = 28,
                kWide_ems = 50;  // of the head; narrower: the site stands above the buttons

std::string sample_words(const EntrySheet& e) {
  if (e.sample_key.empty())
    return e.visit_key.empty() ? "new visit, not stored yet"
                               : "a further sample of this visit, not stored yet";
  const auto day = core::parse_date(e.kept[EntryField::kDate]);
  return (day ? short_date(*day) : e.kept[EntryField::kDate]) + " \u00B7 sample " + e.kept[EntryField::kCode];
}

void head(const Ui& ui, float width) {
  const EntrySheet& e = *ui.state.entry;
  const float em = ui.theme.em, high = ImGui::GetFrameHeight(), between = std::round(em * 0.5F);
  const bool one_line = width >= kOneLine_ems * em;
  const float button = std::round(width >= kWide_ems * em ? em * 6.5F : std::max(em * 3.6F, width * 0.15F));
  const float tabs = one_line ? std::min(std::round(em * 19), width * 0.36F) : width - 2 * (button + between);
  const ImVec2 at = ImGui::GetCursorScreenPos();
  ImDrawList& list = *ImGui::GetWindowDrawList();
  float top = at.y;
  if (one_line) {
    const float words = width - tabs - 2 * button - 3 * between;
    {
      const FontScope font(ui.theme.title);
      list.AddText({at.x, at.y}, im(ui.theme.ink.text),
                   fitted(e.site_code + "  " + e.site_name, words).c_str());
    }
    const FontScope font(ui.theme.small);
    list.AddText({at.x, at.y + std::round(em * 1.5F)}, im(ui.theme.ink.muted),
                 fitted(sample_words(e), words).c_str());
  } else {
    const FontScope font(ui.theme.small);
    list.AddText(at, im(ui.theme.ink.muted), fitted(e.site_code + "  " + sample_words(e), width).c_str());
    top += std::round(em * 1.1F);
  }
  const char* names[] = {"Visit", "Tally", "Water"};
  const float right = at.x + width;
  ImGui::SetCursorScreenPos({right - 2 * (button + between) - tabs, top});
  ImGui::BeginGroup();
  const int clicked = choices(ui.theme, "part", names, static_cast<int>(e.part), tabs);
  ImGui::EndGroup();
  const float used = ImGui::GetItemRectSize().y;
  if (clicked >= 0) ui.push(ShowEntryPart{static_cast<EntryPart>(clicked)});
  const std::string undo = next_undo(ui);
  ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, ImVec2(2, ImGui::GetStyle().FramePadding.y));
  ImGui::SetCursorScreenPos({right - 2 * button - between, top});
  ImGui::BeginDisabled(undo.empty());
  if (push_button(ui.theme, "Undo##sheet", {button, high})) ui.push(UndoOnSheet{});
  ImGui::EndDisabled();
  if (!undo.empty()) hint(ui.theme, "Take back: " + undo + " (Ctrl+Z)");
  ImGui::SetCursorScreenPos({right - button, top});
  if (push_button(ui.theme, "Done##sheet", {button, high})) ui.push(CloseEntry{});
  ImGui::PopStyleVar();
  ImGui::SetCursorScreenPos({at.x, std::max(top + used, at.y + (one_line ? em * 2.5F : 0))});
  ImGui::Dummy({0, 0});
  if (one_line)
    rule(ui.theme);
  else
    ImGui::Separator();
}

// Newest trouble with the file: it must be seen here too, since the sheet lies over everything.
void trouble_line(const Ui& ui) {
  const auto& messages = ui.state.messages;
  for (std::size_t i = messages.size(); i-- > 0;) {
    if (messages[i].kind != Message::Kind::kTrouble) continue;
    notice(ui.theme, messages[i].text);
    if (push_button(ui.theme, "Close this message")) ui.push(PutAwayMessage{i});
    return;
  }
}

void take_sheet_keys(const Ui& ui) {
  const ImGuiIO& io = ImGui::GetIO();
  const auto pressed = [](ImGuiKey key) { return ImGui::IsKeyPressed(ImGui::GetKeyIndex(key), false); };
  if (io.KeyCtrl && pressed(ImGuiKey_Z)) ui.push(UndoOnSheet{});
  if (!pressed(ImGuiKey_Escape)) return;
  const EntrySheet& e = *ui.state.entry;
  if (e.part == EntryPart::kTally && (e.chosen || !e.typed.empty()))
    ui.push(LeaveName{});
  else if (e.part == EntryPart::kTally || !io.WantTextInput)  // elsewhere Esc first leaves the field
    ui.push(CloseEntry{});
}

}  // namespace

void draw_entry_sheet(const Ui& ui) {
  const ImVec2 size = ImGui::GetIO().DisplaySize;
  PixelBox box{0, 0, size.x, size.y};
  if (!sheet_fills_window(size.x, size.y, ui.theme.em))
    box = {0, ui.layout.top.bottom(), ui.layout.top.width, ui.layout.caution.top - ui.layout.top.bottom()};
  if (box.width < 2 || box.height < 2) return;
  begin_part("entry", box, ui.theme.ink.panel, box.height < 12 * static_cast<double>(ui.theme.em));
  head(ui, ImGui::GetContentRegionAvail().x);
  trouble_line(ui);
  switch (ui.state.entry->part) {
    case EntryPart::kVisit:
      draw_entry_visit(ui);
      break;
    case EntryPart::kTally:
      draw_entry_tally(ui);
      break;
    case EntryPart::kWater:
      draw_entry_water(ui);
      break;
  }
  take_sheet_keys(ui);
  ImGui::End();
}

void draw_entry_doors(const Ui& ui, core::SiteIndex site) {
  const float width = ImGui::GetContentRegionAvail().x, gap_px = ImGui::GetStyle().ItemSpacing.x;
  const auto& sample = ui.state.sample;
  const bool open = sample && sample->value() < ui.snapshot().samples.size() &&
                    ui.snapshot().samples.site[sample->value()] == site;
  const float each = open ? std::floor((width - gap_px) / 2) : width;
  if (push_button(ui.theme, "New visit", {each, 0})) ui.push(StartEntry{site, now_here()});
  hint(ui.theme, "Write down a visit and its sample (N)");
  if (!open) return;
  ImGui::SameLine();
  if (push_button(ui.theme, "Go on with sample", {each, 0})) ui.push(ResumeEntry{*sample});
  hint(ui.theme,
       "Open sample " + std::string(ui.snapshot().samples.code[sample->value()]) + " for more animals");
}

}  // namespace brookmark::viewer
