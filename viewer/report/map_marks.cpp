#include <array>

#include "viewer/report/map_marks_internal.hpp"

namespace brookmark::viewer {

namespace {

std::string sign_of(const Mark& mark) {
  std::string sign;
  for (const std::uint8_t part : {mark.first, mark.second}) {
    if (part <= 9) sign += static_cast<char>('0' + part);
    if (part == static_cast<std::uint8_t>(Sign::kDash)) sign += "–";
    if (part == static_cast<std::uint8_t>(Sign::kTimes)) sign += "×";
    if (part == static_cast<std::uint8_t>(Sign::kQuestion)) sign += "?";
  }
  return sign;
}

std::vector<Pixel> corners_of(MarkShape shape, Pixel m, double r) {
  switch (shape) {
    case MarkShape::kSquare:
      return {{m.x - r, m.y - r}, {m.x + r, m.y - r}, {m.x + r, m.y + r}, {m.x - r, m.y + r}};
    case MarkShape::kTriangleDown:
      return {{m.x - r * 1.15, m.y - r}, {m.x + r * 1.15, m.y - r}, {m.x, m.y + r}};
    case MarkShape::kTriangleUp:
      return {{m.x - r * 1.15, m.y + r}, {m.x + r * 1.15, m.y + r}, {m.x, m.y - r}};
    case MarkShape::kDiamond:
      return {{m.x, m.y - r * 1.2}, {m.x + r * 1.2, m.y}, {m.x, m.y + r * 1.2}, {m.x - r * 1.2, m.y}};
    case MarkShape::kCross: {
      const double a = r * 0.42, b = r * 1.1;
      return {{m.x - a, m.y - b}, {m.x + a, m.y - b}, {m.x + a, m.y - a}, {m.x + b, m.y - a},
              {m.x + b, m.y + a}, {m.x + a, m.y + a}, {m.x + a, m.y + b}, {m.x - a, m.y + b},
              {m.x - a, m.y + a}, {m.x - b, m.y + a}, {m.x - b, m.y - a}, {m.x - a, m.y - a}};
    }
    default:
      return {{m.x - r, m.y}, {m.x - r / 2, m.y - r}, {m.x + r / 2, m.y - r},
              {m.x + r, m.y}, {m.x + r / 2, m.y + r}, {m.x - r / 2, m.y + r}};
  }
}

}  // namespace

void draw_mark(Canvas& canvas, Pixel middle, double radius, const Mark& mark, const MarkColours& colours) {
  const Colour fill = colours.fill[mark.colour], white{255, 255, 255};
  const Colour edge = inks(Look::kDay).text;
  const bool round =
      is_ring(mark.shape) || mark.shape == MarkShape::kDisc || mark.shape == MarkShape::kStillDisc;
  if (!round) {
    const std::vector<Pixel> corners = corners_of(mark.shape, middle, radius);
    canvas.line(corners, {white, 2.4}, true);
    canvas.fill(corners, fill);
    canvas.line(corners, {mark.colour >= kFaded ? inks(Look::kDay).outfall : fill, 0.7}, true);
    return;
  }
  canvas.disc(middle, radius + 1.1, white);
  canvas.disc(middle, radius, is_ring(mark.shape) ? fill : edge);
  canvas.disc(middle, radius - (is_ring(mark.shape) ? 1.3 : 0.7), is_ring(mark.shape) ? white : fill);
  const std::string sign = sign_of(mark);
  const double size = radius * (sign.size() > 1 && mark.second <= 9 ? 1.05 : 1.3);
  if (sign.empty() || size < 3) return;
  const Colour ink = colours.ink[mark.colour];
  canvas.text(sign, {middle.x - canvas.width(sign, Face::kBold, size) / 2, middle.y + size * 0.36},
              Face::kBold, size, ink);
}

KeyEntry mark_key(const Mark& mark, const MarkColours& colours, const std::string& text) {
  return {15, 15,
          [mark, colours](Canvas& canvas) {
            draw_mark(canvas, {7.5, 7.5}, kMarkRadius, mark, colours);
          },
          text};
}

KeyEntry line_key(const Pen& under, const Pen& over, const std::string& text) {
  return {22, 12,
          [under, over](Canvas& canvas) {
            const std::array<Pixel, 2> line{{{2, 6}, {20, 6}}};
            if (under.width > 0) canvas.line(line, under);
            canvas.line(line, over);
          },
          text};
}

}  // namespace brookmark::viewer
