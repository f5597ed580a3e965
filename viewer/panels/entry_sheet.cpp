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

// What redo would do again: an edit of this sheet, or of the file where the sheet made none since it was read.
std::string next_redo(const Ui& ui) {
  const EntrySheet& e = *ui.state.entry;
  if (!e.undone.empty()) return e.undone.back().summary;
  if (e.sample_key.empty() || e.edited) return {};
  for (const core::EditLogEntry& edit : ui.model.session().edits)
    if (edit.redo_next) return edit.summary;
  return {};
}

constexpr float kOneLine_ems = 36,
                kWide_ems = 54;  // of the head; narrower: the site stands above the buttons

std::string sample_words(const EntrySheet& e) {
  if (e.sample_key.empty())
    return e.visit_key.empty() ? "new visit, not stored yet"
                               : "a further sample of this visit, not stored yet";
  const auto day = core::parse_date(e.kept[EntryField::kDate]);
  return (day ? short_date(*day) : e.kept[EntryField::kDate]) + " \u00B7 sample " + e.kept[EntryField::kCode];
}

void head(const Ui& ui, float width) {
  const EntrySheet& e = *ui.state.entry;
  const float em = ui.theme.em, high = ImGui::GetFrameHeight(),
              between = std::round(em * (width >= kOneLine_ems * em ? 0.5F : 0.35F));
  const bool one_line = width >= kOneLine_ems * em;
  const float button = std::round(width >= kWide_ems * em ? em * 5.5F : std::max(em * 3.3F, width * 0.11F));
  const float buttons = 3 * (button + between);
  const float tabs = one_line ? std::min(std::round(em * 19), width * 0.36F) : width - buttons;
  const ImVec2 at = ImGui::GetCursorScreenPos();
  ImDrawList& list = *ImGui::GetWindowDrawList();
  // Words left of the buttons, or above them; as many lines as they need.
  const std::string site = e.site_code + (e.site_name.empty() ? "" : "  " + e.site_name);
  float top = at.y, bottom = at.y;
  if (one_line) {
    const float words = width - tabs - buttons - between;
    const bool title =
        ui.theme.title->CalcTextSizeA(ui.theme.title->FontSize, 1e6F, 0, site.c_str()).x <= words;
    ImFont* font = title ? ui.theme.title : ui.theme.strong;
    const float site_high = std::max(height_of(font, site, words), std::round(em * 1.5F));
    put_words(list, font, at, words, ui.theme.ink.text, site);
    put_words(list, ui.theme.small, {at.x, at.y + site_high}, words, ui.theme.ink.muted, sample_words(e));
    bottom = at.y + site_high + height_of(ui.theme.small, sample_words(e), words);
  } else {
    const std::string wordings[] = {site + "  \u00B7  " + sample_words(e),
                                    e.site_code + "  \u00B7  " + sample_words(e)};
    std::string words = first_that_fits(wordings, ui.theme.small, width);
    if (words.empty()) words = wordings[1];
    put_words(list, ui.theme.small, at, width, ui.theme.ink.muted, words);
    top += height_of(ui.theme.small, words, width) + std::round(em * 0.25F);
  }
  const char* names[] = {"Visit", "Tally", "Water"};
  const float right = at.x + width;
  ImGui::SetCursorScreenPos({right - buttons - tabs, top});
  ImGui::BeginGroup();
  const int clicked = choices(ui.theme, "part", names, static_cast<int>(e.part), tabs);
  ImGui::EndGroup();
  const float used = ImGui::GetItemRectSize().y;
  if (clicked >= 0) ui.push(ShowEntryPart{static_cast<EntryPart>(clicked)});
  const std::string undo = next_undo(ui), redo = next_redo(ui);
  ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, ImVec2(2, ImGui::GetStyle().FramePadding.y));
  const auto step = [&](const char* label, int place, const std::string& what) {
    ImGui::SetCursorScreenPos({right - static_cast<float>(place) * (button + between) + between, top});
    ImGui::BeginDisabled(what.empty());
    const bool pressed = push_button(ui.theme, label, {button, high});
    ImGui::EndDisabled();
    return pressed;
  };
  if (step("Undo##sheet", 3, undo)) ui.push(UndoOnSheet{});
  if (!undo.empty()) hint(ui.theme, "Take back: " + undo + " (Ctrl+Z)");
  if (step("Redo##sheet", 2, redo)) ui.push(RedoOnSheet{});
  if (!redo.empty()) hint(ui.theme, "Do again: " + redo + " (Ctrl+Y)");
  if (step("Done##sheet", 1, "the sheet")) ui.push(CloseEntry{});
  ImGui::PopStyleVar();
  ImGui::SetCursorScreenPos({at.x, std::max(top + std::max(used, high), bottom)});
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
  if (io.KeyCtrl && pressed(ImGuiKey_Z)) {
    if (io.KeyShift)
      ui.push(RedoOnSheet{});
    else
      ui.push(UndoOnSheet{});
  }
  if (io.KeyCtrl && pressed(ImGuiKey_Y)) ui.push(RedoOnSheet{});
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
