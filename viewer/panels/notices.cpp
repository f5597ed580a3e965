// What the window has to say by itself: messages that stay until they are put away, and how far an errand is.
#include <algorithm>
#include <cmath>
#include <string_view>
#include <vector>

#include "viewer/panels/desk_internal.hpp"
#include "viewer/panels/map_parts_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

constexpr double kPatience_s = 0.5;  // what ends sooner shows no progress
constexpr std::size_t kMostShown = 2;
constexpr std::string_view kTakenBack = "Taken back: ";

// Messages of one kind behind one another, said once.
struct Said {
  std::string words;
  std::vector<std::size_t> of;
};
std::vector<Said> merged(const std::vector<Message>& messages) {
  std::vector<Said> said;
  for (std::size_t i = 0; i < messages.size(); ++i) {
    const auto same = [&](const Message& before) {
      return before.kind == messages[i].kind &&
             (before.text == messages[i].text ||
              (before.text.starts_with(kTakenBack) && messages[i].text.starts_with(kTakenBack)));
    };
    if (said.empty() || !same(messages[said.back().of.back()])) said.push_back({messages[i].text, {}});
    Said& last = said.back();
    last.of.push_back(i);
    if (last.of.size() < 2) continue;
    if (messages[i].text.starts_with(kTakenBack))
      last.words = count_of(last.of.size(), "edit", "edits") +
                   " taken back, the last: " + messages[i].text.substr(kTakenBack.size());
    else
      last.words = messages[i].text + " (" + std::to_string(last.of.size()) + " times)";
  }
  return said;
}

}  // namespace

void draw_messages(const Ui& ui) {
  const auto& messages = ui.state.messages;
  ui.shown.cards_top_px = 0;
  ui.shown.messages.clear();
  if (messages.empty()) return;
  const ImGuiIO& io = ImGui::GetIO();
  const float em = ui.theme.em, pad = std::round(em * 0.7F), side = ui.theme.row(2.0F);
  const PixelBox& map = ui.layout.map;
  // Over the map where there is one, else over the window.
  const float left = map.width > 20 * static_cast<double>(em) ? static_cast<float>(map.left) : 0;
  const float room =
      map.width > 20 * static_cast<double>(em) ? static_cast<float>(map.width) : io.DisplaySize.x;
  // Below the strip of classes: what says how a tool works, the scale bar and the position stand along the foot.
  float top = map.height > 0 ? static_cast<float>(map.top) + em * 0.7F : em * 0.8F;
  if (map.height > 0) top += static_cast<float>(ui.shown.covered_top_px);
  const auto buttons = left > 0 || map.width > 0 ? static_cast<float>(map_buttons_box(ui).width) : 0;
  const float width = std::min(em * 34, room - em * 1.6F - (buttons > 0 ? 2 * (buttons + em) : 0));
  if (width < em * 6) return;
  const float foot = map.height > 0 ? static_cast<float>(map.bottom()) : io.DisplaySize.y;
  const std::vector<Said> said = merged(messages);
  const std::size_t first = said.size() > kMostShown ? said.size() - kMostShown : 0;
  for (std::size_t i = said.size(); i-- > first;) {
    const Message& message = messages[said[i].of.back()];
    const bool trouble = message.kind == Message::Kind::kTrouble;
    const float words_width = width - 2 * pad - side - em * 0.5F;
    std::string words = said[i].words;
    if (i == first && first > 0) words += "\n(and " + count_of(first, "message", "messages") + " before)";
    const ImVec2 size = ImGui::CalcTextSize(words.c_str(), nullptr, false, words_width);
    const float height = std::max(size.y + pad, side + pad * 0.6F);
    if (i + 1 < said.size() && top + height > foot - em * 3) return;
    ImGui::SetNextWindowPos({std::round(left + (room - width) / 2), std::round(top)});
    ImGui::SetNextWindowSize({width, height});
    ImGui::PushStyleColor(ImGuiCol_WindowBg, im(trouble ? ui.theme.ink.alarm : ui.theme.ink.note));
    ImGui::PushStyleColor(ImGuiCol_Border, im(ui.theme.ink.edge));
    ImGui::PushStyleVar(ImGuiStyleVar_WindowBorderSize, 1);
    ImGui::PushStyleVar(ImGuiStyleVar_WindowRounding, em * 0.4F);
    ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, ImVec2(pad, pad));
    ImGui::Begin(("message " + std::to_string(i)).c_str(), nullptr,
                 ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove | ImGuiWindowFlags_NoSavedSettings |
                     ImGuiWindowFlags_NoFocusOnAppearing);
    ImGui::PopStyleVar(3);
    ImGui::PopStyleColor(2);
    const ImVec2 at = ImGui::GetWindowPos();
    ImGui::GetWindowDrawList()->AddText(ui.theme.body, em,
                                        {at.x + pad, std::round(at.y + (height - size.y) / 2)},
                                        im(ui.theme.ink.text), words.c_str(), nullptr, words_width);
    ImGui::SetCursorPos({width - pad * 0.5F - side, std::round((height - side) / 2)});
    ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, ImVec2(0, 0));
    if (ImGui::Button("\u2715", {side, side}))
      for (std::size_t k = said[i].of.size(); k-- > 0;) ui.push(PutAwayMessage{said[i].of[k]});
    ImGui::PopStyleVar();
    ImGui::End();
    ui.shown.messages.push_back({std::round(left + (room - width) / 2), std::round(top), width, height});
    top += height + em * 0.3F;
    if (map.height > 0)
      ui.shown.cards_top_px = top + em * 0.4F - map.top - std::max(ui.shown.covered_top_px, 0.0);
  }
}

void draw_progress(const Ui& ui) {
  const auto& running = ui.state.desk.running;
  if (!running || running->seconds < kPatience_s) return;
  begin_card(ui, "progress", 30);
  heading(ui.theme, running->title);
  muted(running->stopping ? "Stopping before the next step." : running->step);
  gap(ui.theme, 0.2F);
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const float em = ui.theme.em, width = ImGui::GetContentRegionAvail().x, height = std::round(em * 0.6F);
  ImDrawList& list = *ImGui::GetWindowDrawList();
  list.AddRectFilled(at, {at.x + width, at.y + height}, im(ui.theme.ink.field_active), height / 2);
  const auto done = static_cast<float>(std::clamp(running->done, 0.02, 1.0));
  list.AddRectFilled(at, {at.x + width * done, at.y + height}, im(ui.theme.ink.accent), height / 2);
  ImGui::Dummy({width, height});
  gap(ui.theme, 0.3F);
  ImGui::BeginDisabled(running->stopping);
  if (ImGui::Button("Stop", {em * 8, ui.theme.row(2.2F)})) ui.push(StopErrand{});
  ImGui::EndDisabled();
  end_card(ui);
}

}  // namespace brookmark::viewer
