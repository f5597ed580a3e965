// The second part of the sheet: animals, by taps or by keys.
#include <imgui_internal.h>

#include <algorithm>
#include <cmath>

#include "core/reference/reference.hpp"
#include "viewer/actions/tally_words.hpp"
#include "viewer/panels/desk_internal.hpp"
#include "viewer/panels/entry_fields_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

constexpr double kHandOff_s = 0.35;  // so long after a tap the next one is not to be expected at once

// What stands for a taxon so far, over its stages and doubts: "13", "B", "+".
std::string standing(const EntrySheet& e, const std::string& taxon_key) {
  std::int64_t count = 0;
  std::string other;
  for (const core::Record& r : e.records) {
    if (r.taxon_key != taxon_key) continue;
    if (r.quantity == core::QuantityKind::kCount) count += r.count_min.value_or(0);
    if (r.quantity == core::QuantityKind::kAbundanceClass) other = r.class_code;
    if (r.quantity == core::QuantityKind::kPresent) other = "+";
    if (r.quantity == core::QuantityKind::kAbsent && other.empty()) other = "0";
  }
  if (count > 0) return std::to_string(count) + (other.empty() || other == "0" ? "" : " " + other);
  return other;
}

// Letters that come before the field has the keyboard wait for it: none of a name is lost, and none is another's.
void hold_early_letters(const Ui& ui) {
  ImGuiIO& io = ImGui::GetIO();
  std::string& early = ui.desk.early_letters;
  const ImVector<ImWchar> now = io.InputQueueCharacters;
  if (!io.WantTextInput) {
    for (const ImWchar c : now) {
      char bytes[5] = {};
      early += ImTextCharToUtf8(bytes, c);
    }
    io.InputQueueCharacters.resize(0);
    return;
  }
  if (early.empty()) return;
  io.InputQueueCharacters.resize(0);
  io.AddInputCharactersUTF8(early.c_str());
  for (const ImWchar c : now) io.InputQueueCharacters.push_back(c);
  early.clear();
}

void name_row(const Ui& ui, float width) {
  hold_early_letters(ui);
  const EntrySheet& e = *ui.state.entry;
  const float number = std::round(width * 0.26F), name = width - number - ImGui::GetStyle().ItemSpacing.x;
  // The keyboard goes to its field only when the hand has left the mouse: a field that takes it between press and release
  // would swallow the tap.
  const ImGuiIO& io = ImGui::GetIO();
  // A press that comes while the keyboard is on its way goes first, and the keyboard is asked for again.
  ImGuiContext& context = *ImGui::GetCurrentContext();
  if (io.MouseDown[0] && (context.NavActivateInputId != 0 || context.NavNextActivateId != 0)) {
    context.NavActivateInputId = context.NavNextActivateId = 0;
    ui.shown.entry_focus = e.focus - 1;
  }
  const bool due = ui.shown.entry_focus != e.focus;
  const bool hand_off = !io.MouseDown[0] && (io.MouseClickedTime[0] <= 0 ||
                                             ImGui::GetTime() - io.MouseClickedTime[0] > kHandOff_s);
  const bool wish = due && hand_off;
  if (wish && !e.chosen) ImGui::SetKeyboardFocusHere();
  const std::string shown = e.chosen ? e.chosen->shown : e.typed;
  const char *name_label = "Animal: three letters, then Enter",
             *number_label = e.way == TallyWay::kClass ? "Class or number" : "Number";
  const float labels =
      std::max(height_of(ui.theme.small, name_label, name), height_of(ui.theme.small, number_label, number));
  const Typed typed = field(ui, "##name", name_label, shown, name, false,
                            e.chosen ? ImGuiInputTextFlags_ReadOnly : kArrows, labels);
  if (!e.chosen) {
    if (typed.words) ui.push(TypeName{*typed.words});
    if (typed.entered) ui.push(TakeChoice{});
    if (ImGui::IsKeyPressed(ImGui::GetKeyIndex(ImGuiKey_DownArrow))) ui.push(LightChoice{1});
    if (ImGui::IsKeyPressed(ImGui::GetKeyIndex(ImGuiKey_UpArrow))) ui.push(LightChoice{-1});
  }
  ImGui::SameLine();
  if (wish && e.chosen) ImGui::SetKeyboardFocusHere();
  ImGui::BeginDisabled(!e.chosen);
  const Typed counted =
      field(ui, "##number", number_label, e.number, number, !e.number_trouble.empty(), 0, labels);
  ImGui::EndDisabled();
  if (counted.words) ui.push(TypeNumber{*counted.words});
  if (counted.entered) ui.push(TakeNumber{});
  // The keyboard comes to a field a frame after the wish, and is told of a frame later.
  if (due || (ImGui::IsAnyItemActive() && !io.WantTextInput)) ui.shown.moving = true;
  if (wish) ui.shown.entry_focus = e.focus;
}

// Life stage and doubt of what comes next.
void stage_row(const Ui& ui, float width) {
  const EntrySheet& e = *ui.state.entry;
  const float em = ui.theme.em, gap_px = ImGui::GetStyle().ItemSpacing.x, unsure = std::round(em * 4.4F);
  const char* stages[] = {"any", "egg", "larva", "pupa", "adult"};
  const float rest = width - unsure - gap_px;
  if (rest >= em * 15) {
    if (const int stage = choices(ui.theme, "stage", stages, static_cast<int>(e.stage), rest); stage >= 0)
      ui.push(ChooseStage{static_cast<core::LifeStage>(stage)});
  } else {
    ImGui::SetNextItemWidth(rest);
    const std::string shown = std::string("stage: ") + stages[static_cast<int>(e.stage)];
    if (begin_chooser(ui.theme, "##stage", shown)) {
      for (int i = 0; i < 5; ++i)
        if (ImGui::Selectable(stages[i], static_cast<int>(e.stage) == i, 0, {0, ui.theme.row(1.9F)}))
          ui.push(ChooseStage{static_cast<core::LifeStage>(i)});
      ImGui::EndCombo();
    }
  }
  ImGui::SameLine(0, gap_px);
  ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, ImVec2(2, ImGui::GetStyle().FramePadding.y));
  if (choice_button(ui.theme, "unsure", e.unsure, {unsure, 0})) ui.push(ChooseUnsure{!e.unsure});
  ImGui::PopStyleVar();
}

void ways_row(const Ui& ui, float width) {
  const EntrySheet& e = *ui.state.entry;
  const float gap_px = ImGui::GetStyle().ItemSpacing.x;
  const bool one_row = width >= ui.theme.em * 36;
  const char* ways[] = {"Count", "Class", "Present"};
  const float first = one_row ? std::floor((width - gap_px) * 0.38F) : width;
  if (const int way = choices(ui.theme, "way", ways, static_cast<int>(e.way), first); way >= 0)
    ui.push(ChooseTallyWay{static_cast<TallyWay>(way), {}});
  if (one_row) ImGui::SameLine();
  stage_row(ui, one_row ? width - first - gap_px : width);
}

// What a scheme is called in plain words; one that is not known here keeps its own name.
std::string scheme_words(const std::string& scheme) {
  static constexpr std::pair<const char*, const char*> kWords[] = {
      {"log-a-e", "Tens, A to E"},
      {"ab1-ab4", "Tens, AB1 to AB4"},
      {"abc-1-10-100", "Three classes, A to C"},
      {"rare-common-dominant", "Rare, common, dominant"}};
  for (const auto& [name, words] : kWords)
    if (scheme == name) return words;
  return scheme;
}

// Which classes the letters stand for; another scheme is a tap away.
void scheme_row(const Ui& ui, float width) {
  const EntrySheet& e = *ui.state.entry;
  if (e.way != TallyWay::kClass) return;
  std::string words;
  std::vector<std::string> schemes;
  for (const core::AbundanceClass& c : core::abundance_classes()) {
    if (schemes.empty() || schemes.back() != c.scheme) schemes.push_back(c.scheme);
    if (c.scheme == e.scheme) words += (words.empty() ? "" : "   ") + c.code + " " + c.meaning;
  }
  const bool beside = width > ui.theme.em * 30;
  ImGui::SetNextItemWidth(beside ? std::min(ui.theme.em * 14, width * 0.4F) : width);
  if (begin_chooser(ui.theme, "##scheme", scheme_words(e.scheme))) {
    for (const std::string& scheme : schemes)
      if (ImGui::Selectable(scheme_words(scheme).c_str(), scheme == e.scheme, 0, {0, ui.theme.row(1.8F)}))
        ui.push(ChooseTallyWay{TallyWay::kClass, scheme});
    ImGui::EndCombo();
  }
  if (beside) ImGui::SameLine();
  const FontScope font(ui.theme.small);
  wrapped(words);
}

// A button with a name, a quieter second line and, at the right, what stands for it.
struct TallButton {
  std::string name, below, stands;
};

// How its words stand: in the body's font where the name is one line of it, else in small.
struct TallWords {
  ImFont* font;
  float pad, used = 0;  // used: the width of what stands for it
  float name = 0, below = 0;
  float all() const { return name + below; }
};

TallWords words_in(const Ui& ui, const TallButton& b, float width) {
  const Theme& theme = ui.theme;
  TallWords w{theme.body, std::round(theme.em * 0.45F)};
  if (!b.stands.empty()) w.used = theme.strong->CalcTextSizeA(theme.em, 1e6F, 0, b.stands.c_str()).x + w.pad;
  const float free = width - w.used - 2 * w.pad;
  if (theme.body->CalcTextSizeA(theme.em, 1e6F, 0, b.name.c_str()).x > free) w.font = theme.small;
  w.name = height_of(w.font, b.name, free);
  w.below = b.below.empty() ? 0 : height_of(theme.small, b.below, free) + std::round(theme.em * 0.05F);
  return w;
}

// The least height of it; without the second line where `with_below` is false.
float tall_height(const Ui& ui, const TallButton& b, float width, bool with_below) {
  const TallWords w = words_in(ui, b, width);
  return std::ceil((with_below ? w.all() : w.name) + ui.theme.em * 0.3F);
}

bool tall_button(const Ui& ui, const char* id, ImVec2 size, const TallButton& b, bool lit) {
  if (lit) {
    ImGui::PushStyleColor(ImGuiCol_Button, im(ui.theme.ink.field_active));
    ImGui::PushStyleColor(ImGuiCol_ButtonHovered, im(ui.theme.ink.field_active));
  }
  const bool clicked = ImGui::Button(id, size);
  tell_target(b.name);
  if (lit) ImGui::PopStyleColor(2);
  const ImVec2 at = ImGui::GetItemRectMin();
  ImDrawList& list = *ImGui::GetWindowDrawList();
  const TallWords w = words_in(ui, b, size.x);
  put_words(list, ui.theme.strong, {at.x + size.x - w.used, at.y + (size.y - ui.theme.em) / 2}, 1e6F,
            ui.theme.ink.accent, b.stands);
  const float free = size.x - w.used - 2 * w.pad;
  const bool two = w.below > 0 && size.y >= w.all();
  const float top = at.y + (size.y - (two ? w.all() : w.name)) / 2;
  put_words(list, w.font, {at.x + w.pad, top}, free, ui.theme.ink.text, b.name);
  if (two)
    put_words(list, ui.theme.small, {at.x + w.pad, top + w.name + std::round(ui.theme.em * 0.05F)}, free,
              ui.theme.ink.muted, b.below);
  return clicked;
}

void choice_rows(const Ui& ui, float width) {
  const EntrySheet& e = *ui.state.entry;
  small_muted(ui.theme,
              "Which one? Enter takes the marked line, arrows move it. Nothing is taken by itself.");
  for (std::size_t i = 0; i < e.choices.size(); ++i) {
    const NameChoice& c = e.choices[i];
    const std::string id = "##choice" + std::to_string(i);
    std::string detail = c.detail;
    if (method_shown(ui) && c.lineage.front().listed && !has_a_line(*method_shown(ui), c.lineage))
      detail += ": will not score";
    const TallButton button{c.shown, detail, standing(e, c.lineage.front().key)};
    const float high = std::max(ui.theme.row(2.5F), tall_height(ui, button, width, true));
    if (tall_button(ui, id.c_str(), {width, high}, button, i == e.lit)) ui.push(TakeChoice{i});
  }
  if (e.choices.empty()) small_muted(ui.theme, "Write at least two letters of a name.");
}

void keypad(const Ui& ui, float width, float height) {
  const EntrySheet& e = *ui.state.entry;
  const std::string stands = standing(e, e.chosen->lineage.front().key);
  wrapped(stands.empty() ? "How many? Nothing says present, 0 says looked for and not found."
                         : "It stands as " + stands + ". A number is added; =12 sets it, -2 takes two away.");
  if (const std::string how = read_as(e.chosen->lineage, e.chosen->verbatim, method_shown(ui)); !how.empty())
    small_muted(ui.theme, how);
  if (!e.number_trouble.empty()) notice(ui.theme, e.number_trouble);
  const bool classes = e.way == TallyWay::kClass;
  std::vector<std::string> keys = {"1", "2", "3", "4", "5", "6", "7", "8", "9", "=", "0", "\u2190"};
  if (classes)
    for (const core::AbundanceClass& c : core::abundance_classes())
      if (c.scheme == e.scheme) keys.push_back(c.code);
  // A block of three by four as on a telephone; where that is too high, six by two.
  const float step = ImGui::GetStyle().ItemSpacing.y, least = ui.theme.row(1.9F) + step;
  const bool low = height < least * 5 + ui.theme.em * 2;
  const int across = low ? 6 : 3;
  const auto columns = static_cast<float>(across);
  const float side = std::min(std::floor(width / columns - step), ui.theme.em * (low ? 5.0F : 8.0F));
  const int rows = (static_cast<int>(keys.size()) + across - 1) / across + 1;
  const float high = std::clamp(std::floor((height - ui.theme.em * 4) / static_cast<float>(rows) - step),
                                ui.theme.row(1.9F), ui.theme.em * 4);
  const float whole = columns * side + (columns - 1) * step, half = std::floor((whole - step) / 2);
  for (std::size_t i = 0; i < keys.size(); ++i) {
    if (static_cast<int>(i) % across != 0) ImGui::SameLine(0, step);
    const bool tapped = ImGui::Button((keys[i] + "##key").c_str(), {side, high});
    tell_target(keys[i]);
    if (!tapped) continue;
    std::string number = e.number;
    if (i >= 12)
      number = keys[i];
    else if (keys[i] == "=")
      number = "=";
    else if (i == 11)
      number = number.substr(0, number.empty() ? 0 : number.size() - 1);
    else
      number += keys[i];
    ui.push(TypeNumber{number});
    if (i >= 12) ui.push(TakeNumber{});
  }
  if (push_button(ui.theme, "Another name", {half, high})) ui.push(LeaveName{});
  ImGui::SameLine(0, step);
  if (push_button(ui.theme, e.number.empty() ? "Present" : "Enter it", {half, high})) ui.push(TakeNumber{});
}

void button_grid(const Ui& ui, float width, float height) {
  const EntrySheet& e = *ui.state.entry;
  if (!e.number_trouble.empty()) notice(ui.theme, e.number_trouble);
  const bool usual =
      std::any_of(e.common.begin(), e.common.end(), [](const CommonTaxon& c) { return c.samples == 0; });
  const bool own =
      std::any_of(e.common.begin(), e.common.end(), [](const CommonTaxon& c) { return c.samples > 0; });
  const std::string tap = e.way == TallyWay::kCount   ? " A tap is one animal more."
                          : e.way == TallyWay::kClass ? " A tap is the next class."
                                                      : " A tap says present.";
  small_muted(ui.theme, (!usual ? "The commonest in this survey."
                         : own ? "The commonest in this survey, filled up with common ones (common practice)."
                               : "Common animals (common practice, no source); your own take their place.") +
                            tap);
  const float gap_px = std::round(ui.theme.em * 0.3F);
  const int columns = std::clamp(static_cast<int>(width / (ui.theme.em * 8.6F)), 2, 5);
  const int rows = (static_cast<int>(e.common.size()) + columns - 1) / columns;
  const float across =
      std::floor((width - gap_px * static_cast<float>(columns - 1)) / static_cast<float>(columns));
  std::vector<TallButton> buttons;
  for (const CommonTaxon& common : e.common) {
    const NameChoice& c = common.name;
    buttons.push_back({c.shown,
                       c.lineage.front().listed ? c.detail.substr(0, c.detail.find(',')) : "your own name",
                       standing(e, c.lineage.front().key)});
  }
  float high =
      std::clamp(std::floor((height - ui.theme.em * 1.6F) / static_cast<float>(std::max(rows, 1)) - gap_px),
                 ui.theme.row(2.0F), ui.theme.em * 5.5F);
  for (const TallButton& button : buttons) high = std::max(high, tall_height(ui, button, across, false));
  ImGui::PushStyleVar(ImGuiStyleVar_ItemSpacing, ImVec2(gap_px, gap_px));
  for (std::size_t i = 0; i < buttons.size(); ++i) {
    if (static_cast<int>(i) % columns != 0) ImGui::SameLine();
    const std::string id = "##tap" + std::to_string(i);
    if (tall_button(ui, id.c_str(), {across, high}, buttons[i], !buttons[i].stands.empty()))
      ui.push(TapTaxon{i});
  }
  ImGui::PopStyleVar();
}

// Names, keys and buttons below the field; in a narrow window the tally too, behind them.
void below_name(const Ui& ui, bool with_lines) {
  const EntrySheet& e = *ui.state.entry;
  ImGui::BeginChild("below", {0, 0});
  const float room = ImGui::GetContentRegionAvail().x;
  if (e.chosen) {
    keypad(ui, room, ImGui::GetContentRegionAvail().y);
  } else if (!e.typed.empty()) {
    choice_rows(ui, room);
  } else {
    // In a low window the buttons come first, and how they count behind them.
    const bool low = with_lines && ImGui::GetContentRegionAvail().y < ui.theme.em * 12;
    if (low) button_grid(ui, room, 0);
    ways_row(ui, room);
    scheme_row(ui, room);
    if (!low) button_grid(ui, room, ImGui::GetContentRegionAvail().y);
  }
  if (with_lines && !e.chosen && e.typed.empty()) {
    gap(ui.theme, 0.3F);
    draw_entry_lines(ui, false);
  }
  ImGui::EndChild();
}

constexpr float kBeside_ems = 30;  // narrower: the tally stands below the buttons

}  // namespace

void draw_entry_tally(const Ui& ui) {
  const float em = ui.theme.em, width = ImGui::GetContentRegionAvail().x;
  if (width < em * kBeside_ems) {
    name_row(ui, width);
    below_name(ui, true);
    return;
  }
  const float right = std::clamp(width * 0.34F, std::min(em * 13, width * 0.45F), em * 30);
  const float left = width - right - em * 1.2F;
  ImGui::BeginChild("by hand", {left, 0});
  name_row(ui, ImGui::GetContentRegionAvail().x);
  below_name(ui, false);
  ImGui::EndChild();
  ImGui::SameLine(0, em * 1.2F);
  ImGui::BeginChild("tally", {0, 0});
  draw_entry_lines(ui, true);
  ImGui::EndChild();
}

}  // namespace brookmark::viewer
