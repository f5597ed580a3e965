// Why: which colour stands for which class, and which ink can be read on it. Colour never stands alone: the
// class rank is written in every marker.
#pragma once

#include <cstdint>
#include <vector>

namespace brookmark::viewer {

struct Colour {
  std::uint8_t r = 0, g = 0, b = 0, a = 255;
  bool operator==(const Colour&) const = default;
};

// Relative luminance and contrast ratio (1..21) as in W3C WCAG 2.1, 2018, "relative luminance" and "contrast
// ratio".
double luminance(Colour c);
double contrast(Colour a, Colour b);
// Near black or white, whichever reads better on `ground`.
Colour ink_on(Colour ground);

// One colour a class, best first: blue is the good side and red the bad one for every method. Five classes:
// blue, green, yellow, orange, red, as Directive 2000/60/EC Annex V 1.4.2 presents ecological status (colour
// words recalled, not read; the shades are ours). Any other number: steps of the seven-class scheme RdYlBu
// (C. Brewer, ColorBrewer 2.0, Pennsylvania State University, Apache 2.0 licence; values recalled, not read),
// which stays readable with the common kinds of colour blindness; more than seven lie between its steps.
std::vector<Colour> class_colours(std::size_t classes);
// The same hue near the paper: for what no longer holds on the day shown.
Colour faded(Colour c);

// The map's own colours, light and calm, for reading in daylight.
namespace ink {
inline constexpr Colour kPaper{242, 243, 238};
inline constexpr Colour kText{24, 34, 40};
inline constexpr Colour kMuted{86, 97, 103};
inline constexpr Colour kChannel{92, 134, 168};
inline constexpr Colour kUnknownReach{158, 164, 166};  // a channel for which no site speaks
inline constexpr Colour kDrop{30, 24, 34};             // the edge of a stretch on which the index falls
inline constexpr Colour kWater{186, 212, 228};
inline constexpr Colour kCatchment{122, 110, 88};
inline constexpr Colour kUnclassed{104, 112, 117};  // outline and sign of a hollow marker
inline constexpr Colour kValueOnly{54, 84, 92};     // a value under a metric without classes
inline constexpr Colour kOutfall{66, 40, 62};
inline constexpr Colour kQuery{176, 18, 120};  // path and outfalls of the distance query
inline constexpr Colour kWhite{255, 255, 255};
inline constexpr Colour kAccent{13, 92, 99};
}  // namespace ink

}  // namespace brookmark::viewer
