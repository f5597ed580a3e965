// Why: where everything stands for any size of window, in font heights; worked out before anything is drawn.
// Use: const Layout l = lay_out(1280, 800, 16, {.open = true});
#pragma once

#include "viewer/state/viewport.hpp"

namespace brookmark::viewer {

struct PanelWish {
  bool open = true;   // a page stands beside the map
  bool wide = false;  // the page is a table, or a sheet to fill in
  double target = 0;  // the least side of what is tapped, pixels
};

// How the bar of time is divided above its track: the day in words, the window of days and the four seasons stand in as
// many rows as they need, so that none of them is cut off.
struct TimeRows {
  bool short_names = false;  // of seasons and windows
  bool day = true;           // false: no room for the day in a low window; it stands in the top bar
  int chooser_row = 0, season_row = 0;  // the day's is the first
  double season = 0, chooser = 0,
         row = 0;  // widths of one season and of the window of days, height of a row, pixels
  int rows() const { return season_row + 1; }
};
inline constexpr double kTimeSide_ems = 0.9, kTimeGap_ems = 0.6;  // left free at each side, and between two
// `target` as in PanelWish. Without `day` the window of days begins the first row.
TimeRows time_rows(double width, double em, double target, bool day = true);

struct Layout {
  PixelBox top, map, side, rail, time, caution;
  TimeRows time_rows;
  // Where there is no rail, the top bar has a menu of the pages; where the map would be too low, no bar of time.
  bool roomy = true;    // false: too small for panels; the map has everything, and a sentence says what to do
  bool narrow = false;  // a page and the map do not fit beside each other: one at a time
};

// Whether the sheet of a visit takes the whole window, the bars above and below it too.
bool sheet_fills_window(double width, double height, double em);
// `em` is the height of the body font in pixels. What is not shown has an empty box.
Layout lay_out(double width, double height, double em, const PanelWish& wish = {});

}  // namespace brookmark::viewer
