#include "viewer/panels/layout.hpp"

#include <algorithm>
#include <cmath>

namespace brookmark::viewer {

Layout lay_out(double width, double height, double em) {
  width = std::max(width, 0.0);
  height = std::max(height, 0.0);
  Layout layout;
  if (width < 30 * em || height < 20 * em) {
    layout.roomy = false;
    layout.map = {0, 0, width, height};
    return layout;
  }
  const double top = std::round(3.3 * em), time = std::round(5.2 * em), caution = std::round(1.9 * em);
  const double side = std::round(std::clamp(width * 0.33, std::min(23 * em, width * 0.5), 29 * em));
  layout.top = {0, 0, width, top};
  layout.caution = {0, height - caution, width, caution};
  layout.side = {width - side, top, side, height - top - caution};
  layout.time = {0, height - caution - time, width - side, time};
  layout.map = {0, top, width - side, height - top - time - caution};
  return layout;
}

}  // namespace brookmark::viewer
