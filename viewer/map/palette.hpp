// Why: which colour stands for which class, and which ink can be read on it. Colour never stands alone: the
// class rank is written in every marker. What is not a class is drawn in the inks of the look chosen
// (viewer/map/inks.hpp).
#pragma once

#include <cstdint>
#include <vector>

#include "core/scoring/class_colours.hpp"

namespace brookmark::viewer {

struct Colour {
  std::uint8_t r = 0, g = 0, b = 0, a = 255;
  bool operator==(const Colour&) const = default;
};

// Relative luminance and contrast ratio (1..21) as in W3C WCAG 2.1, 2018, "relative luminance" and "contrast
// ratio".
double luminance(Colour c);
double contrast(Colour a, Colour b);
// Black or white, whichever reads better on `ground`.
Colour ink_on(Colour ground);
// `share` (0..1) of the way from `a` to `b`.
Colour between(Colour a, Colour b, double share);

using core::ClassColours;

// The classes' colours, best first: see core/scoring/class_colours.hpp.
std::vector<Colour> class_colours(std::size_t classes, ClassColours choice = ClassColours::kDirective);
// Lightness L* of CIE 1976, 0 (black) to 100 (white); formula recalled.
double lightness(Colour c);
// The same hue near `paper`: for what no longer holds on the day shown.
Colour faded(Colour c, Colour paper);

}  // namespace brookmark::viewer
