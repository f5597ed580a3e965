// Why: words over a line are hard to read and hide it. Private to viewer/report.
// Use: LineGround lines(width, height);  lines.add(line, 3);  if (lines.is_clear(box)) ...
#pragma once

#include <algorithm>
#include <cmath>
#include <vector>

#include "viewer/state/viewport.hpp"

namespace brookmark::viewer {

// Where lines lie, in squares of two points: words rather stand beside them.
class LineGround {
 public:
  LineGround(double width, double height)
      : columns_(static_cast<long>(width / kSquare) + 1),
        rows_(static_cast<long>(height / kSquare) + 1),
        covered_(static_cast<std::size_t>(columns_ * rows_)) {}

  void add(const std::vector<Pixel>& line, double pen_width) {
    for (std::size_t i = 1; i < line.size(); ++i) {
      const Pixel a = line[i - 1], b = line[i];
      const int steps = std::max(1, static_cast<int>(std::hypot(b.x - a.x, b.y - a.y)));
      for (int s = 0; s <= std::min(steps, 20'000); ++s) {
        const double t = static_cast<double>(s) / steps, half = pen_width / 2;
        const double x = a.x + (b.x - a.x) * t, y = a.y + (b.y - a.y) * t;
        each({x - half, y - half, pen_width, pen_width}, [&](std::size_t square) {
          covered_[square] = true;
          return false;
        });
      }
    }
  }
  bool is_clear(const PixelBox& box) const {
    return !each(box, [&](std::size_t square) { return static_cast<bool>(covered_[square]); });
  }

 private:
  static constexpr double kSquare = 2;
  template <class Visit>
  bool each(const PixelBox& box, const Visit& visit) const {
    const auto square = [](double v, long most) {
      return std::clamp(static_cast<long>(std::floor(v / kSquare)), 0L, most);
    };
    if (box.right() < 0 || box.bottom() < 0 || box.left > static_cast<double>(columns_) * kSquare ||
        box.top > static_cast<double>(rows_) * kSquare)
      return false;
    for (long row = square(box.top, rows_ - 1); row <= square(box.bottom(), rows_ - 1); ++row)
      for (long column = square(box.left, columns_ - 1); column <= square(box.right(), columns_ - 1);
           ++column)
        if (visit(static_cast<std::size_t>(row * columns_ + column))) return true;
    return false;
  }
  long columns_, rows_;
  std::vector<bool> covered_;
};

}  // namespace brookmark::viewer
