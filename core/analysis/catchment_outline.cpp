#include <algorithm>
#include <cmath>
#include <numbers>

#include "core/analysis/catchment_outline_internal.hpp"

namespace brookmark::core {
namespace {

// Good to half a percent anywhere on the ellipsoid, which is enough to compare with a metre or ten.
constexpr double kMetresPerDegree = 111'200;

double metres_per_degree_of_longitude(double lat) {
  return kMetresPerDegree * std::max(std::cos(lat * std::numbers::pi / 180), 1e-6);
}

PlaneBox box_of(LonLat a, LonLat b) {
  return box_around({a.lon, a.lat}, {b.lon, b.lat});
}

bool touches(const BoundingBox& a, const BoundingBox& b) {
  return a.min_lon <= b.max_lon && b.min_lon <= a.max_lon && a.min_lat <= b.max_lat && b.min_lat <= a.max_lat;
}

LonLat on_the_way(LonLat a, LonLat b, double share) {
  return {a.lon + share * (b.lon - a.lon), a.lat + share * (b.lat - a.lat)};
}

}  // namespace

CatchmentOutline::CatchmentOutline(const MultiPolygon& shape)
    : bounds_(bounds_of(shape)), inner_(inner_point(shape)) {
  std::vector<PlaneBox> boxes;
  for (const Polygon& polygon : shape)
    for (std::size_t r = 0; r < polygon.rings.size(); ++r) {
      const Line& ring = polygon.rings[r];
      rings_.push_back(ring);
      hole_.push_back(r > 0);
      for (std::size_t i = 1; i < ring.size(); ++i) {
        edges_.push_back({ring[i - 1], ring[i]});
        boxes.push_back(box_of(ring[i - 1], ring[i]));
      }
    }
  index_ = BoxIndex(boxes);
}

bool CatchmentOutline::holds(LonLat point) const {
  if (!bounds_ || !touches(*bounds_, {point.lon, point.lat, point.lon, point.lat})) return false;
  bool inside = false;
  index_.visit({point.lon, point.lat, bounds_->max_lon, point.lat}, [&](std::uint32_t e) {
    const auto& [a, b] = edges_[e];
    if ((a.lat > point.lat) == (b.lat > point.lat)) return;
    inside ^= point.lon < a.lon + (point.lat - a.lat) / (b.lat - a.lat) * (b.lon - a.lon);
  });
  return inside;
}

bool CatchmentOutline::border_within(LonLat point, double metres) const {
  const double x_m = metres_per_degree_of_longitude(point.lat);
  const PlaneBox area{point.lon - metres / x_m, point.lat - metres / kMetresPerDegree,
                      point.lon + metres / x_m, point.lat + metres / kMetresPerDegree};
  bool near = false;
  index_.visit(area, [&](std::uint32_t e) {
    const auto& [a, b] = edges_[e];
    const double ax = (a.lon - point.lon) * x_m, ay = (a.lat - point.lat) * kMetresPerDegree;
    const double dx = (b.lon - a.lon) * x_m, dy = (b.lat - a.lat) * kMetresPerDegree;
    const double squared = dx * dx + dy * dy;
    const double share = squared > 0 ? std::clamp(-(ax * dx + ay * dy) / squared, 0.0, 1.0) : 0;
    near |= std::hypot(ax + share * dx, ay + share * dy) <= metres;
  });
  return near;
}

bool CatchmentOutline::border_touches(const PlaneBox& box) const {
  bool touches = false;
  index_.visit(box, [&](std::uint32_t) { touches = true; });
  return touches;
}

std::vector<double> CatchmentOutline::crossings(LonLat a, LonLat b) const {
  std::vector<double> shares;
  const double dx = b.lon - a.lon, dy = b.lat - a.lat;
  index_.visit(box_of(a, b), [&](std::uint32_t e) {
    const auto& [p, q] = edges_[e];
    const double ex = q.lon - p.lon, ey = q.lat - p.lat;
    const double turn = dx * ey - dy * ex;
    if (turn == 0) return;  // along each other, or no length
    const double share = ((p.lon - a.lon) * ey - (p.lat - a.lat) * ex) / turn;
    const double other = ((p.lon - a.lon) * dy - (p.lat - a.lat) * dx) / turn;
    if (share > 0 && share < 1 && other >= 0 && other <= 1) shares.push_back(share);
  });
  std::sort(shares.begin(), shares.end());
  return shares;
}

CatchmentLie lie_of(const CatchmentOutline& smaller, const CatchmentOutline& larger) {
  if (smaller.is_empty() || larger.is_empty() || !touches(*smaller.bounds(), *larger.bounds()))
    return CatchmentLie::kApart;
  const bool inner_inside = larger.holds(*smaller.inner());
  bool outside = !inner_inside, deep = inner_inside;
  const auto look_at = [&](LonLat point, double border_m) {
    if (larger.holds(point))
      deep = deep || !larger.border_within(point, kSliverM);
    else
      outside = outside || !larger.border_within(point, border_m);
  };
  for (const Line& ring : smaller.rings())
    for (std::size_t i = 1; i < ring.size(); ++i) {
      look_at(ring[i], kSameBorderM);
      // Between the vertices too: a notch of the larger may reach in there. A border drawn with fewer bends
      // than the other's strays a few metres from it, so only more than a sliver counts.
      double from = 0;
      for (const double to : larger.crossings(ring[i - 1], ring[i])) {
        look_at(on_the_way(ring[i - 1], ring[i], (from + to) / 2), kSliverM);
        from = to;
      }
      look_at(on_the_way(ring[i - 1], ring[i], (from + 1) / 2), kSliverM);
      if (outside && deep) return CatchmentLie::kInPart;
    }
  for (std::size_t r = 0; r < larger.rings().size(); ++r)
    for (const LonLat point : larger.rings()[r])
      if (smaller.holds(point) && !smaller.border_within(point, kSliverM)) {
        deep = true;
        outside = outside || larger.is_hole(r);
      }
  if (!outside) return CatchmentLie::kInside;
  return deep ? CatchmentLie::kInPart : CatchmentLie::kApart;
}

}  // namespace brookmark::core
