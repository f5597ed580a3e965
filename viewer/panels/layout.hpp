// Why: where everything stands for any size of window, in font heights; worked out before anything is drawn.
#pragma once

#include "viewer/state/viewport.hpp"

namespace brookmark::viewer {

struct Layout {
  PixelBox top, map, side, time, caution;
  bool roomy = true;  // false: too small for panels; the map has everything
};

// `em` is the height of the body font in pixels.
Layout lay_out(double width, double height, double em);

}  // namespace brookmark::viewer
