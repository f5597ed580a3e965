// Why: places and shapes as plain values; metres come from the ellipsoid or from a local frame, never from
// degrees.
// Use: double d = geodesic_m({10, 60}, {10.01, 60});  LocalFrame f({10, 60});
//      auto p = f.to_plane({10.001, 60});
#pragma once

#include <cmath>
#include <compare>
#include <cstddef>
#include <limits>
#include <memory>
#include <optional>
#include <span>
#include <vector>

namespace brookmark::core {

// WGS 84 (EPSG:4326), degrees, longitude first everywhere in this program.
struct LonLat {
  double lon = 0;  // -180..180
  double lat = 0;  // -90..90
  auto operator<=>(const LonLat&) const = default;
};

// The place of a site whose position nobody noted; NaN stands for "no data" in columns. Test with is_placed().
inline constexpr LonLat kUnplaced{std::numeric_limits<double>::quiet_NaN(),
                                  std::numeric_limits<double>::quiet_NaN()};
inline bool is_placed(LonLat position) {
  return !std::isnan(position.lon) && !std::isnan(position.lat);
}

// Metres in some plane: x east, y north.
struct PlanePoint {
  double x = 0;
  double y = 0;
  auto operator<=>(const PlanePoint&) const = default;
};

using Line = std::vector<LonLat>;
// Ring 0 is the outer boundary, the others are holes; rings are closed (first point = last point).
struct Polygon {
  std::vector<Line> rings;
};
using MultiPolygon = std::vector<Polygon>;

struct BoundingBox {
  double min_lon = 0, min_lat = 0, max_lon = 0, max_lat = 0;
};

// Shortest distance on the WGS 84 ellipsoid in metres (Karney 2013, J. Geodesy 87:43-55, as in PROJ's
// geodesic.h; error below 15 nm). Neighbouring places, less than 0.02 degrees apart, by the chord: within 10 nm
// of that.
double geodesic_m(LonLat from, LonLat to);
// Length of a line along its vertices, metres on the ellipsoid.
double length_m(std::span<const LonLat> line);
// Area inside outer rings minus holes, square metres on the ellipsoid; independent of ring direction.
double area_m2(const MultiPolygon& shape);

bool is_valid(LonLat position);  // finite and within range

// Even-odd test over all rings; a point on a boundary may fall either way, but never in both of two
// polygons that share that boundary vertex for vertex.
bool contains(const MultiPolygon& shape, LonLat point);
// A point that is certainly inside the largest polygon of the shape; nothing for an empty or flat shape.
std::optional<LonLat> inner_point(const MultiPolygon& shape);
std::optional<BoundingBox> bounds_of(const MultiPolygon& shape);
std::optional<BoundingBox> bounds_of(std::span<const LonLat> points);

// A survey-centred Lambert azimuthal equal-area plane on WGS 84 (EPSG method 9820). Lengths are right to
// 0.2 ppm within 1 km, 1.7 ppm within 10 km and 22 ppm within 100 km of the centre; there and back again
// moves a place by less than 0.2 mm.
// Not for use from two threads at once: make one per thread.
class LocalFrame {
 public:
  explicit LocalFrame(LonLat centre);
  ~LocalFrame();
  LocalFrame(LocalFrame&&) noexcept;
  LocalFrame& operator=(LocalFrame&&) noexcept;

  LonLat centre() const;
  PlanePoint to_plane(LonLat position) const;
  LonLat to_lonlat(PlanePoint point) const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace brookmark::core
