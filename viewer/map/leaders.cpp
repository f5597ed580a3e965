#include "viewer/map/leaders.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace brookmark::viewer {

std::vector<Stroke> outside(const Stroke& line, std::span<const Disc> discs) {
  const double dx = line.to.x - line.from.x, dy = line.to.y - line.from.y;
  const double square = dx * dx + dy * dy;
  if (!(square > 0)) return {};
  // Where the line is inside a disc, as shares of its length: the roots of |from + t * d - middle| = radius.
  std::vector<std::pair<double, double>> hidden;
  for (const Disc& disc : discs) {
    const double fx = line.from.x - disc.middle.x, fy = line.from.y - disc.middle.y;
    const double half_b = fx * dx + fy * dy, c = fx * fx + fy * fy - disc.radius * disc.radius;
    const double under_root = half_b * half_b - square * c;
    if (under_root <= 0) continue;
    const double root = std::sqrt(under_root);
    hidden.emplace_back((-half_b - root) / square, (-half_b + root) / square);
  }
  std::sort(hidden.begin(), hidden.end());
  std::vector<Stroke> seen;
  const auto at = [&](double t) { return Pixel{line.from.x + dx * t, line.from.y + dy * t}; };
  double reached = 0;
  for (const auto& [enters, leaves] : hidden) {
    if (enters >= 1) break;
    if (enters > reached) seen.push_back({at(reached), at(enters)});
    reached = std::max(reached, leaves);
  }
  if (reached < 1) seen.push_back({at(reached), line.to});
  return seen;
}

}  // namespace brookmark::viewer
