#include "demo_area/drawn_photo.hpp"

#include <algorithm>
#include <cstdint>
#include <cstdlib>

namespace brookmark::demo {
namespace {

constexpr int kWidth = 480, kHeight = 320, kHorizon = 118;

struct Ink {
  int r, g, b;
};

Ink between(Ink a, Ink b, int share, int whole) {
  const auto part = [&](int x, int y) { return x + (y - x) * share / whole; };
  return {part(a.r, b.r), part(a.g, b.g), part(a.b, b.b)};
}

// Grain of grass and water: the same for the same pixel.
int grain(int x, int y, int size) {
  auto n = static_cast<std::uint32_t>(x) * 73856093U ^ static_cast<std::uint32_t>(y) * 19349663U;
  n ^= n >> 13U;
  n *= 1274126177U;
  return static_cast<int>(n >> 16U & 0xFFU) % (2 * size + 1) - size;
}

// The upper edge of a ridge of hills, whose tops lie `step` apart.
int ridge(int x, int base, int height, int step, int shift) {
  const int at = (x + shift) % step, middle = step / 2;
  return base - height * (middle * middle - (at - middle) * (at - middle)) / (middle * middle);
}

struct Brook {
  int left, right;
};
Brook brook_at(int y) {
  const int down = y - kHorizon, bend = 30 * down * (kHeight - y) / 9000;
  return {250 - down * 115 / 202 + bend, 268 + down * 130 / 202 + bend};
}

Ink water_at(int x, int y, const Brook& brook) {
  const int down = y - kHorizon;
  Ink ink = between({138, 158, 160}, {72, 98, 98}, down, kHeight - kHorizon);
  if ((y * 7 + (x - brook.left) / 9) % 19 < 2) ink = between(ink, {205, 216, 214}, 1, 3);  // ripples
  // What comes out of the pipe keeps to the left bank on its way down.
  const int from_left = x - brook.left, plume = 14 + (y - 196) / 2;
  if (y > 196 && from_left < plume)
    ink = between(ink, {120, 104, 70}, std::clamp(plume - from_left, 0, 18), 26);
  return ink;
}

Ink ground_at(int x, int y) {
  const int down = y - kHorizon;
  Ink ink = between({142, 160, 104}, {74, 104, 56}, down, kHeight - kHorizon);
  const int g = grain(x / 2, y / 3, 12);
  return {ink.r + g, ink.g + g, ink.b + g / 2};
}

Ink colour_at(int x, int y) {
  if (y < kHorizon) {
    Ink ink = between({170, 196, 214}, {226, 232, 228}, y, kHorizon);
    if (y > ridge(x, kHorizon, 46, 310, 60)) ink = {150, 168, 158};
    if (y > ridge(x, kHorizon + 2, 26, 190, 20)) ink = {118, 142, 112};
    return ink;
  }
  const Brook brook = brook_at(y);
  if (x >= brook.left && x < brook.right) return water_at(x, y, brook);
  const int edge = std::min(std::abs(x - brook.left), std::abs(x - brook.right));
  if (edge < 3 + (y - kHorizon) / 26) return {104 + grain(x, y, 9), 88 + grain(x, y, 9), 64};
  return ground_at(x, y);
}

// The pipe in the left bank: a ring of concrete, dark inside.
bool pipe_at(int x, int y, Ink& ink) {
  const int dx = x - (brook_at(196).left - 15), dy = y - 190, far = dx * dx + dy * dy;
  if (far > 17 * 17) return false;
  ink = far > 12 * 12 ? Ink{172 - dy, 170 - dy, 164 - dy} : Ink{34, 34, 32};
  if (far <= 12 * 12 && dy > 5) ink = {120, 104, 70};
  return true;
}

}  // namespace

viewer::Picture draw_photo() {
  viewer::Picture picture{kWidth, kHeight, {}};
  picture.rgb.reserve(static_cast<std::size_t>(kWidth) * kHeight * 3);
  for (int y = 0; y < kHeight; ++y)
    for (int x = 0; x < kWidth; ++x) {
      Ink ink = colour_at(x, y);
      pipe_at(x, y, ink);
      for (const int part : {ink.r, ink.g, ink.b})
        picture.rgb.push_back(static_cast<std::uint8_t>(std::clamp(part, 0, 255)));
    }
  return picture;
}

}  // namespace brookmark::demo
