// Why: a shape that crosses itself has no clear inside, and a line of no length leads nowhere. Found before
// they are stored.
// Use: std::string why = polygon_fault(shape);  if (!why.empty()) ...
#pragma once

#include <optional>
#include <string>

#include "core/base/geometry.hpp"

namespace brookmark::core {

// A sentence on what is wrong, or nothing. Rings need four points, the first again as the last, an area,
// and must not cross themselves or each other (touching in a point is fine).
std::string polygon_fault(const MultiPolygon& shape);
// Lines need two different points, all on earth.
std::string line_fault(const Line& line);
// Where two segments of the line cross, not counting the joints; nothing when they do not.
std::optional<LonLat> self_crossing(const Line& line);

}  // namespace brookmark::core
