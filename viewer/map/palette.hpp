// Why: which colour stands for which class, and which ink can be read on it. Colour never stands alone: the
// class rank is written in every marker. What is not a class is drawn in the inks of the look chosen
// (viewer/map/inks.hpp).
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
// Black or white, whichever reads better on `ground`.
Colour ink_on(Colour ground);
// `share` (0..1) of the way from `a` to `b`.
Colour between(Colour a, Colour b, double share);

enum class ClassColours : std::uint8_t {
  kDirective,  // five classes in the five colours of the water directive, other numbers ordered
  kOrdered,    // every number of classes ordered by lightness
};

// One colour a class, best first: blue is the good side and red the bad one for every method.
// The directive's five: blue, green, yellow, orange, red, as Directive 2000/60/EC Annex V 1.4.2 presents
// ecological status (colour words recalled, not read; the shades are ours).
// Ordered: from pale blue over ochre to dark red in equal steps of lightness (CIE 1976 L*), so that the order
// can be seen with every kind of colour blindness, in grey print and in glare. The shades are ours.
std::vector<Colour> class_colours(std::size_t classes, ClassColours choice = ClassColours::kDirective);
// Lightness L* of CIE 1976, 0 (black) to 100 (white); formula recalled.
double lightness(Colour c);
// The same hue near `paper`: for what no longer holds on the day shown.
Colour faded(Colour c, Colour paper);

}  // namespace brookmark::viewer
