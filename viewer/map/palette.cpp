#include "viewer/map/palette.hpp"

#include <algorithm>
#include <cmath>

namespace brookmark::viewer {
namespace {

constexpr Colour kFive[] = {{43, 108, 214}, {58, 158, 78}, {246, 216, 52}, {240, 138, 36}, {212, 42, 54}};
// RdYlBu, its scheme of seven, from blue to red.
constexpr Colour kBlueToRed[] = {{69, 117, 180},  {145, 191, 219}, {224, 243, 248}, {255, 255, 191},
                                 {254, 224, 144}, {252, 141, 89},  {215, 48, 39}};
constexpr std::size_t kSteps = std::size(kBlueToRed);

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

Colour faded(Colour c) {
  return between(c, ink::kPaper, 0.68);
}

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
  const auto steps = [](std::initializer_list<std::size_t> chosen) {
    std::vector<Colour> colours;
    for (const std::size_t step : chosen) colours.push_back(kBlueToRed[step]);
    return colours;
  };
  if (classes == 1) return steps({0});
  if (classes == 2) return steps({0, 6});
  if (classes == 3) return steps({0, 3, 6});
  if (classes == 4) return steps({0, 1, 5, 6});
  if (classes == 6) return steps({0, 1, 2, 4, 5, 6});
  std::vector<Colour> colours;
  for (std::size_t i = 0; i < classes; ++i) {
    const double at =
        static_cast<double>(i) / static_cast<double>(classes - 1) * static_cast<double>(kSteps - 1);
    const auto low = std::min(static_cast<std::size_t>(at), kSteps - 2);
    colours.push_back(between(kBlueToRed[low], kBlueToRed[low + 1], at - static_cast<double>(low)));
  }
  return colours;
}

}  // namespace brookmark::viewer
