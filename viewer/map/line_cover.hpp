// Why: a word on a line is harder to read than one beside it. Lines do not forbid a place, as marks do: of the free places
// the one that lies over the least of them is taken, and this knows how much that is.
// Use: LineCover cover(map, {view.to_pixel({0, 0})});  cover.add(a, b);  double px = cover.under(box);
#pragma once

#include <cstdint>
#include <vector>

#include "viewer/state/viewport.hpp"

namespace brookmark::viewer {

class LineCover {
 public:
  static constexpr double kCell_px = 4;  // how exactly lines are remembered

  LineCover() = default;
  // `fixed`: a pixel that moves with the map, so that the same words lie over as much wherever the map is moved to.
  explicit LineCover(const PixelBox& box, Pixel fixed = {});
  // A straight line, clipped to the box; `weight` 0 to 2.5, 1 for a line that a word should not lie on. Where lines cross
  // or lie on one another the heaviest counts, once.
  void add(Pixel from, Pixel to, double weight = 1);
  // About how many pixels of line lie under a box, each times its weight.
  double under(const PixelBox& box) const;

 private:
  PixelBox bounds_;
  double left_ = 0, top_ = 0;
  long long columns_ = 0, rows_ = 0;
  std::vector<std::uint8_t> cells_;  // weights in hundredths
};

}  // namespace brookmark::viewer
