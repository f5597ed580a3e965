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

struct Layout {
  PixelBox top, map, side, rail, time, caution;
  // Where there is no rail, the top bar has a menu of the pages; where the map would be too low, no bar of time.
  bool roomy = true;    // false: too small for panels; the map has everything, and a sentence says what to do
  bool narrow = false;  // a page and the map do not fit beside each other: one at a time
};

// Whether the sheet of a visit takes the whole window, the bars above and below it too.
bool sheet_fills_window(double width, double height, double em);
// `em` is the height of the body font in pixels. What is not shown has an empty box.
Layout lay_out(double width, double height, double em, const PanelWish& wish = {});

}  // namespace brookmark::viewer
