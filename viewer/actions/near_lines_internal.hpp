// Why: a tap lies near a line, not on it. What of the drawn channels lies within reach of a place. Private to viewer/actions.
// Use: const Near near(at, limit_m);  if (near(a, b)) nearest_on(plane(a), plane(b), p).distance
#pragma once

#include <algorithm>
#include <cmath>

#include "core/base/geometry.hpp"

namespace brookmark::viewer {

struct Segment2 {
  core::PlanePoint nearest;
  double distance = 0;
};
// Of the piece of line from a to b.
Segment2 nearest_on(core::PlanePoint a, core::PlanePoint b, core::PlanePoint p);

// Whether a piece of line can come within a limit of a place, told by degrees alone: most pieces of a large network
// are far away.
class Near {
 public:
  Near(core::LonLat at, double limit_m)
      : at_(at), lat_(limit_m / 110000), lon_(lat_ / std::max(std::cos(at.lat * 0.01745329), 0.01)) {}
  bool operator()(core::LonLat a, core::LonLat b) const {
    return std::max(a.lat, b.lat) >= at_.lat - lat_ && std::min(a.lat, b.lat) <= at_.lat + lat_ &&
           std::max(a.lon, b.lon) >= at_.lon - lon_ && std::min(a.lon, b.lon) <= at_.lon + lon_;
  }

 private:
  core::LonLat at_;
  double lat_, lon_;
};

}  // namespace brookmark::viewer
