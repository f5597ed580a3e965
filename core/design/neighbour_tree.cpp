#include <algorithm>
#include <limits>
#include <utility>

#include "core/design/neighbour_tree_internal.hpp"

namespace brookmark::core {

NeighbourTree::NeighbourTree(std::span<const PlanePoint> points)
    : points_(points.begin(), points.end()),
      order_(points.size()),
      leaf_of_(points.size(), 0),
      gone_(points.size(), false) {
  for (std::uint32_t i = 0; i < order_.size(); ++i) order_[i] = i;
  nodes_.push_back({0, 0, 0, 0, 0, static_cast<std::uint32_t>(order_.size())});
  for (std::uint32_t node = 0; node < nodes_.size(); ++node) build(node);
}

void NeighbourTree::build(std::uint32_t at) {
  Node node = nodes_[at];
  node.remaining = node.end - node.begin;
  node.min_x = node.min_y = std::numeric_limits<double>::infinity();
  node.max_x = node.max_y = -std::numeric_limits<double>::infinity();
  for (std::uint32_t i = node.begin; i < node.end; ++i) {
    const PlanePoint p = points_[order_[i]];
    node.min_x = std::min(node.min_x, p.x);
    node.max_x = std::max(node.max_x, p.x);
    node.min_y = std::min(node.min_y, p.y);
    node.max_y = std::max(node.max_y, p.y);
  }
  if (node.remaining <= kLeaf) {
    for (std::uint32_t i = node.begin; i < node.end; ++i) leaf_of_[order_[i]] = at;
  } else {
    const bool by_x = node.max_x - node.min_x >= node.max_y - node.min_y;
    const std::uint32_t middle = node.begin + node.remaining / 2;
    const auto at_index = [&](std::uint32_t i) { return order_.begin() + static_cast<std::ptrdiff_t>(i); };
    std::nth_element(at_index(node.begin), at_index(middle), at_index(node.end),
                     [&](std::uint32_t a, std::uint32_t b) {
                       const double of_a = by_x ? points_[a].x : points_[a].y;
                       const double of_b = by_x ? points_[b].x : points_[b].y;
                       return of_a < of_b || (of_a == of_b && a < b);
                     });
    node.left = static_cast<std::uint32_t>(nodes_.size());
    nodes_.push_back({0, 0, 0, 0, node.begin, middle, 0, at});
    nodes_.push_back({0, 0, 0, 0, middle, node.end, 0, at});
  }
  nodes_[at] = node;
}

void NeighbourTree::remove(std::uint32_t point) {
  if (gone_[point]) return;
  gone_[point] = true;
  for (std::uint32_t node = leaf_of_[point];; node = nodes_[node].parent) {
    --nodes_[node].remaining;
    if (node == 0) return;
  }
}

double NeighbourTree::squared_m_to(const Node& node, PlanePoint p) const {
  const double dx = std::max({node.min_x - p.x, 0.0, p.x - node.max_x});
  const double dy = std::max({node.min_y - p.y, 0.0, p.y - node.max_y});
  return dx * dx + dy * dy;
}

void NeighbourTree::nearest(PlanePoint to, std::uint32_t but, std::vector<std::uint32_t>& ties) const {
  ties.clear();
  double best = std::numeric_limits<double>::infinity();
  const auto search = [&](const auto& self, std::uint32_t at) -> void {
    const Node& node = nodes_[at];
    if (node.remaining == 0 || squared_m_to(node, to) > best) return;
    if (node.left != 0) {
      std::uint32_t first = node.left, second = node.left + 1;
      if (squared_m_to(nodes_[second], to) < squared_m_to(nodes_[first], to)) std::swap(first, second);
      self(self, first);
      self(self, second);
      return;
    }
    for (std::uint32_t i = node.begin; i < node.end; ++i) {
      const std::uint32_t point = order_[i];
      if (gone_[point] || point == but) continue;
      const double dx = points_[point].x - to.x, dy = points_[point].y - to.y;
      const double squared = dx * dx + dy * dy;
      if (squared > best) continue;
      if (squared < best) ties.clear();
      best = squared;
      ties.push_back(point);
    }
  };
  search(search, 0);
}

}  // namespace brookmark::core
