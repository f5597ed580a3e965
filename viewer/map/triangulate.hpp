// Why: graphics hardware fills triangles; ponds are concave and have islands.
// Use: auto corners = triangulate(rings);  // three corners a triangle
#pragma once

#include <span>
#include <vector>

#include "core/base/geometry.hpp"

namespace brookmark::viewer {

// Rings as in core::Polygon (outer first, closed) in the plane. A shape that is not a valid polygon is mended
// first (its lines kept, its area by the structure of its rings); one without any area gives nothing.
std::vector<core::PlanePoint> triangulate(std::span<const std::vector<core::PlanePoint>> rings);

}  // namespace brookmark::viewer
