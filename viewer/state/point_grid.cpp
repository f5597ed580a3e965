#include "viewer/state/point_grid.hpp"

#include <algorithm>
#include <cmath>

namespace brookmark::viewer {

PointGrid::PointGrid(std::span<const core::PlanePoint> points) : points_(points.begin(), points.end()) {
  bool any = false;
  const auto finite = [](core::PlanePoint p) { return std::isfinite(p.x) && std::isfinite(p.y); };
  for (const core::PlanePoint p : points_) {
    if (!finite(p)) continue;
    if (!any) bounds_ = {p.x, p.y, p.x, p.y};
    any = true;
    bounds_ = {std::min(bounds_.min_x, p.x), std::min(bounds_.min_y, p.y), std::max(bounds_.max_x, p.x),
               std::max(bounds_.max_y, p.y)};
  }
  if (!any) return;
  // About two points a cell, and never more cells than that on either side.
  const double side = std::clamp(std::sqrt(static_cast<double>(points_.size()) / 2.0), 1.0, 1024.0);
  columns_ = rows_ = static_cast<std::int64_t>(side);
  cell_w_ = std::max((bounds_.max_x - bounds_.min_x) / static_cast<double>(columns_), 1e-6);
  cell_h_ = std::max((bounds_.max_y - bounds_.min_y) / static_cast<double>(rows_), 1e-6);
  const auto cell_of = [&](core::PlanePoint p) {
    const auto x = std::min(columns_ - 1, static_cast<std::int64_t>((p.x - bounds_.min_x) / cell_w_));
    const auto y = std::min(rows_ - 1, static_cast<std::int64_t>((p.y - bounds_.min_y) / cell_h_));
    return static_cast<std::size_t>(y * columns_ + x);
  };
  begin_.assign(static_cast<std::size_t>(columns_ * rows_) + 1, 0);
  for (const core::PlanePoint p : points_)
    if (finite(p)) ++begin_[cell_of(p) + 1];
  for (std::size_t i = 1; i < begin_.size(); ++i) begin_[i] += begin_[i - 1];
  members_.resize(begin_.back());
  std::vector<std::uint32_t> next(begin_.begin(), begin_.end() - 1);
  for (std::uint32_t i = 0; i < points_.size(); ++i)
    if (finite(points_[i])) members_[next[cell_of(points_[i])]++] = i;
}

PointGrid::CellRange PointGrid::cells(const PlaneBox& box) const {
  if (columns_ == 0 || box.max_x < bounds_.min_x || box.min_x > bounds_.max_x || box.max_y < bounds_.min_y ||
      box.min_y > bounds_.max_y)
    return {0, 0, 0, 0, true};
  const auto column = [&](double x) {
    return static_cast<std::int64_t>(
        std::clamp((x - bounds_.min_x) / cell_w_, 0.0, static_cast<double>(columns_ - 1)));
  };
  const auto row = [&](double y) {
    return static_cast<std::int64_t>(
        std::clamp((y - bounds_.min_y) / cell_h_, 0.0, static_cast<double>(rows_ - 1)));
  };
  return {column(box.min_x), row(box.min_y), column(box.max_x), row(box.max_y), false};
}

std::vector<std::uint32_t> PointGrid::inside(const PlaneBox& box) const {
  std::vector<std::uint32_t> found;
  const CellRange range = cells(box);
  if (range.empty) return found;
  for (std::int64_t y = range.y0; y <= range.y1; ++y) {
    const auto first = begin_[static_cast<std::size_t>(y * columns_ + range.x0)];
    const auto last = begin_[static_cast<std::size_t>(y * columns_ + range.x1) + 1];
    for (auto m = first; m < last; ++m) {
      const core::PlanePoint p = points_[members_[m]];
      if (p.x >= box.min_x && p.x <= box.max_x && p.y >= box.min_y && p.y <= box.max_y)
        found.push_back(members_[m]);
    }
  }
  std::sort(found.begin(), found.end());
  return found;
}

std::size_t PointGrid::count_about(const PlaneBox& box) const {
  const CellRange range = cells(box);
  if (range.empty) return 0;
  std::size_t count = 0;
  for (std::int64_t y = range.y0; y <= range.y1; ++y)
    count += begin_[static_cast<std::size_t>(y * columns_ + range.x1) + 1] -
             begin_[static_cast<std::size_t>(y * columns_ + range.x0)];
  return count;
}

}  // namespace brookmark::viewer
