// The bars above and below: what is shown and by which method; what it does not mean.
#include <algorithm>
#include <cmath>

#include "core/survey/cautions.hpp"
#include "viewer/panels/pages_internal.hpp"
#include "viewer/panels/panels_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

std::string scope_line(const core::Method& method) {
  std::string words = method.flow == core::Flow::kRunning ? "running water"
                      : method.flow == core::Flow::kStill ? "still water"
                                                          : "any water";
  if (!method.region.empty()) words += " \u00B7 " + method.region;
  if (const std::string word = confirmed_badge(method.confirmed); !word.empty()) words += " \u00B7 " + word;
  return words;
}

// Of the method that is chosen: its title, and in small its metric, in one button that opens the list.
struct Chooser {
  std::string above, below;  // without `below` the words above may take two lines in small
  float width = 0, list_width = 0;
};
constexpr float kChooserSides_ems = 2.4F;  // of its width, what is not for words

float width_in(const ImFont* font, const std::string& words) {
  return font->CalcTextSizeA(font->FontSize, 1e6F, 0, words.c_str()).x;
}

// The longest wording that stands whole in the button: first with the metric in one line and `belows` in the next, then
// the metric in two, at last the method's short name.
void word_chooser(const Ui& ui, Chooser& chooser, std::span<const std::string> belows, float most) {
  const float room = most - ui.theme.em * kChooserSides_ems;
  const core::Method& method = *ui.assessment->method;
  const std::string& metric = ui.assessment->metric_info().title;
  chooser.above = metric;
  chooser.below = first_that_fits(belows, ui.theme.small, room);
  if (width_in(ui.theme.strong, metric) > room) {
    const std::string shorter[] = {method.title, ui.assessment->metric_info().id, method.id};
    chooser.above = first_that_fits(shorter, ui.theme.strong, room);
    if (chooser.above.empty() ||
        (chooser.below.empty() && height_of(ui.theme.small, metric, room) <= 2 * ui.theme.small->FontSize))
      chooser.above = metric, chooser.below.clear();
  }
  const float words =
      std::max(width_in(ui.theme.strong, chooser.above), width_in(ui.theme.small, chooser.below));
  chooser.width = std::min(std::ceil(words + ui.theme.em * kChooserSides_ems) + 2, most);
}

Chooser chooser_of(const Ui& ui, std::span<const std::string> belows, float most) {
  const float em = ui.theme.em, small = ui.theme.small->FontSize;
  Chooser chooser{{}, {}, 0, em * 22};
  word_chooser(ui, chooser, belows, most);
  for (const core::Method* m : ui.model.methods())
    chooser.list_width =
        std::max({chooser.list_width, ui.theme.strong->CalcTextSizeA(em, 1e6F, 0, m->title.c_str()).x + em,
                  ui.theme.small->CalcTextSizeA(small, 1e6F, 0, scope_line(*m).c_str()).x + em});
  chooser.list_width = std::min({chooser.list_width, em * 40, ImGui::GetIO().DisplaySize.x - em * 4});
  return chooser;
}

// A method with what it is for; where it gives several numbers, each is a line below it.
void method_lines(const Ui& ui, std::size_t m, float width) {
  const core::Method& method = *ui.model.methods()[m];
  const bool chosen = ui.state.choice.method == m, several = method.metrics.size() > 1;
  const float em = ui.theme.em, wrap = width - em * 0.8F, size = ui.theme.small->FontSize;
  const std::string below = scope_line(method);
  ImGui::PushID(static_cast<int>(m));
  const float above_height = ui.theme.strong->CalcTextSizeA(em, 1e6F, wrap, method.title.c_str()).y;
  const float below_height = ui.theme.small->CalcTextSizeA(size, 1e6F, wrap, below.c_str()).y;
  const float height = std::round(above_height + below_height + em * 0.65F);
  if (ImGui::Selectable("##method", chosen && !several, 0, {width, std::max(height, ui.theme.target)}))
    ui.push(ChooseMetric{{m, 0}});
  const ImVec2 at = ImGui::GetItemRectMin();
  ImDrawList& list = *ImGui::GetWindowDrawList();
  list.AddText(ui.theme.strong, em, {at.x + em * 0.4F, at.y + em * 0.25F}, im(ui.theme.ink.text),
               method.title.c_str(), nullptr, wrap);
  list.AddText(ui.theme.small, size, {at.x + em * 0.4F, at.y + std::round(em * 0.4F + above_height)},
               im(ui.theme.ink.muted), below.c_str(), nullptr, wrap);
  for (std::size_t k = 0; several && k < method.metrics.size(); ++k) {
    const core::Metric& metric = method.metrics[k];
    const std::string name = metric.title + (metric.bands.empty() ? "  (no classes)" : "");
    const float left = em * 1.6F, room = width - left - em * 0.4F,
                words = height_of(ui.theme.body, name, room);
    ImGui::PushID(static_cast<int>(k));
    const ImVec2 corner = ImGui::GetCursorScreenPos();
    const float line = std::max(ui.theme.row(1.7F), std::ceil(words + em * 0.5F));
    if (ImGui::Selectable("##metric", chosen && ui.state.choice.metric == k, 0, {width, line}))
      ui.push(ChooseMetric{{m, k}});
    put_words(list, ui.theme.body, {corner.x + left, corner.y + (line - words) / 2}, room, ui.theme.ink.text,
              name);
    ImGui::PopID();
  }
  ImGui::PopID();
}

void draw_chooser(const Ui& ui, const Chooser& chooser, float height) {
  const float em = ui.theme.em;
  ImGui::PushStyleColor(ImGuiCol_Button, im(ui.theme.ink.bar_field));
  ImGui::PushStyleColor(ImGuiCol_ButtonHovered, im(ui.theme.ink.bar_field));
  ImGui::PushStyleColor(ImGuiCol_ButtonActive, im(ui.theme.ink.bar_field));
  if (ImGui::Button("##method and metric", {chooser.width, height})) ImGui::OpenPopup("methods");
  tell_target("Method");
  ImGui::PopStyleColor(3);
  const ImVec2 low = ImGui::GetItemRectMin(), high = ImGui::GetItemRectMax();
  hint(ui.theme, "The method behind the classes: " + ui.assessment->method->title);
  ImDrawList& list = *ImGui::GetWindowDrawList();
  const float room = chooser.width - em * kChooserSides_ems + 1;
  const bool one_line = width_in(ui.theme.strong, chooser.above) <= room;
  ImFont* font = one_line ? ui.theme.strong : ui.theme.small;
  const float above = height_of(font, chooser.above, room),
              below = chooser.below.empty() ? 0 : height_of(ui.theme.small, chooser.below, room);
  const float top = low.y + (height - above - below) / 2;
  put_words(list, font, {low.x + em * 0.6F, top}, room, ui.theme.ink.bar_text, chooser.above);
  put_words(list, ui.theme.small, {low.x + em * 0.6F, top + above + std::round(em * 0.05F)}, room,
            ui.theme.ink.bar_muted, chooser.below);
  list.AddText({high.x - em * 1.4F, std::round(low.y + (height - em) / 2)}, im(ui.theme.ink.bar_text),
               "\u25BE");
  // Under the button, whole; for fingers in the middle, where there is the most room.
  const ImVec2 window = ImGui::GetIO().DisplaySize;
  const float wide = chooser.list_width + 2 * ImGui::GetStyle().WindowPadding.x;
  if (ui.theme.touch)
    ImGui::SetNextWindowPos({window.x / 2, window.y / 2}, ImGuiCond_Always, {0.5F, 0.5F});
  else
    ImGui::SetNextWindowPos({std::max(high.x, std::min(wide, window.x)), high.y + em * 0.2F},
                            ImGuiCond_Always, {1, 0});
  ImGui::SetNextWindowSizeConstraints(
      {0, 0}, {window.x, ui.theme.touch ? window.y - 2 * em : window.y - high.y - em});
  if (!ImGui::BeginPopup("methods")) return;
  for (std::size_t m = 0; m < ui.model.methods().size(); ++m) method_lines(ui, m, chooser.list_width);
  ImGui::EndPopup();
}

// Words where there is room for them, else the sign alone.
void draw_find_button(const Ui& ui, float width, float height, bool with_word) {
  ImGui::PushStyleColor(ImGuiCol_Button, im(ui.theme.ink.bar_field));
  ImGui::PushStyleColor(ImGuiCol_ButtonHovered, im(ui.theme.ink.bar_field));
  ImGui::PushStyleColor(ImGuiCol_ButtonActive, im(ui.theme.ink.bar_field));
  ImGui::PushStyleColor(ImGuiCol_Text, im(ui.theme.ink.bar_text));
  ImGui::PushID("find");
  if (ImGui::Button(with_word ? "Find" : "##find", {width, height})) ui.push(OpenFind{});
  tell_target("Find");
  ImGui::PopID();
  ImGui::PopStyleColor(4);
  const ImVec2 low = ImGui::GetItemRectMin();
  const float em = ui.theme.em, r = em * 0.36F;
  // A lens: the symbol fonts have none that can be read small.
  const ImVec2 middle{with_word ? low.x + em * 1.15F : low.x + width / 2 - em * 0.1F,
                      low.y + height / 2 - em * 0.1F};
  const float stroke = std::max(1.5F, em * 0.13F);
  ImDrawList& list = *ImGui::GetWindowDrawList();
  list.AddCircle(middle, r, im(ui.theme.ink.bar_text), 24, stroke);
  list.AddLine({middle.x + r * 0.7F, middle.y + r * 0.7F}, {middle.x + r * 1.7F, middle.y + r * 1.7F},
               im(ui.theme.ink.bar_text), stroke);
}

}  // namespace

void draw_top_bar(const Ui& ui) {
  const float em = ui.theme.em;
  ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, ImVec2(em * 0.9F, em * 0.4F));
  begin_part("top", ui.layout.top, ui.theme.ink.bar);
  ImGui::PopStyleVar();
  const auto width = static_cast<float>(ui.layout.top.width), full = static_cast<float>(ui.layout.top.height);
  const float height = full - 2 * std::round(em * 0.4F), top = std::round(em * 0.4F);
  const core::Confirmed confirmed =
      ui.assessment ? ui.assessment->method->confirmed : core::Confirmed::kDocument;
  const std::string badge_words = confirmed_badge(confirmed);
  float badge_width = 0;
  if (!badge_words.empty())
    badge_width =
        ui.theme.small->CalcTextSizeA(ui.theme.small->FontSize, 1e6F, 0, badge_words.c_str()).x + em * 1.2F;
  const bool roomy = width > em * 56;
  // In a narrow window the badge gives way: the chooser says the same in its second line.
  const bool show_badge = !badge_words.empty() && ui.layout.rail.width > 0;
  if (!show_badge) badge_width = 0;
  const float find_width = roomy ? em * 6.5F : std::max(em * 2.4F, ui.theme.target);
  Chooser chooser;
  if (ui.assessment) {
    const core::Method& method = *ui.assessment->method;
    std::vector<std::string> belows;
    // Where the bar of time has no room for it, the day stands here.
    const bool day_in_bar = ui.layout.time.width > 0 && ui.layout.time_rows.day;
    if (!day_in_bar && ui.layout.map.width > 0 && ui.state.date) {
      const std::string day = "to " + short_date(*ui.state.date);
      belows = {day + " \u00B7 " + badge_words, day};
      if (badge_words.empty()) belows.erase(belows.begin());
    } else if (!badge_words.empty() && !show_badge) {
      belows = {badge_words};
    } else {
      if (method.title != ui.assessment->metric_info().title) belows.push_back(method.title);
      belows.push_back(scope_line(method));
      belows.push_back(method.id);
    }
    chooser = chooser_of(ui, belows,
                         std::max(em * 8, std::min(em * 26, width - badge_width - find_width - em * 9)));
  }
  float x = width - em * 0.7F;
  if (show_badge) {
    x -= badge_width - em * 0.4F;
    ImGui::SetCursorPos({x, std::round((full - ui.theme.small->FontSize - em * 0.35F) / 2)});
    badge(ui.theme, badge_words);
    ImGui::SetCursorPos({x, 0});  // as high as a fingertip
    ImGui::Dummy({badge_width - em * 0.4F, full});
    tell_target(badge_words);
    hint(ui.theme, confirmed_sentence(confirmed));
    x -= em * 0.5F;
  }
  if (ui.assessment) {
    x -= chooser.width;
    ImGui::SetCursorPos({x, top});
    draw_chooser(ui, chooser, height);
    x -= em * 0.5F;
  }
  x -= find_width;
  ImGui::SetCursorPos({x, top});
  draw_find_button(ui, find_width, height, roomy);
  if (ui.layout.rail.width <= 0) {
    const float left = std::round(em * 0.5F);
    ImGui::SetCursorPos({left, top});
    draw_page_menu(ui, std::max(std::min(em * 7, x - left - em * 0.4F), em * 2), height);
    ImGui::End();
    return;
  }
  const std::string title = ui.snapshot().survey.title.empty() ? "Brookmark" : ui.snapshot().survey.title;
  // In one line, or in as many smaller ones as the bar has room for; where it has none, the page Survey has the title.
  const ImVec2 corner = ImGui::GetWindowPos();
  const float room = x - em * 1.5F;
  if (room > em * 3)
    for (ImFont* font : {ui.theme.title, ui.theme.strong, ui.theme.small}) {
      const float high = height_of(font, title, room);
      const bool fits = font == ui.theme.title ? high <= font->FontSize : high <= full - em * 0.3F;
      if (!fits) continue;
      put_words(*ImGui::GetWindowDrawList(), font, {corner.x + em * 0.9F, corner.y + (full - high) / 2}, room,
                ui.theme.ink.bar_text, title);
      break;
    }
  ImGui::End();
}

void draw_caution(const Ui& ui) {
  const float em = ui.theme.em;
  ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, ImVec2(em * 0.9F, 0));
  begin_part("caution", ui.layout.caution, ui.theme.ink.caution);
  ImGui::PopStyleVar();
  const auto width = static_cast<float>(ui.layout.caution.width),
             height = static_cast<float>(ui.layout.caution.height);
  const float button = em * 6.5F;
  bool asked = false;
  ImGui::PushFont(ui.theme.small);
  const ImVec2 at = ImGui::GetWindowPos();
  const float words_height =
      ImGui::CalcTextSize(core::kResultCautionShort, nullptr, false, width - button - em * 2.2F).y;
  if (words_height > height) {  // a low window: the whole strip opens the sentences
    ImGui::SetCursorPos({0, 0});
    asked = ImGui::InvisibleButton("cautions", {width, height});
    tell_target("Cautions");
    // The longest wording that stands whole.
    const float room = width - em * 1.8F;
    const std::string sign = "\u26A0  ";
    for (const std::string& words :
         {sign + core::kResultCautionShort,
          sign + "Evidence about ecology, not a statement that water is safe or lawful",
          sign + "Evidence about ecology, not about safety", sign + "Cautions"}) {
      const float high = height_of(ui.theme.small, words, room);
      if (high > height && !words.ends_with("Cautions")) continue;
      put_words(*ImGui::GetWindowDrawList(), ui.theme.small, {at.x + em * 0.9F, at.y + (height - high) / 2},
                room, ui.theme.ink.text, words);
      break;
    }
  } else {
    ImGui::GetWindowDrawList()->AddText(ui.theme.small, ui.theme.small->FontSize,
                                        {at.x + em * 0.9F, at.y + std::round((height - words_height) / 2)},
                                        im(ui.theme.ink.text), core::kResultCautionShort, nullptr,
                                        width - button - em * 2.2F);
    ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, ImVec2(0, 0));
    ImGui::PushStyleVar(ImGuiStyleVar_FrameBorderSize, 0);
    ImGui::PushStyleColor(ImGuiCol_Button, IM_COL32(0, 0, 0, 0));
    ImGui::SetCursorPos({width - button - em * 0.3F, 0});
    asked = ImGui::Button("\u26A0  Cautions", {button, height});
    ImGui::PopStyleColor();
    ImGui::PopStyleVar(2);
  }
  ImGui::PopFont();
  if (asked) ImGui::OpenPopup("Cautions");
  const ImGuiIO& io = ImGui::GetIO();
  ImGui::SetNextWindowPos({io.DisplaySize.x / 2, io.DisplaySize.y / 2}, ImGuiCond_Always, {0.5F, 0.5F});
  ImGui::SetNextWindowSize({std::min(em * 34, io.DisplaySize.x * 0.9F), 0});
  ImGui::SetNextWindowSizeConstraints({0, 0}, {1e6F, io.DisplaySize.y * 0.94F});
  if (ImGui::BeginPopup("Cautions", ImGuiWindowFlags_NoMove)) {
    {
      const FontScope font(ui.theme.title);
      text("Cautions");
    }
    std::vector<const char*> sentences{core::kResultCaution};
    sentences.insert(sentences.end(), std::begin(core::kFieldCautions), std::end(core::kFieldCautions));
    for (const char* sentence : sentences) {
      gap(ui.theme, 0.2F);
      wrapped(sentence);
    }
    gap(ui.theme, 0.4F);
    if (push_button(ui.theme, "Close", {em * 8, 0})) ImGui::CloseCurrentPopup();
    ImGui::EndPopup();
  }
  ImGui::End();
}

void take_keys(const Ui& ui) {
  const ImGuiIO& io = ImGui::GetIO();
  if (io.WantTextInput || ui.state.entry || desk_is_covered(ui.state)) return;
  for (const ImWchar c : io.InputQueueCharacters) {
    if (c == '+' || c == '=') ui.push(ZoomCentre{1.4});
    if (c == '-') ui.push(ZoomCentre{1 / 1.4});
    if (c == 'f' || c == 'F') ui.push(Fit{});
    if (c == '/') ui.push(OpenFind{});
    if (c == '?') ui.push(ShowPage{Page::kHelp});
    if (c == '[') ui.push(StepDate{-1});
    if (c == ']') ui.push(StepDate{1});
    if (c == 'p' || c == 'P') ui.push(PlayTime{!ui.state.time.playing});
  }
  if (io.KeyCtrl && ImGui::IsKeyPressed('F', false)) ui.push(OpenFind{});
  // Smaller and larger words, also where the window is too small for the page of settings.
  const auto resize = [&](double scale) {
    Settings next = ui.state.settings;
    next.scale = scale;
    ui.push(ChangeSettings{next});
  };
  if (io.KeyCtrl && ImGui::IsKeyPressed('-', false)) resize(ui.state.settings.scale - 0.25);
  if (io.KeyCtrl && ImGui::IsKeyPressed('=', false)) resize(ui.state.settings.scale + 0.25);
  if (io.KeyCtrl && ImGui::IsKeyPressed('0', false)) resize(1);
  const bool popup = ImGui::IsPopupOpen(nullptr, ImGuiPopupFlags_AnyPopupId | ImGuiPopupFlags_AnyPopupLevel);
  if (!popup && ImGui::IsKeyPressed(ImGui::GetKeyIndex(ImGuiKey_Escape), false)) ui.push(ClearAll{});
  if (popup || io.NavVisible || ImGui::IsAnyItemActive()) return;
  const double step = ui.theme.em * 4.0;
  const auto pressed = [](ImGuiKey key) { return ImGui::IsKeyPressed(ImGui::GetKeyIndex(key), true); };
  if (pressed(ImGuiKey_LeftArrow)) ui.push(Pan{step, 0});
  if (pressed(ImGuiKey_RightArrow)) ui.push(Pan{-step, 0});
  if (pressed(ImGuiKey_UpArrow)) ui.push(Pan{0, step});
  if (pressed(ImGuiKey_DownArrow)) ui.push(Pan{0, -step});
}

}  // namespace brookmark::viewer
