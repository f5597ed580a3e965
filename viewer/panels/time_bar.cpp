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

// A mark of the calendar: a year or a month, in words of two lengths.
struct CalendarMark {
  float x;
  std::string words, shorter;
};

// Years, or months where the survey is short.
std::vector<CalendarMark> calendar_marks(const Track& track) {
  const core::YearMonthDay from = core::year_month_day(track.first), to = core::year_month_day(track.last);
  const int months = (to.year - from.year) * 12 + to.month - from.month;
  const bool by_month = months <= 20;
  std::vector<CalendarMark> marks;
  for (int m = from.year * 12 + from.month - 1; m <= to.year * 12 + to.month - 1; ++m) {
    if (!by_month && m % 12 != 0) continue;
    const core::Date start = core::make_date({m / 12, m % 12 + 1, 1});
    if (start < track.first || start > track.last) continue;
    const std::string year = std::to_string(m / 12), month = month_name(m % 12 + 1).substr(0, 3);
    const std::string two = year.size() > 2 ? "\u2019" + year.substr(year.size() - 2) : year;
    marks.push_back({std::round(track.to_x(start)), by_month ? month + (m % 12 == 0 ? " " + year : "") : year,
                     by_month ? month : two});
  }
  return marks;
}

// Every mark has its words, long ones or short ones, where they find room; else every second one, every third and so on
// has. A mark without words is a short stroke: it never runs into those of another.
void draw_calendar(const Ui& ui, const Track& track, ImDrawList& list) {
  const float em = ui.theme.em, beside = em * 0.25F, between = em * 0.45F, end = track.right + em * 0.8F;
  const std::vector<CalendarMark> marks = calendar_marks(track);
  const auto wide = [&](const std::string& words) {
    return ui.theme.small->CalcTextSizeA(ui.theme.small->FontSize, 1e6F, 0, words.c_str()).x;
  };
  const auto stands = [&](std::size_t step, std::string CalendarMark::*words) {
    for (std::size_t i = 0; i + step < marks.size(); i += step)
      if (marks[i].x + beside + wide(marks[i].*words) + between > marks[i + step].x) return false;
    return true;
  };
  std::string CalendarMark::*chosen = &CalendarMark::words;
  std::size_t step = 1;
  while (step < marks.size() && !stands(step, chosen)) {
    if (chosen == &CalendarMark::words && step == 1) {
      chosen = &CalendarMark::shorter;
    } else {
      chosen = &CalendarMark::words;
      ++step;
    }
  }
  for (std::size_t i = 0; i < marks.size(); ++i) {
    const std::string& words = marks[i].*chosen;
    const bool named = i % step == 0 && marks[i].x + beside + wide(words) <= end;
    list.AddLine({marks[i].x, track.middle + em * 0.3F},
                 {marks[i].x, track.middle + em * (named ? 0.9F : 0.45F)}, im(ui.theme.ink.muted), 1);
    if (named)
      put_words(list, ui.theme.small, {marks[i].x + beside, track.middle + em * 0.42F}, 1e6F,
                ui.theme.ink.muted, words);
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

std::vector<TimeBin> bins_of(const Ui& ui, const Track& track) {
  const float width = track.right - track.left;
  const auto most = static_cast<std::size_t>(std::max(1.0F, width / std::max(3.0F, ui.theme.em * 0.36F)));
  return time_bins(ui.model.sampling_dates(), ui.model.samples_a_day(), ui.state.time.seasons, ui.southern(),
                   most);
}

// One bar a bin, as high as the most samples; of the seasons asked for solid, the others behind them pale. The bar below
// the pointer or the finger tells its numbers, above the finger.
void draw_histogram(const Ui& ui, const Track& track, float height, ImDrawList& list, bool told) {
  const float em = ui.theme.em;
  const std::vector<TimeBin> bins = bins_of(ui, track);
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
    if (told && ImGui::GetIO().MousePos.x >= left && ImGui::GetIO().MousePos.x < right + 1) {
      if (ui.theme.touch) {
        const bool on_the_right = left > ImGui::GetIO().DisplaySize.x / 2;
        ImGui::SetNextWindowPos({left, floor - height - em}, ImGuiCond_Always,
                                {on_the_right ? 1.0F : 0.0F, 1});
      }
      ImGui::SetTooltip("%s", bin_words(bin, ui.state.time.seasons).c_str());
    }
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

Track track_of(const Ui& ui, float left, float top, float width, float height) {
  const float em = ui.theme.em;
  const auto days = ui.model.sampling_dates();
  return {left + em * 0.8F, left + width - em * 0.8F, top + height - em * 1.2F, days.front(), days.back()};
}

void draw_track(const Ui& ui, float left, float top, float width, float height) {
  const float em = ui.theme.em;
  const auto days = ui.model.sampling_dates();
  const float room = height - em * 1.5F;  // of the bars
  const Track track = track_of(ui, left, top, width, height);
  ImGui::SetCursorScreenPos({left, top});
  ImGui::InvisibleButton("track", {std::max(width, 1.0F), height});
  tell_target("Days");
  const bool active = ImGui::IsItemActive(), hovered = ImGui::IsItemHovered();
  ImDrawList& list = *ImGui::GetWindowDrawList();
  draw_histogram(ui, track, room, list, ui.theme.touch ? active || hovered : hovered && !active);
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
void season_chips(const Ui& ui, float x, float top) {
  const core::SeasonSet seasons = ui.state.time.seasons;
  const TimeRows& rows = ui.layout.time_rows;
  const auto width = static_cast<float>(rows.season), height = static_cast<float>(rows.row);
  for (const core::Season season :
       {core::Season::kWinter, core::Season::kSpring, core::Season::kSummer, core::Season::kAutumn}) {
    const std::string name = sentence_start(core::season_name(season));
    const bool on = !seasons.all() && seasons.has(season);
    ImGui::SetCursorScreenPos({x, top});
    {
      const FontScope font(ui.theme.small);
      ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, ImVec2(0, 0));
      if (choice_button(ui.theme, rows.short_names ? name.substr(0, 2).c_str() : name.c_str(), on,
                        {width - 2, height}))
        ui.push(ChooseSeasons{tapped(seasons, season)});
      told_targets().back().words = name;
      ImGui::PopStyleVar();
    }
    hint(ui.theme, name + ": only samples of the seasons that are chosen");
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

void window_chooser(const Ui& ui, float x, float top) {
  const TimeRows& rows = ui.layout.time_rows;
  const FontScope font(ui.theme.small);
  ImGui::SetCursorScreenPos({x, top});
  ImGui::SetNextItemWidth(static_cast<float>(rows.chooser));
  ImGui::PushStyleVar(ImGuiStyleVar_FramePadding,
                      ImVec2(ui.theme.em * 0.4F, (static_cast<float>(rows.row) - ImGui::GetFontSize()) / 2));
  if (ImGui::BeginCombo("##window", (rows.short_names ? short_window_words(ui.state.time.window_days)
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

// What was sampled on the day, and in the bar that it lies in: a tap on a bar takes the day there.
std::vector<std::string> about_the_day(const Ui& ui, const std::vector<TimeBin>& bins) {
  const core::Date date = *ui.state.date;
  const std::size_t here = ui.model.samples_on(date);
  const bool only = ui.model.sampling_dates().size() == 1;
  const std::string amount = here > 0 ? count_of(here, "sample", "samples") : "no sample";
  std::vector<std::string> words;
  for (const TimeBin& bin : bins)
    if (bin.first <= date && date <= bin.last && bin.first != bin.last && !only)
      words.push_back(amount + " this day \u00B7 bar of " + bin_words(bin, ui.state.time.seasons));
  if (only) words.emplace_back("the only sampling day");
  if (here == 0) words.emplace_back("no sample this day; sites show their newest before it");
  words.push_back(amount + " this day");
  words.push_back(amount);
  return words;
}

// The day in words, as long as there is room, and in small what was sampled then.
void day_words(const Ui& ui, float left, float top, float room, const std::vector<TimeBin>& bins) {
  const float em = ui.theme.em, gap_px = em * 0.8F;
  const core::Date day = *ui.state.date;
  const std::string lengths[] = {day_and_season(day, ui.southern()), date_in_words(day), short_date(day)};
  const std::string words = first_that_fits(lengths, ui.theme.strong, room);
  ImGui::SetCursorScreenPos({left, top});
  {
    const FontScope font(ui.theme.strong);
    text(words);
  }
  const float used = ui.theme.strong->CalcTextSizeA(em, 1e6F, 0, words.c_str()).x;
  const std::string about = first_that_fits(about_the_day(ui, bins), ui.theme.small, room - used - gap_px);
  ImGui::GetWindowDrawList()->AddText(ui.theme.small, ui.theme.small->FontSize,
                                      {left + used + gap_px, top + std::round(em * 0.14F)},
                                      im(ui.theme.ink.muted), about.c_str());
}

void transport(const Ui& ui, float left, float top, float side) {
  const float em = ui.theme.em;
  const auto days = ui.model.sampling_dates();
  ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, ImVec2(0, 0));
  const auto button = [&](const char* label, const char* words, int place, bool possible) {
    ImGui::SetCursorScreenPos({left + static_cast<float>(place) * (side + em * 0.25F), top});
    ImGui::BeginDisabled(!possible);
    const bool clicked = ImGui::Button(label, {side, side});
    ImGui::EndDisabled();
    hint(ui.theme, words);
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
  const float left = corner.x + em * static_cast<float>(kTimeSide_ems),
              right = corner.x + width - em * static_cast<float>(kTimeSide_ems);
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
  const TimeRows& rows = ui.layout.time_rows;
  const float gap_px = em * static_cast<float>(kTimeGap_ems), step = static_cast<float>(rows.row) + em * 0.3F;
  const auto chooser = static_cast<float>(rows.chooser);
  const float seasons = static_cast<float>(rows.season) * 4;
  const float row = corner.y + em * 0.3F, side = std::max(std::round(em * 2.4F), ui.theme.target);
  const float below = row + step * static_cast<float>(rows.rows());
  const float track = left + side * 3 + em * 1.0F, track_height = corner.y + height - below - em * 0.2F;
  const float track_width = corner.x + width - track - em * 0.4F;
  // What shares the first row with the day stands at its right end; a row without the day begins at the left.
  const bool chooser_up = rows.chooser_row == 0, seasons_up = rows.season_row == 0;
  const float seasons_x = seasons_up || (chooser_up && rows.day) || !rows.day
                              ? right - seasons
                              : left + (rows.chooser_row == rows.season_row ? chooser + gap_px : 0);
  const float chooser_x =
      !rows.day || !chooser_up ? left : right - chooser - (seasons_up ? seasons + gap_px : 0);
  season_chips(ui, seasons_x, row + step * static_cast<float>(rows.season_row));
  window_chooser(ui, chooser_x, row + step * static_cast<float>(rows.chooser_row));
  if (rows.day) {
    const float end = chooser_up ? chooser_x - gap_px : right;
    day_words(ui, left, row + std::round((static_cast<float>(rows.row) - em) / 2), end - left,
              bins_of(ui, track_of(ui, track, below, track_width, track_height)));
  }
  transport(ui, left, below + std::round((track_height - side) / 2), side);
  draw_track(ui, track, below, track_width, track_height);
  ImGui::End();
}

}  // namespace brookmark::viewer
