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

}  // namespace

bool sheet_fills_window(double width, double height, double em) {
  return width < kNarrow_ems * em || height < kLowSheet_ems * em;
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
  const double top = std::max(std::round(3.3 * em), std::ceil(wish.target + 0.6 * em));
  // The caution folds into several lines before any of it is cut.
  const double lines = height < kLow_ems * em ? 1 : width < 34 * em ? 3 : width < 62 * em ? 2 : 1;
  const double caution = std::max(std::round((0.9 + lines) * em), std::ceil(wish.target));
  const double time = std::max(std::round(6.6 * em), std::ceil(2 * wish.target + 1.2 * em));
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
  const double used = middle - time < kLeastMap_ems * em ? 0 : time;
  if (used > 0) layout.time = {0, height - caution - time, free - side, time};
  layout.map = {0, top, free - side, middle - used};
  return layout;
}

}  // namespace brookmark::viewer
