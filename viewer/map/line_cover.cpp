#include "viewer/map/line_cover.hpp"

#include <algorithm>
#include <cmath>

namespace brookmark::viewer {
namespace {

constexpr double kHundredths = 100;

// The part of from + t * d, t from 0 to 1, between two bounds of one coordinate.
bool clip(double from, double d, double low, double high, double& t0, double& t1) {
  if (d == 0) return from >= low && from <= high;
  double enters = (low - from) / d, leaves = (high - from) / d;
  if (enters > leaves) std::swap(enters, leaves);
  t0 = std::max(t0, enters);
  t1 = std::min(t1, leaves);
  return t0 <= t1;
}

}  // namespace

LineCover::LineCover(const PixelBox& box, Pixel fixed) : bounds_(box) {
  const auto before = [](double edge, double at) {
    return std::isfinite(at) ? edge - (std::remainder(edge - at, kCell_px) + kCell_px) : edge;
  };
  left_ = before(box.left, fixed.x);
  top_ = before(box.top, fixed.y);
  columns_ = static_cast<long long>((std::max(box.width, 0.0) + 3 * kCell_px) / kCell_px) + 1;
  rows_ = static_cast<long long>((std::max(box.height, 0.0) + 3 * kCell_px) / kCell_px) + 1;
  cells_.resize(static_cast<std::size_t>(columns_ * rows_));
}

void LineCover::add(Pixel from, Pixel to, double weight) {
  const double dx = to.x - from.x, dy = to.y - from.y;
  if (cells_.empty() || !std::isfinite(dx) || !std::isfinite(dy)) return;
  double t0 = 0, t1 = 1;
  if (!clip(from.x, dx, bounds_.left, bounds_.right(), t0, t1) ||
      !clip(from.y, dy, bounds_.top, bounds_.bottom(), t0, t1))
    return;
  const auto value = static_cast<std::uint8_t>(std::clamp(weight, 0.0, 2.5) * kHundredths);
  // One cell of each column, or of each row where it is steeper: so many cells as it is long along that side.
  const double longest = std::max(std::abs(dx), std::abs(dy)) * (t1 - t0);
  const int steps = static_cast<int>(std::ceil(longest / kCell_px));
  for (int i = 0; i <= steps; ++i) {
    const double t = steps > 0 ? t0 + (t1 - t0) * i / steps : t0;
    const auto column = static_cast<long long>((from.x + dx * t - left_) / kCell_px);
    const auto row = static_cast<long long>((from.y + dy * t - top_) / kCell_px);
    std::uint8_t& cell = cells_[static_cast<std::size_t>(std::clamp(row, 0LL, rows_ - 1) * columns_ +
                                                         std::clamp(column, 0LL, columns_ - 1))];
    cell = std::max(cell, value);
  }
}

double LineCover::under(const PixelBox& box) const {
  if (cells_.empty()) return 0;
  const auto first = [](double at) { return static_cast<long long>(std::floor(at / kCell_px)); };
  const long long x0 = std::max(first(box.left - left_), 0LL),
                  x1 = std::min(first(box.right() - left_), columns_ - 1);
  const long long y0 = std::max(first(box.top - top_), 0LL),
                  y1 = std::min(first(box.bottom() - top_), rows_ - 1);
  unsigned long sum = 0;
  for (long long y = y0; y <= y1; ++y)
    for (long long x = x0; x <= x1; ++x) sum += cells_[static_cast<std::size_t>(y * columns_ + x)];
  return static_cast<double>(sum) / kHundredths * kCell_px;
}

}  // namespace brookmark::viewer
