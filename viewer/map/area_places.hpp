// Why: a catchment's name must stand inside it, where nothing else stands, and not inside one of its parts, whose
// name it would then seem to be. A coarse picture of the area, made once, answers that for every view.
// Use: AreaPlaces places(rings, rings_of_parts);  for (auto p : places.own()) if (places.holds(box, true)) ...
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "viewer/state/viewport.hpp"

namespace brookmark::viewer {

using PlaneRing = std::vector<core::PlanePoint>;

class AreaPlaces {
 public:
  AreaPlaces() = default;
  // Rings in the plane, even-odd; `steps` cells on either side.
  AreaPlaces(std::span<const PlaneRing> rings, std::span<const PlaneRing> parts, std::size_t steps = 48);

  const PlaneBox& bounds() const { return bounds_; }
  // Places inside, the farthest from the edge first: outside the parts, or anywhere.
  std::span<const core::PlanePoint> own() const { return own_; }
  std::span<const core::PlanePoint> anywhere() const { return anywhere_; }
  // Whether a box lies inside, to about a cell; `own` leaves out the parts.
  bool holds(const PlaneBox& box, bool own) const;
  // Share of the area that lies in no part: 0 where the parts make up the whole.
  double own_share() const { return own_share_; }

 private:
  std::uint8_t cell(double x, double y) const;
  std::vector<core::PlanePoint> roomiest(std::uint8_t up_to) const;

  PlaneBox bounds_;
  std::size_t steps_ = 0;
  std::vector<std::uint8_t> cells_;  // 0 outside, 1 inside, 2 inside a part
  std::vector<core::PlanePoint> own_, anywhere_;
  double own_share_ = 0;
};

}  // namespace brookmark::viewer
