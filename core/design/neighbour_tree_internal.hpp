// Why: the nearest of the points that are still there is asked again and again while points are taken away.
// A k-d tree over fixed points (Bentley 1975, Commun. ACM 18:509-517; memory) that counts what is left of each branch.
// Use: NeighbourTree tree(points);  tree.remove(7);  tree.nearest(points[3], 3, ties)
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "core/base/geometry.hpp"

namespace brookmark::core {

class NeighbourTree {
 public:
  explicit NeighbourTree(std::span<const PlanePoint> points);

  void remove(std::uint32_t point);
  // All points left that are nearest to `to`, without `but`: several where they are equally near. Empty when none is left.
  void nearest(PlanePoint to, std::uint32_t but, std::vector<std::uint32_t>& ties) const;

 private:
  static constexpr std::uint32_t kLeaf = 8;
  struct Node {
    double min_x, min_y, max_x, max_y;
    std::uint32_t begin, end;  // in order_
    std::uint32_t left = 0;    // the other child is left + 1; 0: a leaf
    std::uint32_t parent = 0;
    std::uint32_t remaining = 0;
  };
  void build(std::uint32_t node);
  double squared_m_to(const Node& node, PlanePoint p) const;

  std::vector<PlanePoint> points_;
  std::vector<std::uint32_t> order_, leaf_of_;
  std::vector<bool> gone_;
  std::vector<Node> nodes_;
};

}  // namespace brookmark::core
