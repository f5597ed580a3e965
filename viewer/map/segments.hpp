// Why: lines and areas reach the graphics as floats in metres from the survey's centre (the centre itself is a double, so a
// float is right to a centimetre across 100 km).
// Use: append_line(plane_line, segments);
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "core/base/geometry.hpp"

namespace brookmark::viewer {

struct Point2f {
  float x = 0, y = 0;
};

// One straight piece of a line; drawn with round ends, so that pieces join without gaps.
struct Segment {
  Point2f from, to;
  float along_m = 0;  // from the line's start to `from`, for dashes
};

struct SegmentRange {
  std::uint32_t begin = 0, end = 0;
};

// Outside every view where the plane cannot hold it.
Point2f as_float(core::PlanePoint p);
// A line's pieces, put behind what is there.
void append_line(std::span<const core::PlanePoint> line, std::vector<Segment>& out);

}  // namespace brookmark::viewer
