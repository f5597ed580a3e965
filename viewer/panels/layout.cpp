#include "viewer/panels/layout.hpp"

#include <algorithm>
#include <cmath>

namespace brookmark::viewer {
namespace {

constexpr double kSmallestWidth_ems = 28, kSmallestHeight_ems = 20;  // below: no panels
constexpr double kNarrow_ems = 46;

}  // namespace

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
  const double lines = width < 34 * em ? 3 : width < 62 * em ? 2 : 1;
  const double caution = std::max(std::round((0.9 + lines) * em), std::ceil(wish.target));
  const double time = std::max(std::round(6.6 * em), std::ceil(2 * wish.target + 1.2 * em));
  const double rail = std::max(std::round(4.6 * em), std::ceil(wish.target));
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
  layout.time = {0, height - caution - time, free - side, time};
  layout.map = {0, top, free - side, middle - time};
  return layout;
}

}  // namespace brookmark::viewer
