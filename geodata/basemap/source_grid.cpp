#include <algorithm>
#include <cmath>
#include <limits>

#include "geodata/basemap/source_grid_internal.hpp"

namespace brookmark::geodata {

namespace {

constexpr int kMostSteps = 32;
constexpr double kStraight = 0.25;  // of a tile's pixel
constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

}  // namespace

core::PlanePoint SourceGrid::plane_of(const PlaneSquare& square, int pixels, double column,
                                      double row) const {
  const double metres = square.side / pixels;
  return {square.x + column * metres, square.y + square.side - row * metres};
}

void SourceGrid::walk(const PlaneSquare& square, int pixels, const WayToSource& way) {
  span_ = static_cast<double>(pixels + 2 * margin_) / steps_;
  corners_.clear();
  min_x = min_y = std::numeric_limits<double>::infinity();
  max_x = max_y = -min_x;
  for (int r = 0; r <= steps_; ++r)
    for (int c = 0; c <= steps_; ++c) {
      const auto to = way(plane_of(square, pixels, c * span_ - margin_, r * span_ - margin_));
      if (!to || !std::isfinite(to->x) || !std::isfinite(to->y)) {
        corners_.push_back({kNone, kNone});
        continue;
      }
      corners_.push_back(*to);
      min_x = std::min(min_x, to->x), max_x = std::max(max_x, to->x);
      min_y = std::min(min_y, to->y), max_y = std::max(max_y, to->y);
    }
  // The finest step anywhere: what is read must be fine enough there too.
  source_pixels = std::numeric_limits<double>::infinity();
  const auto n = static_cast<std::size_t>(steps_) + 1;
  for (std::size_t i = 0; i + n < corners_.size(); ++i) {
    const core::PlanePoint a = corners_[i], right = (i + 1) % n == 0 ? a : corners_[i + 1],
                           down = corners_[i + n];
    for (const core::PlanePoint b : {right, down})
      if (const double d = std::hypot(b.x - a.x, b.y - a.y) / span_; d > 0)
        source_pixels = std::min(source_pixels, d);
  }
  if (!std::isfinite(source_pixels)) source_pixels = 1;
}

bool SourceGrid::is_straight(const PlaneSquare& square, int pixels, const WayToSource& way) const {
  for (int r = 0; r < steps_; r += std::max(1, steps_ / 4))
    for (int c = 0; c < steps_; c += std::max(1, steps_ / 4)) {
      const double column = (c + 0.5) * span_ - margin_, row = (r + 0.5) * span_ - margin_;
      const auto guess = at(column, row);
      const auto real = way(plane_of(square, pixels, column, row));
      if (!guess || !real) continue;
      if (std::hypot(guess->x - real->x, guess->y - real->y) > kStraight * std::max(source_pixels, 1.0))
        return false;
    }
  return true;
}

SourceGrid::SourceGrid(const PlaneSquare& square, int pixels, int margin, double jump, const WayToSource& way)
    : margin_(margin), jump_(jump) {
  for (; steps_ <= kMostSteps; steps_ *= 2) {
    walk(square, pixels, way);
    if (steps_ == kMostSteps || is_straight(square, pixels, way)) return;
  }
}

std::optional<core::PlanePoint> SourceGrid::at(double column, double row) const {
  const double x = std::clamp((column + margin_) / span_, 0.0, static_cast<double>(steps_));
  const double y = std::clamp((row + margin_) / span_, 0.0, static_cast<double>(steps_));
  const auto c = std::min(static_cast<std::size_t>(x), static_cast<std::size_t>(steps_) - 1);
  const auto r = std::min(static_cast<std::size_t>(y), static_cast<std::size_t>(steps_) - 1);
  const auto n = static_cast<std::size_t>(steps_) + 1;
  const core::PlanePoint* p = &corners_[r * n + c];
  const double u = x - static_cast<double>(c), v = y - static_cast<double>(r);
  const auto mix = [&](double core::PlanePoint::*k) {
    return (1 - v) * ((1 - u) * (p[0].*k) + u * (p[1].*k)) + v * ((1 - u) * (p[n].*k) + u * (p[n + 1].*k));
  };
  if (std::max({p[0].x, p[1].x, p[n].x, p[n + 1].x}) - std::min({p[0].x, p[1].x, p[n].x, p[n + 1].x}) > jump_)
    return std::nullopt;
  const core::PlanePoint found{mix(&core::PlanePoint::x), mix(&core::PlanePoint::y)};
  if (!std::isfinite(found.x) || !std::isfinite(found.y)) return std::nullopt;
  return found;
}

}  // namespace brookmark::geodata
