// Why: whether one catchment lies inside another is asked of whole outlines, thousands of vertices each, and
// borders that were drawn twice do not agree to the last digit. One point inside is no answer.
// Use: lie_of(CatchmentOutline(small.shape), CatchmentOutline(large.shape)) == CatchmentLie::kInside
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "core/base/geometry.hpp"
#include "core/network/box_index_internal.hpp"

namespace brookmark::core {

// Borders this near to each other are the same border. Common practice, no source.
inline constexpr double kSameBorderM = 1;
// Neighbours' borders that were drawn apart overlap in slivers; only what reaches farther in is an overlap.
// Common practice, no source.
inline constexpr double kSliverM = 10;

class CatchmentOutline {
 public:
  explicit CatchmentOutline(const MultiPolygon& shape);

  bool is_empty() const { return !inner_; }  // also for flat shapes
  const std::optional<BoundingBox>& bounds() const { return bounds_; }
  const std::optional<LonLat>& inner() const { return inner_; }
  const std::vector<Line>& rings() const { return rings_; }
  bool is_hole(std::size_t ring) const { return hole_[ring]; }

  // Edges are straight in degrees here, as in contains(); even-odd, so the border may fall either way.
  bool holds(LonLat point) const;
  bool border_within(LonLat point, double metres) const;
  // Whether the border may pass through a box given in degrees.
  bool border_touches(const PlaneBox& box) const;
  // How far along from a (0) to b (1) the border is crossed, in order, between a 0 and a 1.
  std::vector<double> crossings(LonLat a, LonLat b) const;

 private:
  struct Edge {
    LonLat a, b;
  };
  std::vector<Line> rings_;
  std::vector<bool> hole_;
  std::vector<Edge> edges_;
  BoxIndex index_;  // of edges_, in degrees
  std::optional<BoundingBox> bounds_;
  std::optional<LonLat> inner_;
};

enum class CatchmentLie : std::uint8_t {
  kApart,   // also: touching, or overlapping in slivers
  kInside,  // the smaller lies in the larger wholly
  kInPart   // part of the smaller lies in the larger, and part of it outside
};
// `larger` is not smaller than `smaller`. Inside means: every vertex of the smaller within the larger or
// within kSameBorderM of its border, no stretch between two vertices and no hole of the larger by more than a
// sliver the other way, and the smaller's inner point within the larger.
CatchmentLie lie_of(const CatchmentOutline& smaller, const CatchmentOutline& larger);

}  // namespace brookmark::core
