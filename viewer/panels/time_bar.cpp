// The bar of time: the day the map speaks of, the samples behind it (window of days, seasons), and the slider with a
// histogram of all samples above its line.
#include <algorithm>
#include <cmath>

#include "viewer/actions/time_actions.hpp"
#include "viewer/panels/panels_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"
#include "viewer/state/time_bins.hpp"

namespace brookmark::viewer {
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
    list.AddLine({x, track.middle + em * 0.3F}, {x, track.middle + em * 0.9F}, im(ui.theme.ink.muted), 1);
    const float width = ui.theme.small->CalcTextSizeA(ui.theme.small->FontSize, 1e6F, 0, words.c_str()).x;
    if (x < next_free || x + em * 0.25F + width > track.right + em * 1.2F) continue;
    list.AddText(ui.theme.small, ui.theme.small->FontSize, {x + em * 0.25F, track.middle + em * 0.42F},
                 im(ui.theme.ink.muted), words.c_str());
    next_free = x + width + em * 0.8F;
  }
}

std::string bin_words(const TimeBin& bin, core::SeasonSet seasons) {
  std::string words = bin.first == bin.last ? date_in_words(bin.first)
                                            : date_in_words(bin.first) + " to " + date_in_words(bin.last);
  words += ": " + count_of(bin.samples, "sample", "samples");
  if (!seasons.all())
    words += ", " + std::to_string(bin.in_season) + " of " + core::season_set_words(seasons);
  return words;
}

// One bar a bin, as high as the most samples; of the seasons asked for solid, the others behind them pale. The bar below
// the pointer tells its numbers.
void draw_histogram(const Ui& ui, const Track& track, float height, ImDrawList& list, bool hovered) {
  const float em = ui.theme.em, width = track.right - track.left;
  const auto most = static_cast<std::size_t>(std::max(1.0F, width / std::max(3.0F, em * 0.36F)));
  const auto bins = time_bins(ui.model.sampling_dates(), ui.model.samples_a_day(), ui.state.time.seasons,
                              ui.southern(), most);
  std::size_t highest = 1;
  for (const TimeBin& bin : bins) highest = std::max(highest, bin.samples);
  const float floor = track.middle - em * 0.3F;
  const std::optional<core::Period> period = ui.state.period();
  const auto top_of = [&](std::size_t samples) {
    return floor - std::max(samples > 0 ? 2.0F : 0.0F,
                            height * static_cast<float>(samples) / static_cast<float>(highest));
  };
  for (const TimeBin& bin : bins) {
    const float left = std::round(track.to_x(bin.first));
    float right = std::round(track.to_x({bin.last.days + 1})) - 1;
    if (bins.size() == 1) right = left + em * 0.6F;
    right = std::max(right, left + 2);
    if (hovered && ImGui::GetIO().MousePos.x >= left && ImGui::GetIO().MousePos.x < right + 1)
      ImGui::SetTooltip("%s", bin_words(bin, ui.state.time.seasons).c_str());
    if (bin.samples == 0) continue;
    const bool inside = period && bin.first <= period->until && !(period->from && bin.last < *period->from);
    list.AddRectFilled({left, top_of(bin.samples)}, {right, floor}, im(ui.theme.ink.field_active));
    if (bin.in_season > 0)
      list.AddRectFilled({left, top_of(bin.in_season)}, {right, floor},
                         im(inside ? ui.theme.ink.accent : ui.theme.ink.edge));
  }
}

// What is being dragged, kept by ImGui while the button is down.
enum class Grip : int { kNone, kDay, kWindow };

// A sampling day within a finger's width catches what is dragged.
core::Date caught(const Ui& ui, const Track& track, float x) {
  const auto days = ui.model.sampling_dates();
  core::Date date = track.to_date(x);
  const auto after = std::lower_bound(days.begin(), days.end(), date);
  float nearest = ui.theme.em * 0.45F;
  for (auto at = after == days.begin() ? after : after - 1; at != days.end() && at - after < 2; ++at)
    if (const float d = std::abs(track.to_x(*at) - x); d < nearest) nearest = d, date = *at;
  return date;
}

void draw_track(const Ui& ui, float left, float top, float width, float height) {
  const float em = ui.theme.em;
  const auto days = ui.model.sampling_dates();
  const float room = height - em * 1.5F;  // of the bars
  const Track track{left + em * 0.8F, left + width - em * 0.8F, top + room + em * 0.3F, days.front(),
                    days.back()};
  ImGui::SetCursorScreenPos({left, top});
  ImGui::InvisibleButton("track", {std::max(width, 1.0F), height});
  const bool active = ImGui::IsItemActive(), hovered = ImGui::IsItemHovered();
  ImDrawList& list = *ImGui::GetWindowDrawList();
  draw_histogram(ui, track, room, list, hovered && !active);
  const float thick = em * 0.13F;
  list.AddRectFilled({track.left - em * 0.3F, track.middle - thick},
                     {track.right + em * 0.3F, track.middle + thick}, im(ui.theme.ink.field_active), thick);
  draw_calendar(ui, track, list);
  if (!ui.state.date) return;
  const core::Date day = *ui.state.date;
  const core::Period period = *ui.state.period();
  const float x = track.to_x(day), mouse = ImGui::GetIO().MousePos.x;
  const float begin = period.from ? std::max(track.to_x(std::max(*period.from, days.front())), track.left)
                                  : track.left - em * 0.3F;
  list.AddRectFilled({begin, track.middle - thick}, {x, track.middle + thick}, im(ui.theme.ink.accent),
                     thick);
  if (period.from) {  // the handle of the window's first day
    const float half = em * 0.22F;
    list.AddRectFilled({begin - half, track.middle - em * 0.5F}, {begin + half, track.middle + em * 0.5F},
                       im(ui.theme.ink.panel), half);
    list.AddRectFilled({begin - half + 1.5F, track.middle - em * 0.5F + 1.5F},
                       {begin + half - 1.5F, track.middle + em * 0.5F - 1.5F}, im(ui.theme.ink.accent), half);
  }
  ImGuiStorage& storage = *ImGui::GetStateStorage();
  const ImGuiID grip_id = ImGui::GetID("grip");
  auto grip = static_cast<Grip>(storage.GetInt(grip_id, 0));
  if (ImGui::IsItemActivated()) {
    const bool near_window = period.from && std::abs(mouse - begin) < em * 0.8F && mouse < x - em * 0.5F;
    grip = near_window ? Grip::kWindow : Grip::kDay;
    storage.SetInt(grip_id, static_cast<int>(grip));
  }
  const float r = em * (active && grip == Grip::kDay ? 0.66F : hovered ? 0.6F : 0.54F);
  list.AddCircleFilled({x, track.middle}, r + 2, im(ui.theme.ink.panel), 32);
  list.AddCircleFilled({x, track.middle}, r, im(ui.theme.ink.accent), 32);
  list.AddCircleFilled({x, track.middle}, r * 0.36F, im(ui.theme.ink.on_accent), 16);
  if (!active) return;
  const core::Date date = caught(ui, track, mouse);
  if (grip == Grip::kWindow) {
    const int wanted = std::max(1, day.days - date.days + 1);
    if (ui.state.time.window_days != wanted) ui.push(SetWindow{wanted});
  } else if (date != day) {
    ui.push(SetDate{date});
  }
}

// The one season asked for, or any of them; drawn plain while all are.
void season_chips(const Ui& ui, float right, float top, float width, bool short_names) {
  const core::SeasonSet seasons = ui.state.time.seasons;
  const float height = ui.theme.row(1.7F);
  float x = right - width * 4;
  const FontScope font(ui.theme.small);
  for (const core::Season season :
       {core::Season::kWinter, core::Season::kSpring, core::Season::kSummer, core::Season::kAutumn}) {
    const std::string name = as_sentence(core::season_name(season));
    const std::string label = short_names ? name.substr(0, 2) : name.substr(0, name.size() - 1);
    const bool on = !seasons.all() && seasons.has(season);
    ImGui::SetCursorScreenPos({x, top});
    if (on) {
      ImGui::PushStyleColor(ImGuiCol_Button, im(ui.theme.ink.accent));
      ImGui::PushStyleColor(ImGuiCol_ButtonHovered, im(ui.theme.ink.accent));
      ImGui::PushStyleColor(ImGuiCol_Text, im(ui.theme.ink.on_accent));
    }
    ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, ImVec2(0, 0));
    if (ImGui::Button(label.c_str(), {width - 2, height})) ui.push(ChooseSeasons{tapped(seasons, season)});
    tell_target(name.substr(0, name.size() - 1));
    ImGui::PopStyleVar();
    if (on) ImGui::PopStyleColor(3);
    if (ImGui::IsItemHovered()) ImGui::SetTooltip("Only samples of chosen seasons");
    x += width;
  }
}

struct WindowChoice {
  std::optional<int> days;
  const char* words;
};
constexpr WindowChoice kWindows[] = {{{}, "all up to this day"},   {30, "30 days to this day"},
                                     {90, "90 days to this day"},  {365, "1 year to this day"},
                                     {730, "2 years to this day"}, {1826, "5 years to this day"}};

std::string window_words(std::optional<int> days) {
  for (const WindowChoice& choice : kWindows)
    if (choice.days == days) return choice.words;
  return count_of(static_cast<std::size_t>(*days), "day", "days") + " to this day";
}

// As the words of a choice, without "to this day" where there is little room.
std::string short_window_words(std::optional<int> days) {
  if (!days) return "all days";
  const std::string words = window_words(days);
  return words.substr(0, words.find(" to this day"));
}

void window_chooser(const Ui& ui, float x, float top, float width, bool short_words) {
  const FontScope font(ui.theme.small);
  ImGui::SetCursorScreenPos({x, top});
  ImGui::SetNextItemWidth(width);
  ImGui::PushStyleVar(ImGuiStyleVar_FramePadding,
                      ImVec2(ui.theme.em * 0.4F, (ui.theme.row(1.7F) - ImGui::GetFontSize()) / 2));
  if (ImGui::BeginCombo("##window", (short_words ? short_window_words(ui.state.time.window_days)
                                                 : window_words(ui.state.time.window_days))
                                        .c_str())) {
    for (const WindowChoice& choice : kWindows)
      if (ImGui::Selectable(choice.words, choice.days == ui.state.time.window_days, 0,
                            {0, ui.theme.row(1.8F)}))
        ui.push(SetWindow{choice.days});
    ImGui::EndCombo();
  }
  ImGui::PopStyleVar();
}

std::string about_the_day(const Ui& ui) {
  const core::Date date = *ui.state.date;
  const std::size_t here = ui.model.samples_on(date);
  if (ui.model.sampling_dates().size() == 1) return "the only sampling day";
  if (here > 0) return count_of(here, "sample", "samples") + " this day";
  return "no sample this day; sites show their newest before it";
}

void transport(const Ui& ui, float left, float top, float side) {
  const float em = ui.theme.em;
  const auto days = ui.model.sampling_dates();
  ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, ImVec2(0, 0));
  const auto button = [&](const char* label, const char* hint, int place, bool possible) {
    ImGui::SetCursorScreenPos({left + static_cast<float>(place) * (side + em * 0.25F), top});
    ImGui::BeginDisabled(!possible);
    const bool clicked = ImGui::Button(label, {side, side});
    ImGui::EndDisabled();
    if (ImGui::IsItemHovered()) ImGui::SetTooltip("%s", hint);
    return clicked;
  };
  if (button("\u25C0", "Previous sampling day ( [ )", 0, *ui.state.date > days.front()))
    ui.push(StepDate{-1});
  const bool playing = ui.state.time.playing;
  if (button("##play", playing ? "Stop ( p )" : "Play the days ( p )", 1, days.size() > 1))
    ui.push(PlayTime{!playing});
  const ImVec2 low = ImGui::GetItemRectMin(), high = ImGui::GetItemRectMax();
  const ImVec2 middle{(low.x + high.x) / 2, (low.y + high.y) / 2};
  ImDrawList& list = *ImGui::GetWindowDrawList();
  const ImU32 ink = im(days.size() > 1 ? ui.theme.ink.text : ui.theme.ink.muted);
  if (playing) {
    for (const float x : {-0.42F, 0.1F})
      list.AddRectFilled({middle.x + x * em, middle.y - em * 0.5F},
                         {middle.x + (x + 0.32F) * em, middle.y + em * 0.5F}, ink);
  } else {  // a triangle with a bar before it: not the sign of the next day
    list.AddRectFilled({middle.x - em * 0.52F, middle.y - em * 0.5F},
                       {middle.x - em * 0.36F, middle.y + em * 0.5F}, ink);
    list.AddTriangleFilled({middle.x - em * 0.2F, middle.y - em * 0.5F},
                           {middle.x - em * 0.2F, middle.y + em * 0.5F}, {middle.x + em * 0.6F, middle.y},
                           ink);
  }
  if (button("\u25B6", "Next sampling day ( ] )", 2, *ui.state.date < days.back())) ui.push(StepDate{1});
  ImGui::PopStyleVar();
}

}  // namespace

void draw_time_bar(const Ui& ui) {
  const float em = ui.theme.em;
  begin_part("time", ui.layout.time, ui.theme.ink.panel);
  const ImVec2 corner = ImGui::GetWindowPos();
  const auto width = static_cast<float>(ui.layout.time.width),
             height = static_cast<float>(ui.layout.time.height);
  ImDrawList& edge = *ImGui::GetWindowDrawList();
  edge.PushClipRectFullScreen();
  edge.AddLine(corner, {corner.x + width, corner.y}, im(ui.theme.ink.line), 1);
  edge.PopClipRect();
  const float left = corner.x + em * 0.9F, right = corner.x + width - em * 0.9F;
  if (ui.model.sampling_dates().empty() || !ui.state.date) {
    ImGui::SetCursorScreenPos({left, corner.y + em * 1.2F});
    muted("No dates yet: this survey has no samples.");
    ImGui::End();
    return;
  }
  if (ui.state.time.playing) {
    ui.push(PlayOn{std::min(static_cast<double>(ImGui::GetIO().DeltaTime), 0.1)});
    ui.shown.moving = true;
  }
  // From the right: seasons, window of days; what is left is for the day in words.
  const bool narrow = width < em * 52;
  const float chip = std::max(narrow ? em * 1.9F : em * 4.1F, ui.theme.target + 2);
  const float chooser = em * (narrow ? 6.8F : 11.0F);
  const float row = corner.y + em * 0.45F, controls = chip * 4 + em * 0.5F + chooser;
  season_chips(ui, right, row, chip, narrow);
  window_chooser(ui, right - controls, row, chooser, narrow);
  const float line = row + std::round((ui.theme.row(1.7F) - em) / 2),
              room = right - controls - left - em * 0.6F;
  std::string words;
  {
    const FontScope font(ui.theme.strong);
    ImGui::SetCursorScreenPos({left, line});
    const std::string whole = day_and_season(*ui.state.date, ui.southern());
    words = ImGui::CalcTextSize(whole.c_str()).x <= room ? whole : date_in_words(*ui.state.date);
    if (ImGui::CalcTextSize(words.c_str()).x > room) words = short_date(*ui.state.date);
    words = fitted(words, room);
    text(words);
  }
  const float used = ui.theme.strong->CalcTextSizeA(em, 1e6F, 0, words.c_str()).x;
  if (const float free = room - used - em * 0.8F; free > em * 5) {
    const FontScope font(ui.theme.small);
    ImGui::GetWindowDrawList()->AddText({left + used + em * 0.8F, line + std::round(em * 0.14F)},
                                        im(ui.theme.ink.muted), fitted(about_the_day(ui), free).c_str());
  }
  const float side = std::max(std::round(em * 2.4F), ui.theme.target);
  const float below = row + ui.theme.row(1.7F) + em * 0.3F;
  const float track_height = corner.y + height - below - em * 0.2F;
  transport(ui, left, below + std::round((track_height - side) / 2), side);
  const float track = left + side * 3 + em * 1.0F;
  draw_track(ui, track, below, corner.x + width - track - em * 0.4F, track_height);
  ImGui::End();
}

}  // namespace brookmark::viewer
