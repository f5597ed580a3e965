#include "core/scoring/class_colours.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>

namespace brookmark::core {

namespace {

constexpr ClassColour kFive[] = {
    {43, 108, 214}, {58, 158, 78}, {246, 216, 52}, {240, 138, 36}, {212, 42, 54}};

// CIE 1976 L*a*b*, white D65.
struct Lab {
  double l, a, b;
};
// The ordered ramp bends once, at an ochre, between a pale blue and a dark red.
constexpr Lab kBest{88, -10, -16}, kBend{58, 24, 46}, kWorst{22, 36, 18};

// IEC 61966-2-1, rounded to the nearest step; what lies outside is cut.
std::uint8_t channel(double linear_value) {
  const double v = std::clamp(linear_value, 0.0, 1.0);
  const double c = v <= 0.0031308 ? v * 12.92 : 1.055 * std::pow(v, 1 / 2.4) - 0.055;
  return static_cast<std::uint8_t>(std::lround(c * 255));
}

ClassColour colour_of(const Lab& lab) {
  const auto back = [](double t) { return t > 6.0 / 29 ? t * t * t : 3 * 36.0 / 841 * (t - 4.0 / 29); };
  const double fy = (lab.l + 16) / 116;
  const double x = 0.95047 * back(fy + lab.a / 500), y = back(fy), z = 1.08883 * back(fy - lab.b / 200);
  return {channel(3.2406 * x - 1.5372 * y - 0.4986 * z), channel(-0.9689 * x + 1.8758 * y + 0.0415 * z),
          channel(0.0557 * x - 0.2040 * y + 1.0570 * z)};
}

ClassColour ordered(double share) {
  const double l = kBest.l + (kWorst.l - kBest.l) * share;
  const bool before = l > kBend.l;
  const Lab& from = before ? kBest : kBend;
  const Lab& to = before ? kBend : kWorst;
  const double t = (l - from.l) / (to.l - from.l);
  return colour_of({l, from.a + (to.a - from.a) * t, from.b + (to.b - from.b) * t});
}

}  // namespace

std::vector<ClassColour> colours_of_classes(std::size_t classes, ClassColours choice) {
  if (choice == ClassColours::kDirective && classes == std::size(kFive))
    return {std::begin(kFive), std::end(kFive)};
  std::vector<ClassColour> colours;
  for (std::size_t i = 0; i < classes; ++i)
    colours.push_back(ordered(classes == 1 ? 0 : static_cast<double>(i) / static_cast<double>(classes - 1)));
  return colours;
}

}  // namespace brookmark::core
