// Why: a mark that stands aside is joined to its place by a line, and that line must not cross out the marks it
// passes.
// Use: for (const Stroke& s : outside({a, b}, discs)) draw(s);
#pragma once

#include <span>
#include <vector>

#include "viewer/state/viewport.hpp"

namespace brookmark::viewer {

struct Stroke {
  Pixel from, to;
};
struct Disc {
  Pixel middle;
  double radius = 0;
};

// The parts of a straight line that lie outside every disc, in its direction.
std::vector<Stroke> outside(const Stroke& line, std::span<const Disc> discs);

}  // namespace brookmark::viewer
