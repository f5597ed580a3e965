// The card in the middle of a dimmed window, and what stands on cards.
#include <imgui_internal.h>

#include <algorithm>
#include <cmath>
#include <system_error>

#include "core/base/text.hpp"
#include "viewer/panels/desk_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"

namespace brookmark::viewer {
namespace {

constexpr std::size_t kMostEntries = 2000;

struct EditedText {
  std::string* text;
};

int resize_text(ImGuiInputTextCallbackData* data) {
  if (data->EventFlag != ImGuiInputTextFlags_CallbackResize) return 0;
  std::string& text = *static_cast<EditedText*>(data->UserData)->text;
  text.resize(static_cast<std::size_t>(data->BufTextLen));
  data->Buf = text.data();
  return 0;
}

// Of the card that is being drawn; there is one at a time.
struct OpenCard {
  float content = 0, foot = 0, foot_top = 0;
  bool in_content = true, more = false;
};
OpenCard open_card;

void end_content() {
  const ImGuiWindow& window = *ImGui::GetCurrentWindow();
  open_card.content = window.ContentSizeIdeal.y;
  open_card.more = window.ScrollMax.y > 0;
  open_card.in_content = false;
  ImGui::EndChild();
}

// As many whole reasons as three lines hold, and always the first; how many more there are.
void reason_lines(const Ui& ui, const std::vector<std::string>& reasons) {
  if (reasons.empty()) return;
  const FontScope small(ui.theme.small);
  const float most = 3.2F * ImGui::GetFontSize(),
              room = ImGui::GetContentRegionAvail().x -
                     ui.theme.em;  // notice() keeps half a font height at each side
  std::string shown;
  std::size_t told = 0;
  for (const std::string& reason : reasons) {
    const std::string more = shown + (told > 0 ? "\n" : "") + reason;
    if (told > 0 && height_of(ui.theme.small, more, room) > most) break;
    shown = more;
    ++told;
  }
  if (told < reasons.size())
    shown += "\n" + std::to_string(reasons.size() - told) + " more above, under the columns";
  notice(ui.theme, shown);
  gap(ui.theme, 0.2F);
}

}  // namespace

bool begin_card(const Ui& ui, const char* id, float width_ems) {
  const ImGuiIO& io = ImGui::GetIO();
  const float em = ui.theme.em;
  ImGui::SetNextWindowPos({0, 0});
  ImGui::SetNextWindowSize(io.DisplaySize);
  ImGui::PushStyleColor(ImGuiCol_WindowBg, im(ui.theme.ink.dim));
  ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, ImVec2(0, 0));
  ImGui::PushStyleVar(ImGuiStyleVar_WindowMinSize, ImVec2(1, 1));
  ImGui::Begin(id, nullptr,
               ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove | ImGuiWindowFlags_NoSavedSettings |
                   ImGuiWindowFlags_NoScrollWithMouse);
  ImGui::PopStyleVar(2);
  ImGui::PopStyleColor();
  const bool popup = ImGui::IsPopupOpen(nullptr, ImGuiPopupFlags_AnyPopupId | ImGuiPopupFlags_AnyPopupLevel);
  if (ImGui::IsWindowAppearing()) ImGui::SetWindowFocus();
  // As high as its content was in the frame before, and never higher than the window.
  const ImVec2 pad{std::round(em * 1.2F), std::round(em * 1.0F)};
  float& content = *ImGui::GetStateStorage()->GetFloatRef(ImGui::GetID("height"), em * 16);
  const float width = std::min(width_ems * em, io.DisplaySize.x - em * 0.8F);
  open_card = {};
  open_card.foot = *ImGui::GetStateStorage()->GetFloatRef(ImGui::GetID("foot"), 0);
  const float height = std::min(content + open_card.foot + 2 * pad.y + 2, io.DisplaySize.y - em * 0.8F);
  ImGui::SetCursorPos(
      {std::round((io.DisplaySize.x - width) / 2), std::round((io.DisplaySize.y - height) / 2)});
  ImGui::PushStyleColor(ImGuiCol_ChildBg, im(ui.theme.ink.panel));
  ImGui::PushStyleColor(ImGuiCol_Border, im(ui.theme.ink.edge));
  ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, pad);
  ImGui::PushStyleVar(ImGuiStyleVar_ChildRounding, std::round(em * 0.5F));
  ImGui::BeginChild("card", {std::max(width, 1.0F), std::max(height, 1.0F)}, true,
                    ImGuiWindowFlags_AlwaysUseWindowPadding);
  ImGui::PopStyleVar(2);
  ImGui::PopStyleColor(2);
  // What is filled in scrolls; the buttons at the foot stay in sight.
  const float room = ImGui::GetContentRegionAvail().y;
  ImGui::BeginChild("content", {0, std::max(room - open_card.foot, std::min(room, em * 4))});
  return !popup && ImGui::IsKeyPressed(ImGui::GetKeyIndex(ImGuiKey_Escape), false);
}

void end_card(const Ui&) {
  float foot = 0;
  if (open_card.in_content)
    end_content();
  else
    foot = ImGui::GetCursorPosY() - open_card.foot_top;
  ImGui::EndChild();
  float& kept = *ImGui::GetStateStorage()->GetFloatRef(ImGui::GetID("height"), open_card.content);
  if (open_card.content > 0) kept = open_card.content;
  *ImGui::GetStateStorage()->GetFloatRef(ImGui::GetID("foot"), 0) = foot;
  ImGui::End();
}

bool text_field(const Ui& ui, const char* label, std::string& value, const char* hint, bool arrows) {
  {
    const FontScope small(ui.theme.small);
    text(label);
  }
  EditedText edited{&value};
  ImGui::PushID(label);
  ImGui::SetNextItemWidth(-1);
  ImGui::PushStyleColor(ImGuiCol_Border, im(ui.theme.ink.edge));
  ImGui::PushStyleVar(ImGuiStyleVar_FrameBorderSize, 1);
  const std::string before = value;
  ImGui::InputTextWithHint("##line", hint, value.data(), value.capacity() + 1,
                           ImGuiInputTextFlags_CallbackResize |
                               (arrows ? ImGuiInputTextFlags_CallbackHistory : ImGuiInputTextFlags_None),
                           resize_text, &edited);
  ImGui::PopStyleVar();
  ImGui::PopStyleColor();
  ImGui::PopID();
  return value != before;
}

void look_at(FolderList& list, const std::string& folder, bool again) {
  if (!again && list.folder == folder) return;
  list = {folder, {}, {}, {}};
  std::error_code trouble;
  std::filesystem::directory_iterator at(folder, std::filesystem::directory_options::skip_permission_denied,
                                         trouble);
  if (trouble) {
    list.trouble = "This folder cannot be read: " + trouble.message() + ".";
    return;
  }
  for (std::size_t seen = 0; at != std::filesystem::directory_iterator() && seen < kMostEntries; ++seen) {
    const std::string name = at->path().filename().string();
    std::error_code ignored;
    if (!name.starts_with('.') && core::is_valid_utf8(name))
      (at->is_directory(ignored) ? list.folders : list.files).push_back(name);
    at.increment(trouble);
    if (trouble) break;
  }
  for (auto* names : {&list.folders, &list.files})
    std::sort(names->begin(), names->end(), [](const std::string& a, const std::string& b) {
      return core::fold_name(a) < core::fold_name(b);
    });
}

void file_picker(const Ui& ui, Dialog& dialog, const std::vector<std::string>& endings, float height_ems) {
  text_field(ui, "Folder", dialog.folder, "where the file stands");
  look_at(ui.desk.folder, dialog.folder);
  const FolderList& list = ui.desk.folder;
  const float em = ui.theme.em, row = ui.theme.row(1.9F);
  ImGui::PushStyleColor(ImGuiCol_ChildBg, im(ui.theme.ink.raised));
  ImGui::PushStyleColor(ImGuiCol_Border, im(ui.theme.ink.line));
  ImGui::BeginChild("files", {0, std::round(em * height_ems)}, true);
  ImGui::PopStyleColor(2);
  const auto line = [&](const std::string& sign, const std::string& name, bool on) {
    ImGui::PushID(name.c_str());
    const DrawnRow drawn = words_row(ui.theme, "##entry", on, {name}, em * 1.8F, row);
    put_words(*ImGui::GetWindowDrawList(), ui.theme.body, {drawn.at.x + em * 0.3F, drawn.middle - em / 2},
              1e6F, ui.theme.ink.muted, sign);
    ImGui::PopID();
    return drawn.tapped;
  };
  const std::filesystem::path here(dialog.folder);
  if (here.has_relative_path() && line("\u2191", "the folder above", false))
    dialog.folder = here.parent_path().string();
  for (const std::string& name : list.folders)
    if (line("\u25B8", name, false)) dialog.folder = (here / name).string();
  std::size_t shown = 0;
  for (const std::string& name : list.files) {
    const std::string lower = core::to_lower_ascii(name);
    if (std::none_of(endings.begin(), endings.end(),
                     [&](const std::string& e) { return e == "*" || lower.ends_with(e); }))
      continue;
    ++shown;
    if (line("\u00B7", name, name == dialog.name)) dialog.name = name;
  }
  if (!list.trouble.empty())
    muted(list.trouble);
  else if (shown == 0)
    small_muted(ui.theme, "No such file in this folder.");
  ImGui::EndChild();
}

void card_foot(const Ui& ui, const char* label, const std::string& missing,
               const std::vector<std::string>& reasons) {
  const float em = ui.theme.em;
  end_content();
  open_card.foot_top = ImGui::GetCursorPosY();
  if (open_card.more) rule(ui.theme);
  if (!ui.state.desk.trouble.empty()) {
    alarm(ui.theme, ui.state.desk.trouble);
    gap(ui.theme, 0.2F);
  } else if (!missing.empty()) {
    small_muted(ui.theme, missing);
  }
  reason_lines(ui, reasons);
  ImGui::BeginDisabled(!missing.empty() || ui.state.desk.running.has_value());
  if (push_button(ui.theme, label, {em * 11, ui.theme.row(2.2F)})) ui.push(RunDialog{});
  ImGui::EndDisabled();
  ImGui::SameLine();
  if (ImGui::Button("Cancel", {em * 7, ui.theme.row(2.2F)})) ui.push(CloseDialog{});
}

}  // namespace brookmark::viewer
