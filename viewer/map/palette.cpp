#include "viewer/map/palette.hpp"

#include <algorithm>
#include <cmath>

namespace brookmark::viewer {
namespace {

// One of the two has at least 4.58 : 1 on any ground, the root of 21.
constexpr Colour kBlack{0, 0, 0}, kWhite{255, 255, 255};

double linear(std::uint8_t channel) {
  const double c = channel / 255.0;
  return c <= 0.03928 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
}

}  // namespace

Colour between(Colour a, Colour b, double share) {
  const auto mix = [share](std::uint8_t x, std::uint8_t y) {
    return static_cast<std::uint8_t>(std::lround(x + (y - x) * share));
  };
  return {mix(a.r, b.r), mix(a.g, b.g), mix(a.b, b.b), 255};
}

Colour faded(Colour c, Colour paper) {
  return between(c, paper, 0.68);
}

double luminance(Colour c) {
  return 0.2126 * linear(c.r) + 0.7152 * linear(c.g) + 0.0722 * linear(c.b);
}

double lightness(Colour c) {
  const double y = luminance(c);
  return y > 216.0 / 24389 ? 116 * std::cbrt(y) - 16 : y * 24389.0 / 27;
}

double contrast(Colour a, Colour b) {
  const double la = luminance(a), lb = luminance(b);
  return (std::max(la, lb) + 0.05) / (std::min(la, lb) + 0.05);
}

Colour ink_on(Colour ground) {
  return contrast(ground, kWhite) >= contrast(ground, kBlack) ? kWhite : kBlack;
}

std::vector<Colour> class_colours(std::size_t classes, ClassColours choice) {
  std::vector<Colour> colours;
  for (const core::ClassColour& c : core::colours_of_classes(classes, choice))
    colours.push_back({c.r, c.g, c.b, 255});
  return colours;
}

}  // namespace brookmark::viewer
