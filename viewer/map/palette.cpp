#include "viewer/map/palette.hpp"

#include <algorithm>
#include <cmath>

namespace brookmark::viewer {
namespace {

constexpr Colour kFive[] = {{43, 108, 214}, {58, 158, 78}, {246, 216, 52}, {240, 138, 36}, {212, 42, 54}};
// viridis at 0.2, 0.3 ... 1.0.
constexpr Colour kViridis[] = {{65, 68, 135},  {53, 95, 141},  {42, 120, 142}, {33, 145, 140}, {34, 168, 132},
                               {68, 191, 112}, {122, 209, 81}, {189, 223, 38}, {253, 231, 37}};

double linear(std::uint8_t channel) {
  const double c = channel / 255.0;
  return c <= 0.03928 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
}

Colour between(Colour a, Colour b, double t) {
  const auto mix = [t](std::uint8_t x, std::uint8_t y) {
    return static_cast<std::uint8_t>(std::lround(x + (y - x) * t));
  };
  return {mix(a.r, b.r), mix(a.g, b.g), mix(a.b, b.b), 255};
}

}  // namespace

double luminance(Colour c) {
  return 0.2126 * linear(c.r) + 0.7152 * linear(c.g) + 0.0722 * linear(c.b);
}

double contrast(Colour a, Colour b) {
  const double la = luminance(a), lb = luminance(b);
  return (std::max(la, lb) + 0.05) / (std::min(la, lb) + 0.05);
}

Colour ink_on(Colour ground) {
  return contrast(ground, ink::kWhite) >= contrast(ground, ink::kText) ? ink::kWhite : ink::kText;
}

std::vector<Colour> class_colours(std::size_t classes) {
  if (classes == std::size(kFive)) return {std::begin(kFive), std::end(kFive)};
  std::vector<Colour> colours;
  for (std::size_t i = 0; i < classes; ++i) {
    const double at = classes == 1 ? 0
                                   : static_cast<double>(i) / static_cast<double>(classes - 1) *
                                         static_cast<double>(std::size(kViridis) - 1);
    const auto low = std::min(static_cast<std::size_t>(at), std::size(kViridis) - 2);
    colours.push_back(between(kViridis[low], kViridis[low + 1], at - static_cast<double>(low)));
  }
  return colours;
}

}  // namespace brookmark::viewer
