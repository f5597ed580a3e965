#include "viewer/panels/layout.hpp"

#include <algorithm>
#include <cmath>

namespace brookmark::viewer {
namespace {

constexpr double kSmallestWidth_ems = 20, kSmallestHeight_ems = 13;  // below: no panels
constexpr double kRailWidth_ems = 28;                                // below: a menu of the pages instead
constexpr double kLow_ems = 24;                                      // below: one line of caution
constexpr double kLeastMap_ems = 9;                                  // high, else there is no bar of time
constexpr double kNarrow_ems = 46;
constexpr double kLowSheet_ems = 34;
// Of the bar of time: "30 Sept 2024" in the strong font, the choice of a window of days and a season, written out and
// short.
constexpr double kDay_ems = 7.2, kChooser_ems = 11, kShortChooser_ems = 6.8, kSeason_ems = 4.1,
                 kShortSeason_ems = 1.9, kTimeTrack_ems = 4.3, kTimeRow_ems = 1.7, kTimeRowGap_ems = 0.3;

}  // namespace

bool sheet_fills_window(double width, double height, double em) {
  return width < kNarrow_ems * em || height < kLowSheet_ems * em;
}

TimeRows time_rows(double width, double em, double target, bool day) {
  const double free = width - 2 * kTimeSide_ems * em, gap = kTimeGap_ems * em;
  const double first = day ? kDay_ems * em + gap : 0;  // where the day stands
  TimeRows rows;
  rows.day = day;
  rows.row = std::max(std::round(kTimeRow_ems * em), target);
  const auto sized = [&](bool short_names) {
    rows.short_names = short_names;
    rows.season = std::max((short_names ? kShortSeason_ems : kSeason_ems) * em, target + 2);
    rows.chooser = (short_names ? kShortChooser_ems : kChooser_ems) * em;
  };
  sized(false);
  // The long names leave room for the day with its weekday and season.
  if (width >= 52 * em && free >= 2 * first + rows.chooser + gap + 4 * rows.season) return rows;
  sized(true);
  if (free >= first + rows.chooser + gap + 4 * rows.season) return rows;
  if (day && free >= rows.chooser + gap + 4 * rows.season) {
    rows.chooser_row = rows.season_row = 1;
  } else {
    rows.chooser_row = day && free < first + rows.chooser ? 1 : 0;
    rows.season_row = rows.chooser_row + 1;
  }
  return rows;
}

Layout lay_out(double width, double height, double em, const PanelWish& wish) {
  width = std::max(width, 0.0);
  height = std::max(height, 0.0);
  Layout layout;
  if (width < kSmallestWidth_ems * em || height < kSmallestHeight_ems * em) {
    layout.roomy = false;
    layout.map = {0, 0, width, height};
    return layout;
  }
  const double top = std::max(std::round(3.3 * em), std::ceil(wish.target) + 2 * std::round(0.4 * em));
  // The caution folds into several lines before any of it is cut.
  const double lines = height < kLow_ems * em ? 1 : width < 34 * em ? 3 : width < 62 * em ? 2 : 1;
  const double caution = std::max(std::round((0.9 + lines) * em), std::ceil(wish.target));
  const double rail =
      width < kRailWidth_ems * em ? 0 : std::max(std::round(4.6 * em), std::ceil(wish.target));
  const double middle = height - top - caution, free = width - rail;
  layout.narrow = width < kNarrow_ems * em;
  layout.top = {0, 0, width, top};
  layout.caution = {0, height - caution, width, caution};
  layout.rail = {free, top, rail, middle};
  if (wish.open && layout.narrow) {
    layout.side = {0, top, free, middle};
    return layout;
  }
  double side = 0;
  if (wish.open) {
    const double least = std::min(23 * em, free * 0.5);
    side = wish.wide ? std::clamp(free * 0.55, least, 60 * em) : std::clamp(width * 0.33, least, 29 * em);
    side = std::round(side);
  }
  layout.side = {free - side, top, side, middle};
  // In a low window the day leaves the bar, and then the bar goes.
  double used = 0;
  for (const bool day : {true, false}) {
    layout.time_rows = time_rows(free - side, em, wish.target, day);
    const double track = std::max(std::round(kTimeTrack_ems * em), std::ceil(wish.target + 0.4 * em));
    used =
        std::ceil(layout.time_rows.rows() * (layout.time_rows.row + kTimeRowGap_ems * em) + track + 0.3 * em);
    if (middle - used >= kLeastMap_ems * em) break;
    used = 0;
  }
  if (used > 0) layout.time = {0, height - caution - used, free - side, used};
  layout.map = {0, top, free - side, middle - used};
  return layout;
}

}  // namespace brookmark::viewer
