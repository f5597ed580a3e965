// Why: map and charts of a report are drawn once, by one code, and come out as vectors on a page of PDF and in a page of
// HTML. cairo stays in the .cpp.
// Use: const Drawing dot = [](Canvas& canvas) { canvas.disc({10, 10}, 4, {0, 0, 0}); };
//      const std::string svg = drawn_svg(20, 20, dot);
#pragma once

#include <functional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "viewer/map/palette.hpp"
#include "viewer/state/viewport.hpp"

using cairo_t = struct _cairo;

namespace brookmark::viewer {

enum class Face { kRegular, kBold };

struct Pen {
  Colour colour;
  double width = 1;
  std::vector<double> dashes = {};  // on, off, on ...; empty: unbroken
};

// Points (72 to the inch) from the top left, y downwards; text in the program's own fonts.
class Canvas {
 public:
  explicit Canvas(cairo_t* cairo);  // borrowed

  void line(std::span<const Pixel> points, const Pen& pen, bool closed = false);
  void fill(std::span<const Pixel> corners, Colour colour);
  // Rings together, even-odd: the second is a hole in the first.
  void fill_rings(std::span<const std::vector<Pixel>> rings, Colour colour);
  void box(const PixelBox& box, Colour colour);
  void frame(const PixelBox& box, const Pen& pen);
  void disc(Pixel middle, double radius, Colour colour);
  void ring(Pixel middle, double radius, const Pen& pen);

  double width(std::string_view text, Face face, double size) const;
  // `at` is where the first letter stands, on the line that letters stand on. Bytes that are no UTF-8 become "?".
  void text(std::string_view text, Pixel at, Face face, double size, Colour colour);
  // The same with an edge around it, so that it reads over lines.
  void haloed(std::string_view text, Pixel at, Face face, double size, Colour colour, Colour halo);

  // What `inside` draws, cut to the box.
  void clipped(const PixelBox& box, const std::function<void()>& inside);
  // What `inside` draws, moved and scaled.
  void placed(Pixel corner, double scale, const std::function<void()>& inside);

 private:
  cairo_t* cairo_;
};

using Drawing = std::function<void(Canvas&)>;

// A whole <svg> element without declaration, to stand inside a page; every name in it begins with `prefix`, so that
// several drawings of one page do not share names. `inner` stands first in it (its title). The same drawing gives
// the same bytes. Throws Error(kStorage) where the drawing library fails.
std::string drawn_svg(double width, double height, const Drawing& draw, const std::string& prefix = {},
                      const std::string& attributes = {}, const std::string& inner = {});

// Words into lines no wider than that; a word that is wider alone is cut. A line that ends where a blank stood keeps it behind its last
// word (beyond the width), so that the words of two lines do not run together where they are read aloud or copied.
std::vector<std::string> wrapped(const Canvas& canvas, const std::string& text, Face face, double size,
                                 double width);

}  // namespace brookmark::viewer
