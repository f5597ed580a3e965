// The bars above and below: what is shown and by which method; what it does not mean.
#include <algorithm>
#include <cmath>

#include "core/survey/cautions.hpp"
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

// As wide as the longest line, as far as the window allows; longer ones are folded.
float method_list_width(const Ui& ui) {
  const float em = ui.theme.em;
  float widest = em * 20;
  for (const core::Method* method : ui.model.methods()) {
    widest = std::max(widest, ui.theme.strong->CalcTextSizeA(em, 1e6F, 0, method->title.c_str()).x);
    const std::string below = scope_line(*method);
    widest =
        std::max(widest, ui.theme.small->CalcTextSizeA(ui.theme.small->FontSize, 1e6F, 0, below.c_str()).x);
  }
  return std::min({widest + em, em * 40, ImGui::GetIO().DisplaySize.x * 0.55F});
}

void method_row(const Ui& ui, std::size_t m, float width) {
  const core::Method& method = *ui.model.methods()[m];
  const bool on = ui.state.choice.method == m;
  ImGui::PushID(static_cast<int>(m));
  const float em = ui.theme.em, wrap = width - em * 0.8F;
  const std::string below = scope_line(method);
  const float above_height = ui.theme.strong->CalcTextSizeA(em, 1e6F, wrap, method.title.c_str()).y;
  const float size = ui.theme.small->FontSize;
  const float below_height = ui.theme.small->CalcTextSizeA(size, 1e6F, wrap, below.c_str()).y;
  if (ImGui::Selectable("##method", on, 0, {width, std::round(above_height + below_height + em * 0.65F)}))
    ui.push(ChooseMetric{{m, 0}});
  const ImVec2 at = ImGui::GetItemRectMin();
  ImDrawList& list = *ImGui::GetWindowDrawList();
  list.AddText(ui.theme.strong, em, {at.x + em * 0.4F, at.y + em * 0.25F}, im(ui.theme.ink.text),
               method.title.c_str(), nullptr, wrap);
  list.AddText(ui.theme.small, size, {at.x + em * 0.4F, at.y + std::round(em * 0.4F + above_height)},
               im(ui.theme.ink.muted), below.c_str(), nullptr, wrap);
  ImGui::PopID();
}

void choosers(const Ui& ui, float method_width, float metric_width) {
  const auto methods = ui.model.methods();
  const core::Method& method = *methods[ui.state.choice.method];
  ImGui::SetNextItemWidth(method_width);
  if (ImGui::BeginCombo("##methods", method.title.c_str(), ImGuiComboFlags_HeightLargest)) {
    const float width = method_list_width(ui);
    for (std::size_t m = 0; m < methods.size(); ++m) method_row(ui, m, width);
    ImGui::EndCombo();
  }
  hint_below(ui.theme, "The method behind the classes: " + method.title);
  if (metric_width <= 0) return;
  ImGui::SameLine();
  ImGui::SetNextItemWidth(metric_width);
  const core::Metric& metric = method.metrics[ui.state.choice.metric];
  if (ImGui::BeginCombo("##metrics", metric.title.c_str(), ImGuiComboFlags_HeightLargest)) {
    for (std::size_t k = 0; k < method.metrics.size(); ++k) {
      std::string name = method.metrics[k].title;
      if (method.metrics[k].bands.empty()) name += "  (no classes)";
      if (ImGui::Selectable(name.c_str(), k == ui.state.choice.metric, 0, {0, ui.theme.em * 1.8F}))
        ui.push(ChooseMetric{{ui.state.choice.method, k}});
    }
    ImGui::EndCombo();
  }
}

}  // namespace

void draw_top_bar(const Ui& ui) {
  const float em = ui.theme.em;
  ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, ImVec2(em * 0.9F, em * 0.6F));
  begin_part("top", ui.layout.top, ui.theme.ink.bar);
  ImGui::PopStyleVar();
  const auto width = static_cast<float>(ui.layout.top.width);
  const bool any_method = !ui.model.methods().empty();
  const core::Confirmed confirmed =
      ui.assessment ? ui.assessment->method->confirmed : core::Confirmed::kDocument;
  const std::string badge_words = confirmed_badge(confirmed);
  float badge_width = 0;
  if (!badge_words.empty()) {
    const FontScope small(ui.theme.small);
    badge_width = ImGui::CalcTextSize(badge_words.c_str()).x + em * 1.5F;
  }
  const bool several = ui.assessment && ui.assessment->method->metrics.size() > 1;
  const float method_width = std::min(em * 20, width * 0.3F),
              metric_width = several ? std::min(em * 16, width * 0.22F) : 0;
  const float right = method_width + metric_width + badge_width + em * (several ? 1.9F : 1.4F);
  const std::string title =
      ui.snapshot().survey.title.empty() ? "Untitled survey" : ui.snapshot().survey.title;
  {
    const FontScope font(ui.theme.title);
    const ImVec2 at = ImGui::GetCursorScreenPos();
    const float free = width - right - em * 0.9F;
    ImGui::GetWindowDrawList()->AddText({at.x, at.y + std::round((em * 2.1F - ui.theme.title->FontSize) / 2)},
                                        im(ui.theme.ink.bar_text), fitted(title, free).c_str());
    ImGui::Dummy({std::max(free, 1.0F), em * 2});
    if (ImGui::IsItemHovered()) {
      const FontScope body(ui.theme.body);
      const std::string path = ui.model.session().path.string();
      ImGui::SetTooltip("%s%s%s", title.c_str(), path.empty() ? "" : "\n", path.c_str());
    }
  }
  if (any_method && ui.assessment) {
    const float top = em * 0.6F;
    ImGui::SetCursorPos({width - right, top});
    choosers(ui, method_width, metric_width);
    if (!badge_words.empty()) {
      ImGui::SetCursorPos({width - badge_width - em * 0.5F, top + em * 0.4F});
      badge(ui.theme, badge_words);
      hint_below(ui.theme, confirmed_sentence(confirmed));
    }
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
  {
    const FontScope font(ui.theme.small);
    const ImVec2 at = ImGui::GetWindowPos();
    ImGui::GetWindowDrawList()->AddText(
        {at.x + em * 0.9F, at.y + std::round((height - ui.theme.small->FontSize) / 2)}, im(ui.theme.ink.text),
        fitted(core::kResultCautionShort, width - button - em * 2.2F).c_str());
    ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, ImVec2(0, 0));
    ImGui::PushStyleColor(ImGuiCol_Button, IM_COL32(0, 0, 0, 0));
    ImGui::SetCursorPos({width - button - em * 0.3F, 0});
    asked = ImGui::Button("\u26A0  Cautions", {button, height});
    ImGui::PopStyleColor();
    ImGui::PopStyleVar();
  }
  if (asked) ImGui::OpenPopup("Cautions");
  const ImGuiIO& io = ImGui::GetIO();
  ImGui::SetNextWindowPos({io.DisplaySize.x / 2, io.DisplaySize.y / 2}, ImGuiCond_Always, {0.5F, 0.5F});
  ImGui::SetNextWindowSize({std::min(em * 34, io.DisplaySize.x * 0.9F), 0});
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
  if (io.WantTextInput || ui.state.entry) return;
  for (const ImWchar c : io.InputQueueCharacters) {
    if (c == '+' || c == '=') ui.push(ZoomCentre{1.4});
    if (c == '-') ui.push(ZoomCentre{1 / 1.4});
    if (c == 'f' || c == 'F') ui.push(Fit{});
    if (c == '[') ui.push(StepDate{-1});
    if (c == ']') ui.push(StepDate{1});
    if (c == 'p' || c == 'P') ui.push(PlayTime{!ui.state.time.playing});
  }
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
