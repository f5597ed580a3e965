// Why: SpatiaLite keeps a shape as a BLOB with its bounding box in front; writing and reading it here is some
// twenty times faster than through SQL functions, and a hostile BLOB meets an error, never a huge allocation.
// Use: statement.bind(1, encode_point({10, 60}));  LonLat p = decode_point(statement.bytes(0));
//
// Layout (SpatiaLite documentation, "BLOB-Geometry"): 00, byte order (01 = little), SRID int32, box min x,
// min y, max x, max y as doubles, 7C, class int32 (1 point, 2 line, 6 multipolygon), the shape, FE. A polygon
// within a multipolygon starts with 69 and its class 3.
#pragma once

#include <cstdint>
#include <span>
#include <variant>
#include <vector>

#include "core/base/geometry.hpp"

namespace brookmark::core {

// In EPSG:4326, dimension XY. Throw Error(kBadInput) for a coordinate that is not finite, a line of fewer
// than two points and a ring that is not closed or has fewer than four points.
std::vector<std::uint8_t> encode_point(LonLat point);
std::vector<std::uint8_t> encode_line(std::span<const LonLat> line);
std::vector<std::uint8_t> encode_multi_polygon(const MultiPolygon& shape);  // at least one polygon

// Throw Error(kForeignFile) for anything that is not such a BLOB, whole and in EPSG:4326. Both byte orders
// are read.
LonLat decode_point(std::span<const std::uint8_t> blob);
Line decode_line(std::span<const std::uint8_t> blob);
MultiPolygon decode_multi_polygon(std::span<const std::uint8_t> blob);
// Any of the three, as the BLOB says.
std::variant<LonLat, Line, MultiPolygon> decode_shape(std::span<const std::uint8_t> blob);

}  // namespace brookmark::core
