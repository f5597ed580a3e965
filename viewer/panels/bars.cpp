// The bars above and below: what is shown and by which method; which day; what it does not mean.
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

namespace {

struct Track {
  float left, right, middle;
  core::Date first, last;
  float to_x(core::Date d) const {
    const auto span = static_cast<float>(last.days - first.days);
    return span <= 0 ? (left + right) / 2
                     : left + (right - left) * static_cast<float>(d.days - first.days) / span;
  }
  core::Date to_date(float x) const {
    const double share = right > left ? std::clamp((x - left) / (right - left), 0.0F, 1.0F) : 0;
    return core::Date{first.days + static_cast<std::int32_t>(std::lround(share * (last.days - first.days)))};
  }
};

// Years, or months where the survey is short.
void draw_calendar(const Ui& ui, const Track& track, ImDrawList& list) {
  const float em = ui.theme.em;
  const core::YearMonthDay from = core::year_month_day(track.first), to = core::year_month_day(track.last);
  const int months = (to.year - from.year) * 12 + to.month - from.month;
  const bool by_month = months <= 20;
  float next_free = track.left - em;
  for (int m = from.year * 12 + from.month - 1; m <= to.year * 12 + to.month - 1; ++m) {
    if (!by_month && m % 12 != 0) continue;
    const core::Date start = core::make_date({m / 12, m % 12 + 1, 1});
    if (start < track.first || start > track.last) continue;
    const float x = std::round(track.to_x(start));
    const std::string words =
        by_month ? month_name(m % 12 + 1).substr(0, 3) + (m % 12 == 0 ? " " + std::to_string(m / 12) : "")
                 : std::to_string(m / 12);
    list.AddLine({x, track.middle + em * 0.35F}, {x, track.middle + em * 0.95F}, im(ui.theme.ink.muted), 1);
    const float width = ui.theme.small->CalcTextSizeA(ui.theme.small->FontSize, 1e6F, 0, words.c_str()).x;
    if (x < next_free || x + em * 0.25F + width > track.right + em * 1.2F) continue;
    list.AddText(ui.theme.small, ui.theme.small->FontSize, {x + em * 0.25F, track.middle + em * 0.42F},
                 im(ui.theme.ink.muted), words.c_str());
    next_free = x + width + em * 0.8F;
  }
}

void draw_track(const Ui& ui, float left, float top, float width) {
  const float em = ui.theme.em;
  const auto days = ui.model.sampling_dates();
  Track track{left + em * 0.8F, left + width - em * 0.8F, top + em * 0.95F, days.front(), days.back()};
  ImGui::SetCursorScreenPos({left, top});
  ImGui::InvisibleButton("track", {std::max(width, 1.0F), em * 2.3F});
  const bool active = ImGui::IsItemActive(), hovered = ImGui::IsItemHovered();
  ImDrawList& list = *ImGui::GetWindowDrawList();
  list.AddRectFilled({track.left - em * 0.3F, track.middle - em * 0.16F},
                     {track.right + em * 0.3F, track.middle + em * 0.16F}, im(ui.theme.ink.field_active),
                     em * 0.16F);
  draw_calendar(ui, track, list);
  float last_x = -1e9F;
  for (const core::Date day : days) {
    const float x = std::round(track.to_x(day));
    if (x - last_x < 2) continue;  // many days on one pixel are one tick
    last_x = x;
    const bool past = ui.state.date && day <= *ui.state.date;
    list.AddRectFilled({x - 1, track.middle - em * 0.45F}, {x + 1, track.middle + em * 0.2F},
                       im(past ? ui.theme.ink.accent : ui.theme.ink.edge));
  }
  if (!ui.state.date) return;
  const float x = track.to_x(*ui.state.date);
  const float r = em * (active ? 0.72F : hovered ? 0.66F : 0.6F);
  list.AddRectFilled({track.left - em * 0.3F, track.middle - em * 0.16F}, {x, track.middle + em * 0.16F},
                     im(ui.theme.ink.accent), em * 0.16F);
  list.AddCircleFilled({x, track.middle}, r + 2, im(ui.theme.ink.panel), 32);
  list.AddCircleFilled({x, track.middle}, r, im(ui.theme.ink.accent), 32);
  list.AddCircleFilled({x, track.middle}, r * 0.36F, im(ui.theme.ink.on_accent), 16);
  if (!active) return;
  // A sampling day within a finger's width catches the knob.
  core::Date date = track.to_date(ImGui::GetIO().MousePos.x);
  const auto after = std::lower_bound(days.begin(), days.end(), date);
  float nearest = em * 0.45F;
  for (auto at = after == days.begin() ? after : after - 1; at != days.end() && at - after < 2; ++at)
    if (const float d = std::abs(track.to_x(*at) - ImGui::GetIO().MousePos.x); d < nearest)
      nearest = d, date = *at;
  if (date != *ui.state.date) ui.push(SetDate{date});
}

}  // namespace

void draw_time_bar(const Ui& ui) {
  const float em = ui.theme.em;
  begin_part("time", ui.layout.time, ui.theme.ink.panel);
  const ImVec2 corner = ImGui::GetWindowPos();
  const auto width = static_cast<float>(ui.layout.time.width);
  ImDrawList& edge = *ImGui::GetWindowDrawList();
  edge.PushClipRectFullScreen();
  edge.AddLine(corner, {corner.x + width, corner.y}, im(ui.theme.ink.line), 1);
  edge.PopClipRect();
  const auto days = ui.model.sampling_dates();
  const float left = corner.x + em * 0.9F;
  if (days.empty() || !ui.state.date) {
    ImGui::SetCursorScreenPos({left, corner.y + em * 1.2F});
    muted("No dates yet: this survey has no samples.");
    ImGui::End();
    return;
  }
  const core::Date date = *ui.state.date;
  const std::size_t here = ui.model.samples_on(date);
  std::string words = day_and_season(date, ui.southern());
  std::string below;
  if (days.size() == 1)
    below = "the only sampling day";
  else if (here > 0)
    below = count_of(here, "sample", "samples") + " this day";
  else
    below = "no sample this day; sites show their newest before it";
  {
    const FontScope font(ui.theme.strong);
    ImGui::SetCursorScreenPos({left, corner.y + em * 0.5F});
    words = fitted(words, width - em * 2);
    text(words);
  }
  const float used = ui.theme.strong->CalcTextSizeA(em, 1e6F, 0, words.c_str()).x;
  if (const float free = width - used - em * 3; free > em * 6) {
    const FontScope font(ui.theme.small);
    ImGui::GetWindowDrawList()->AddText(
        {left + used + em * 0.8F, corner.y + em * 0.5F + std::round(em * 0.14F)}, im(ui.theme.ink.muted),
        fitted(below, free).c_str());
  }
  const float side = std::round(em * 2.5F), top = corner.y + em * 2.05F;
  ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, ImVec2(0, 0));
  const auto step = [&](const char* label, const char* hint, float x, int by, bool possible) {
    ImGui::SetCursorScreenPos({x, top});
    ImGui::BeginDisabled(!possible);
    if (ImGui::Button(label, {side, side})) ui.push(StepDate{by});
    ImGui::EndDisabled();
    if (ImGui::IsItemHovered()) ImGui::SetTooltip("%s", hint);
  };
  step("\u25C0", "Previous sampling day ( [ )", left, -1, date > days.front());
  step("\u25B6", "Next sampling day ( ] )", left + side + em * 0.25F, 1, date < days.back());
  ImGui::PopStyleVar();
  const float track = left + side * 2 + em * 0.8F;
  draw_track(ui, track, top + em * 0.2F, corner.x + width - track - em * 0.4F);
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
  if (io.WantTextInput) return;
  for (const ImWchar c : io.InputQueueCharacters) {
    if (c == '+' || c == '=') ui.push(ZoomCentre{1.4});
    if (c == '-') ui.push(ZoomCentre{1 / 1.4});
    if (c == 'f' || c == 'F') ui.push(Fit{});
    if (c == '[') ui.push(StepDate{-1});
    if (c == ']') ui.push(StepDate{1});
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
