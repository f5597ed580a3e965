#include "viewer/map/segments.hpp"

#include <cmath>

namespace brookmark::viewer {

Point2f as_float(core::PlanePoint p) {
  constexpr float kNowhere = 1e30F;
  if (!std::isfinite(p.x) || !std::isfinite(p.y)) return {kNowhere, kNowhere};
  return {static_cast<float>(p.x), static_cast<float>(p.y)};
}

void append_line(std::span<const core::PlanePoint> line, std::vector<Segment>& out) {
  double along = 0;
  for (std::size_t i = 1; i < line.size(); ++i) {
    const double length = std::hypot(line[i].x - line[i - 1].x, line[i].y - line[i - 1].y);
    if (!std::isfinite(length)) continue;
    out.push_back({as_float(line[i - 1]), as_float(line[i]), static_cast<float>(along)});
    along += length;
  }
}

}  // namespace brookmark::viewer
