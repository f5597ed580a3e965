#include "core/base/geometry.hpp"

#include <geodesic.h>
#include <proj.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <mutex>
#include <utility>

#include "core/base/error.hpp"
#include "core/base/text.hpp"

namespace brookmark::core {

namespace {

// WGS 84: a = 6378137 m, f = 1/298.257223563 (NIMA 2000, TR8350.2 third edition, table 3.1).
const geod_geodesic& wgs84() {
  static const geod_geodesic ellipsoid = [] {
    geod_geodesic g;
    geod_init(&g, 6378137.0, 1 / 298.257223563);
    return g;
  }();
  return ellipsoid;
}

double ring_area_m2(const Line& ring) {
  geod_polygon polygon;
  geod_polygon_init(&polygon, 0);
  const std::size_t count = !ring.empty() && ring.front() == ring.back() ? ring.size() - 1 : ring.size();
  for (std::size_t i = 0; i < count; ++i) geod_polygon_addpoint(&wgs84(), &polygon, ring[i].lat, ring[i].lon);
  double area = 0;
  geod_polygon_compute(&wgs84(), &polygon, 0, 1, &area, nullptr);
  return std::abs(area);
}

// Half-open in latitude, so a shared border is crossed once by both its polygons' tests.
bool crosses(LonLat a, LonLat b, LonLat point) {
  if ((a.lat > point.lat) == (b.lat > point.lat)) return false;
  if (a.lat > b.lat) std::swap(a, b);  // the same arithmetic whichever way the border is drawn
  return point.lon < a.lon + (point.lat - a.lat) / (b.lat - a.lat) * (b.lon - a.lon);
}

template <class Visit>
void each_point(const MultiPolygon& shape, Visit visit) {
  for (const Polygon& polygon : shape)
    for (const Line& ring : polygon.rings)
      for (const LonLat point : ring) visit(point);
}

void widen(std::optional<BoundingBox>& box, LonLat point) {
  if (!box) {
    box = BoundingBox{point.lon, point.lat, point.lon, point.lat};
    return;
  }
  box->min_lon = std::min(box->min_lon, point.lon);
  box->min_lat = std::min(box->min_lat, point.lat);
  box->max_lon = std::max(box->max_lon, point.lon);
  box->max_lat = std::max(box->max_lat, point.lat);
}

}  // namespace

double geodesic_m(LonLat from, LonLat to) {
  // Neighbouring points of a line: the straight chord through the ellipsoid, and from it the arc on a circle of the
  // normal section's curvature at the middle (Euler's formula). Within 10 nm of the geodesic below 0.02 degrees,
  // which is what the rounding of degrees leaves, and eight times as fast.
  constexpr double kShort_deg = 0.02;
  if (!(std::abs(from.lon - to.lon) < kShort_deg && std::abs(from.lat - to.lat) < kShort_deg)) {
    double distance = 0;
    geod_inverse(&wgs84(), from.lat, from.lon, to.lat, to.lon, &distance, nullptr, nullptr);
    return distance;
  }
  const double a = wgs84().a, e2 = wgs84().e2;
  constexpr double kRadians = 3.14159265358979323846 / 180;
  const double sin_1 = std::sin(from.lat * kRadians), cos_1 = std::cos(from.lat * kRadians);
  const double sin_2 = std::sin(to.lat * kRadians), cos_2 = std::cos(to.lat * kRadians);
  const double w_1 = 1 - e2 * sin_1 * sin_1, w_2 = 1 - e2 * sin_2 * sin_2;
  const double n_1 = a / std::sqrt(w_1), n_2 = a / std::sqrt(w_2);  // radii of the prime vertical
  const double half = std::sin((to.lon - from.lon) * (kRadians / 2));
  const double from_axis_1 = n_1 * cos_1, from_axis_2 = n_2 * cos_2;
  const double outwards = from_axis_2 - from_axis_1, upwards = (1 - e2) * (n_2 * sin_2 - n_1 * sin_1);
  const double east2 = 4 * half * half * (from_axis_1 * from_axis_2);
  const double north2 = outwards * outwards + upwards * upwards;
  const double chord2 = east2 + north2;
  if (chord2 <= 0) return 0;
  const double w = (w_1 + w_2) / 2;
  const double per_n = std::sqrt(w) / a, per_m = per_n * w / (1 - e2);
  const double curvature = (north2 * per_m + east2 * per_n) / chord2;
  return std::sqrt(chord2) * (1 + chord2 * curvature * curvature / 24);
}

double length_m(std::span<const LonLat> line) {
  double sum = 0;
  for (std::size_t i = 1; i < line.size(); ++i) sum += geodesic_m(line[i - 1], line[i]);
  return sum;
}

double area_m2(const MultiPolygon& shape) {
  double sum = 0;
  for (const Polygon& polygon : shape)
    for (std::size_t ring = 0; ring < polygon.rings.size(); ++ring)
      sum += (ring == 0 ? 1 : -1) * ring_area_m2(polygon.rings[ring]);
  return sum;
}

bool is_valid(LonLat position) {
  return std::isfinite(position.lon) && std::isfinite(position.lat) && std::abs(position.lon) <= 180 &&
         std::abs(position.lat) <= 90;
}

bool contains(const MultiPolygon& shape, LonLat point) {
  bool inside = false;
  for (const Polygon& polygon : shape)
    for (const Line& ring : polygon.rings)
      for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++)
        if (crosses(ring[j], ring[i], point)) inside = !inside;
  return inside;
}

std::optional<LonLat> inner_point(const MultiPolygon& shape) {
  const Polygon* largest = nullptr;
  double most = 0;
  for (const Polygon& polygon : shape) {
    const double area = area_m2({polygon});
    if (area > most) most = area, largest = &polygon;
  }
  if (largest == nullptr) return std::nullopt;
  // The middle of the widest inside stretch of a horizontal line, midway between two neighbouring vertex
  // latitudes.
  std::vector<double> latitudes;
  for (const Line& ring : largest->rings)
    for (const LonLat p : ring) latitudes.push_back(p.lat);
  std::sort(latitudes.begin(), latitudes.end());
  latitudes.erase(std::unique(latitudes.begin(), latitudes.end()), latitudes.end());
  // The widest gaps between latitudes are enough: every gap crosses the inside, and a shape of 100,000 vertices must not
  // take 100,000 passes over its edges.
  std::vector<std::pair<double, double>> gaps;  // height, middle
  for (std::size_t i = 1; i < latitudes.size(); ++i)
    gaps.emplace_back(latitudes[i] - latitudes[i - 1], (latitudes[i - 1] + latitudes[i]) / 2);
  constexpr std::size_t kMostGaps = 64;
  if (gaps.size() > kMostGaps) {
    std::nth_element(gaps.begin(), gaps.begin() + kMostGaps, gaps.end(), std::greater<>());
    gaps.resize(kMostGaps);
    std::sort(gaps.begin(), gaps.end(), std::greater<>());
  }
  std::optional<LonLat> best;
  double widest = 0;
  for (const auto& [height, lat] : gaps) {
    std::vector<double> crossings;
    for (const Line& ring : largest->rings)
      for (std::size_t k = 1; k < ring.size(); ++k) {
        const LonLat a = ring[k - 1], b = ring[k];
        if ((a.lat > lat) != (b.lat > lat))
          crossings.push_back(a.lon + (lat - a.lat) / (b.lat - a.lat) * (b.lon - a.lon));
      }
    std::sort(crossings.begin(), crossings.end());
    for (std::size_t k = 1; k < crossings.size(); k += 2) {
      const double width = std::min(crossings[k] - crossings[k - 1], 4 * height);
      if (width > widest) widest = width, best = LonLat{(crossings[k] + crossings[k - 1]) / 2, lat};
    }
  }
  return best;
}

std::optional<BoundingBox> bounds_of(const MultiPolygon& shape) {
  std::optional<BoundingBox> box;
  each_point(shape, [&](LonLat p) { widen(box, p); });
  return box;
}

std::optional<BoundingBox> bounds_of(std::span<const LonLat> points) {
  std::optional<BoundingBox> box;
  for (const LonLat p : points) widen(box, p);
  return box;
}

struct LocalFrame::Impl {
  LonLat centre;
  std::mutex one_at_a_time;  // PROJ: a transformation is for one thread at a time
  PJ_CONTEXT* context = nullptr;
  PJ* projection = nullptr;
  ~Impl() {
    proj_destroy(projection);
    proj_context_destroy(context);
  }
};

LocalFrame::LocalFrame(LonLat centre) : impl_(std::make_unique<Impl>()) {
  impl_->centre = centre;
  impl_->context = proj_context_create();
  proj_context_set_enable_network(impl_->context, 0);
  const std::string definition =
      "+proj=laea +ellps=WGS84 +lat_0=" + format_number(centre.lat) + " +lon_0=" + format_number(centre.lon);
  impl_->projection = proj_create(impl_->context, definition.c_str());
  if (impl_->projection == nullptr)
    throw Error(ErrorCode::kBadInput, "the middle of the survey is not a place on Earth");
}

LocalFrame::~LocalFrame() = default;
LocalFrame::LocalFrame(LocalFrame&&) noexcept = default;
LocalFrame& LocalFrame::operator=(LocalFrame&&) noexcept = default;

LonLat LocalFrame::centre() const {
  return impl_->centre;
}

PlanePoint LocalFrame::to_plane(LonLat position) const {
  const std::lock_guard lock(impl_->one_at_a_time);
  const PJ_COORD at = proj_trans(impl_->projection, PJ_FWD,
                                 proj_coord(proj_torad(position.lon), proj_torad(position.lat), 0, 0));
  return {at.xy.x, at.xy.y};
}

LonLat LocalFrame::to_lonlat(PlanePoint point) const {
  const std::lock_guard lock(impl_->one_at_a_time);
  const PJ_COORD at = proj_trans(impl_->projection, PJ_INV, proj_coord(point.x, point.y, 0, 0));
  return {proj_todeg(at.lp.lam), proj_todeg(at.lp.phi)};
}

}  // namespace brookmark::core
