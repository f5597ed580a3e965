// Why: find the few of 100,000s of segments that lie near a place without looking at them all.
// A packed R-tree (Leutenegger, Lopez & Edgington 1997, ICDE: sort-tile-recursive): unlike a grid it needs no
// cell size, so one reach drawn far off its place does not slow the rest. Built once, never changed.
// Use: BoxIndex index(boxes);  index.visit(area, [](std::uint32_t item) { ... });
#pragma once

#include <algorithm>
#include <cstdint>
#include <functional>
#include <limits>
#include <optional>
#include <queue>
#include <span>
#include <utility>
#include <vector>

#include "core/base/geometry.hpp"

namespace brookmark::core {

struct PlaneBox {
  double min_x = 0, min_y = 0, max_x = 0, max_y = 0;

  bool touches(const PlaneBox& other) const {
    return min_x <= other.max_x && other.min_x <= max_x && min_y <= other.max_y && other.min_y <= max_y;
  }
  double squared_m_to(PlanePoint p) const {
    const double dx = std::max({min_x - p.x, 0.0, p.x - max_x});
    const double dy = std::max({min_y - p.y, 0.0, p.y - max_y});
    return dx * dx + dy * dy;
  }
};

PlaneBox box_around(PlanePoint a, PlanePoint b);
PlaneBox grown(PlanePoint centre, double by_m);
PlaneBox joined(const PlaneBox& a, const PlaneBox& b);

class BoxIndex {
 public:
  BoxIndex() = default;
  explicit BoxIndex(std::span<const PlaneBox> boxes);

  // Calls f(item) for each item whose box touches the area, in no promised order.
  template <class F>
  void visit(const PlaneBox& area, F&& f) const;

  struct Nearest {
    std::uint32_t item;
    double squared_m;
  };
  // The item for which squared_m(item) is least and at most max_squared_m; of equals the lowest item.
  // squared_m(item) must not be less than the squared distance from `point` to the item's box.
  template <class F>
  std::optional<Nearest> nearest(PlanePoint point, double max_squared_m, F&& squared_m) const;

 private:
  static constexpr std::uint32_t kFanOut = 16;
  struct Level {
    std::uint32_t begin, count;  // in nodes_
  };
  std::vector<std::uint32_t> items_;  // item of nodes_[i], for the lowest level
  std::vector<PlaneBox> nodes_;       // the lowest level (the items) first, the root last
  std::vector<Level> levels_;

  // The nodes of the level below that `index` of `level` (1 or more) holds.
  std::pair<std::uint32_t, std::uint32_t> children(std::size_t level, std::uint32_t index) const {
    const std::uint32_t begin = index * kFanOut;
    return {begin, std::min(begin + kFanOut, levels_[level - 1].count)};
  }
};

template <class F>
void BoxIndex::visit(const PlaneBox& area, F&& f) const {
  const auto descend = [&](const auto& self, std::size_t level, std::uint32_t begin,
                           std::uint32_t end) -> void {
    for (std::uint32_t i = begin; i < end; ++i) {
      if (!nodes_[levels_[level].begin + i].touches(area)) continue;
      if (level == 0) {
        f(items_[i]);
      } else {
        const auto [first, last] = children(level, i);
        self(self, level - 1, first, last);
      }
    }
  };
  if (!levels_.empty()) descend(descend, levels_.size() - 1, 0, levels_.back().count);
}

template <class F>
std::optional<BoxIndex::Nearest> BoxIndex::nearest(PlanePoint point, double max_squared_m,
                                                   F&& squared_m) const {
  struct Step {
    double squared_m;
    std::uint32_t level, index;
    bool operator>(const Step& other) const { return squared_m > other.squared_m; }
  };
  std::priority_queue<Step, std::vector<Step>, std::greater<>> queue;
  std::optional<Nearest> best;
  double limit = max_squared_m;
  const auto offer = [&](std::size_t level, std::uint32_t begin, std::uint32_t end) {
    for (std::uint32_t i = begin; i < end; ++i) {
      const double box_m = nodes_[levels_[level].begin + i].squared_m_to(point);
      if (box_m > limit) continue;
      if (level > 0) {
        queue.push({box_m, static_cast<std::uint32_t>(level), i});
        continue;
      }
      const std::uint32_t item = items_[i];
      const double item_m = squared_m(item);
      if (item_m < limit || (item_m == limit && (!best || item < best->item))) {
        best = Nearest{item, item_m};
        limit = item_m;
      }
    }
  };
  if (!levels_.empty()) offer(levels_.size() - 1, 0, levels_.back().count);
  while (!queue.empty() && queue.top().squared_m <= limit) {
    const Step step = queue.top();
    queue.pop();
    const auto [first, last] = children(step.level, step.index);
    offer(step.level - 1, first, last);
  }
  return best;
}

}  // namespace brookmark::core
