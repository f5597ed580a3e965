#include <cmath>
#include <numeric>

#include "core/network/box_index_internal.hpp"

namespace brookmark::core {
PlaneBox joined(const PlaneBox& a, const PlaneBox& b) {
  return {std::min(a.min_x, b.min_x), std::min(a.min_y, b.min_y), std::max(a.max_x, b.max_x),
          std::max(a.max_y, b.max_y)};
}

PlaneBox box_around(PlanePoint a, PlanePoint b) {
  return {std::min(a.x, b.x), std::min(a.y, b.y), std::max(a.x, b.x), std::max(a.y, b.y)};
}

PlaneBox grown(PlanePoint centre, double by_m) {
  return {centre.x - by_m, centre.y - by_m, centre.x + by_m, centre.y + by_m};
}

BoxIndex::BoxIndex(std::span<const PlaneBox> boxes) {
  if (boxes.empty()) return;
  // Vertical strips by the boxes' middles, each strip sorted from south to north.
  struct Keyed {
    double x, y;
    std::uint32_t item;
  };
  std::vector<Keyed> order(boxes.size());
  for (std::uint32_t i = 0; i < boxes.size(); ++i) {
    order[i] = {boxes[i].min_x + boxes[i].max_x, boxes[i].min_y + boxes[i].max_y, i};
  }
  const auto by_x = [](const Keyed& a, const Keyed& b) {
    return a.x != b.x ? a.x < b.x : a.y != b.y ? a.y < b.y : a.item < b.item;
  };
  const auto by_y = [](const Keyed& a, const Keyed& b) {
    return a.y != b.y ? a.y < b.y : a.x != b.x ? a.x < b.x : a.item < b.item;
  };
  std::sort(order.begin(), order.end(), by_x);
  const double leaves = std::ceil(static_cast<double>(boxes.size()) / kFanOut);
  const std::size_t strip = kFanOut * static_cast<std::size_t>(std::ceil(std::sqrt(leaves)));
  for (std::size_t begin = 0; begin < order.size(); begin += strip) {
    const std::size_t end = std::min(begin + strip, order.size());
    std::sort(order.begin() + static_cast<std::ptrdiff_t>(begin),
              order.begin() + static_cast<std::ptrdiff_t>(end), by_y);
  }

  items_.reserve(order.size());
  nodes_.reserve(order.size() + order.size() / (kFanOut - 1) + 8);
  for (const Keyed& key : order) {
    items_.push_back(key.item);
    nodes_.push_back(boxes[key.item]);
  }
  levels_.push_back({0, static_cast<std::uint32_t>(items_.size())});
  while (levels_.back().count > kFanOut) {
    const Level below = levels_.back();
    const Level level{below.begin + below.count, (below.count + kFanOut - 1) / kFanOut};
    levels_.push_back(level);
    for (std::uint32_t i = 0; i < level.count; ++i) {
      const auto [first, last] = children(levels_.size() - 1, i);
      PlaneBox box = nodes_[below.begin + first];
      for (std::uint32_t child = first + 1; child < last; ++child)
        box = joined(box, nodes_[below.begin + child]);
      nodes_.push_back(box);
    }
  }
}

}  // namespace brookmark::core
