#include "viewer/map/area_places.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace brookmark::viewer {
namespace {

constexpr std::size_t kMostPlaces = 160;

bool finite(core::PlanePoint p) {
  return std::isfinite(p.x) && std::isfinite(p.y);
}

// Where a horizontal line crosses the rings, from west to east.
std::vector<double> crossings(std::span<const PlaneRing> rings, double y) {
  std::vector<double> xs;
  for (const PlaneRing& ring : rings)
    for (std::size_t i = 1; i < ring.size(); ++i) {
      const core::PlanePoint a = ring[i - 1], b = ring[i];
      if (!finite(a) || !finite(b) || (a.y > y) == (b.y > y)) continue;
      xs.push_back(a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y));
    }
  std::sort(xs.begin(), xs.end());
  return xs;
}

}  // namespace

AreaPlaces::AreaPlaces(std::span<const PlaneRing> rings, std::span<const PlaneRing> parts,
                       std::size_t steps) {
  bool any = false;
  for (const PlaneRing& ring : rings)
    for (const core::PlanePoint p : ring) {
      if (!finite(p)) continue;
      if (!any) bounds_ = {p.x, p.y, p.x, p.y};
      any = true;
      bounds_ = {std::min(bounds_.min_x, p.x), std::min(bounds_.min_y, p.y), std::max(bounds_.max_x, p.x),
                 std::max(bounds_.max_y, p.y)};
    }
  const double width = bounds_.max_x - bounds_.min_x, height = bounds_.max_y - bounds_.min_y;
  if (!(width > 0) || !(height > 0) || steps == 0) return;
  steps_ = steps;
  cells_.assign(steps * steps, 0);
  const auto step_count = static_cast<double>(steps);
  std::size_t inside = 0, own = 0;
  for (std::size_t row = 0; row < steps; ++row) {
    const double y = bounds_.min_y + height * (static_cast<double>(row) + 0.5) / step_count;
    const std::vector<double> edges = crossings(rings, y), part_edges = crossings(parts, y);
    std::size_t passed = 0, parts_passed = 0;
    for (std::size_t column = 0; column < steps; ++column) {
      const double x = bounds_.min_x + width * (static_cast<double>(column) + 0.5) / step_count;
      while (passed < edges.size() && edges[passed] < x) ++passed;
      while (parts_passed < part_edges.size() && part_edges[parts_passed] < x) ++parts_passed;
      if (passed % 2 == 0) continue;
      const bool in_part = parts_passed % 2 == 1;
      cells_[row * steps + column] = in_part ? 2 : 1;
      ++inside;
      if (!in_part) ++own;
    }
  }
  own_share_ = inside > 0 ? static_cast<double>(own) / static_cast<double>(inside) : 0;
  own_ = roomiest(1);
  anywhere_ = parts.empty() ? own_ : roomiest(2);
}

std::uint8_t AreaPlaces::cell(double x, double y) const {
  const double column = (x - bounds_.min_x) / (bounds_.max_x - bounds_.min_x) * static_cast<double>(steps_);
  const double row = (y - bounds_.min_y) / (bounds_.max_y - bounds_.min_y) * static_cast<double>(steps_);
  const auto count = static_cast<double>(steps_);
  if (!(column >= 0) || !(row >= 0) || column >= count || row >= count) return 0;
  return cells_[static_cast<std::size_t>(row) * steps_ + static_cast<std::size_t>(column)];
}

bool AreaPlaces::holds(const PlaneBox& box, bool own) const {
  if (steps_ == 0) return false;
  constexpr int kAcross = 8, kDown = 3;
  for (int i = 0; i <= kAcross; ++i)
    for (int k = 0; k <= kDown; ++k) {
      const std::uint8_t what = cell(box.min_x + (box.max_x - box.min_x) * i / kAcross,
                                     box.min_y + (box.max_y - box.min_y) * k / kDown);
      if (what == 0 || (own && what != 1)) return false;
    }
  return true;
}

// Steps to the nearest cell that does not count, by two sweeps; a cell at the rim has 1.
std::vector<core::PlanePoint> AreaPlaces::roomiest(std::uint8_t up_to) const {
  const std::size_t n = steps_;
  std::vector<int> room(n * n, 0);
  const auto at = [&](std::size_t row, std::size_t column) {
    return row < n && column < n ? room[row * n + column] : 0;  // below zero wraps around and is outside
  };
  const auto counts = [&](std::size_t i) { return cells_[i] != 0 && cells_[i] <= up_to; };
  for (std::size_t r = 0; r < n; ++r)
    for (std::size_t c = 0; c < n; ++c)
      if (counts(r * n + c)) room[r * n + c] = 1 + std::min(at(r - 1, c), at(r, c - 1));
  std::vector<std::pair<int, std::size_t>> found;
  for (std::size_t r = n; r-- > 0;)
    for (std::size_t c = n; c-- > 0;) {
      int& here = room[r * n + c];
      if (here == 0) continue;
      here = std::min(here, 1 + std::min(at(r + 1, c), at(r, c + 1)));
      found.emplace_back(-here, r * n + c);
    }
  std::sort(found.begin(), found.end());
  std::vector<core::PlanePoint> places;
  // The best one, then every so many-th, so that few still reach everywhere.
  const std::size_t stride = found.size() / kMostPlaces + 1;
  for (std::size_t i = 0; i < found.size(); i += stride) {
    const auto row = static_cast<double>(found[i].second / n),
               column = static_cast<double>(found[i].second % n);
    places.push_back(
        {bounds_.min_x + (bounds_.max_x - bounds_.min_x) * (column + 0.5) / static_cast<double>(n),
         bounds_.min_y + (bounds_.max_y - bounds_.min_y) * (row + 0.5) / static_cast<double>(n)});
  }
  return places;
}

}  // namespace brookmark::viewer
