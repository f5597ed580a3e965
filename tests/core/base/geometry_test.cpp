#include "core/base/geometry.hpp"

#include <doctest/doctest.h>
#include <geodesic.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "core/base/crs.hpp"
#include "core/base/error.hpp"
#include "tests/support/near.hpp"

using namespace brookmark;
using namespace brookmark::core;
using test::near;
using test::near_relative;

namespace {

Polygon square(double west, double south, double size) {
  return {{{{west, south},
            {west + size, south},
            {west + size, south + size},
            {west, south + size},
            {west, south}}}};
}

}  // namespace

TEST_CASE("a quarter of the meridian is as long as published") {
  // Meridian quadrant of WGS 84, 10 001 965.729 m (Moritz 2000, Geodetic Reference System 1980, J. Geodesy
  // 74:128-133, quotes 10 001 965.7293 m for GRS 80; WGS 84 differs by less than 0.1 mm). Printed to 0.1 mm.
  CHECK(near(geodesic_m({0, 0}, {0, 90}), 10001965.7293, 0.0006));
}

TEST_CASE("the distance of neighbouring places is within 10 nm of the geodesic, everywhere on earth") {
  geod_geodesic ellipsoid;
  geod_init(&ellipsoid, 6378137.0, 1 / 298.257223563);
  std::mt19937_64 random(20241108);
  std::uniform_real_distribution<double> unit(-1, 1);
  double worst_m = 0;
  for (int i = 0; i < 100'000; ++i) {
    const LonLat a{180 * unit(random), 90 * unit(random)};
    const double scale = 0.0199 * std::pow(10.0, -static_cast<double>(random() % 7));  // 2 km to 2 mm
    const LonLat b{a.lon + scale * unit(random), std::clamp(a.lat + scale * unit(random), -90.0, 90.0)};
    double expected_m = 0;
    geod_inverse(&ellipsoid, a.lat, a.lon, b.lat, b.lon, &expected_m, nullptr, nullptr);
    worst_m = std::max(worst_m, std::abs(geodesic_m(a, b) - expected_m));
    REQUIRE(geodesic_m(a, b) == geodesic_m(b, a));
  }
  CHECK(worst_m < 1e-8);
  CHECK(geodesic_m({10, 60}, {10, 60}) == 0);
  CHECK(std::isnan(geodesic_m({std::nan(""), 60}, {10, 60})));
}

TEST_CASE("one degree along the equator is the arc of its circle") {
  CHECK(near(geodesic_m({10, 0}, {11, 0}), 6378137.0 * std::acos(-1.0) / 180,
             1e-6));  // a * 1 degree; rounding only
}

TEST_CASE("a line is as long as its parts, and nothing has no length") {
  const Line line{{-30, 45}, {-30, 45.01}, {-29.99, 45.01}};
  CHECK(near(length_m(line), geodesic_m(line[0], line[1]) + geodesic_m(line[1], line[2]), 1e-9));
  CHECK(length_m(Line{{1, 1}}) == 0);
}

TEST_CASE("the whole ellipsoid has the published area, and holes are taken away") {
  // Surface of WGS 84: 510 065 621.724 km2 (GRS 80, Moritz 2000: 5.1006562172e14 m2 to 11 digits).
  const MultiPolygon half{
      {{{{0, 0}, {90, 0}, {180, 0}, {-90, 0}, {0, 0}}}}};  // the northern half, bounded by the equator
  CHECK(near_relative(area_m2(half), 510065621724e3 / 2, 1e-9));
  MultiPolygon ring{square(0, 0, 2)};
  ring[0].rings.push_back(square(0.5, 0.5, 1).rings[0]);
  CHECK(near(area_m2(ring), area_m2({square(0, 0, 2)}) - area_m2({square(0.5, 0.5, 1)}), 1));
}

TEST_CASE("a point is inside the outer ring and not inside a hole") {
  MultiPolygon ring{square(0, 0, 3)};
  ring[0].rings.push_back(square(1, 1, 1).rings[0]);
  CHECK(contains(ring, {0.5, 0.5}));
  CHECK_FALSE(contains(ring, {1.5, 1.5}));
  CHECK_FALSE(contains(ring, {4, 1}));
  CHECK_FALSE(contains({}, {0, 0}));
}

TEST_CASE("a point on a shared border lies in exactly one neighbour") {
  const LonLat a{0.1, 0.2}, b{0.73, 1.9};  // a slanting border
  const MultiPolygon west{{{{{-1, 0.2}, a, b, {-1, 1.9}, {-1, 0.2}}}}};
  const MultiPolygon east{{{{a, {2, 0.2}, {2, 1.9}, b, a}}}};
  std::mt19937_64 random(5);
  for (int i = 0; i < 10000; ++i) {
    const double share = static_cast<double>(random() >> 11) / 9007199254740992.0;
    const LonLat on_border{a.lon + share * (b.lon - a.lon), a.lat + share * (b.lat - a.lat)};
    if (on_border.lat <= a.lat || on_border.lat >= b.lat) continue;
    REQUIRE(contains(west, on_border) != contains(east, on_border));
  }
}

TEST_CASE("an inner point is inside, also of a crescent") {
  const MultiPolygon crescent{
      {{{{0, 0}, {4, 0}, {4, 4}, {0, 4}, {0, 3.9}, {3.9, 3.9}, {3.9, 0.1}, {0, 0.1}, {0, 0}}}}};
  const auto inside = inner_point(crescent);
  REQUIRE(inside.has_value());
  CHECK(contains(crescent, *inside));
  CHECK_FALSE(inner_point({}).has_value());
  CHECK_FALSE(inner_point({{{{{0, 0}, {1, 1}, {0, 0}}}}}).has_value());  // flat
}

TEST_CASE("the survey's plane keeps lengths near its centre and areas everywhere") {
  const LocalFrame frame({10, 60});
  const LonLat near_by{10.01, 60.005};
  const PlanePoint p = frame.to_plane(near_by), o = frame.to_plane({10, 60});
  CHECK(near_relative(std::hypot(p.x - o.x, p.y - o.y), geodesic_m({10, 60}, near_by),
                      3e-7));  // 0.2 ppm within 1 km
  const LonLat back = frame.to_lonlat(p);
  // 0.2 mm: the projection's authalic latitude is a series cut off after the sixth power of the eccentricity.
  CHECK(near(geodesic_m(back, near_by), 0, 0.0002));
}

TEST_CASE("eastings come first whatever the authority's axis order") {
  // EPSG:4326 is latitude first by its authority. Zone 32's central meridian is 9 E, at false easting 500 000
  // m and with scale 0.9996 (EPSG method 9807), so a point on it shows an exchange at once. ETRS89 and WGS 84
  // differ by less than 1 mm here because the operation between them is taken as none.
  const CrsConverter utm("EPSG:25832");
  const auto plane = utm.from_lonlat({9, 54});
  REQUIRE(plane.has_value());
  CHECK(near(plane->x, 500000, 0.001));
  CHECK(near(plane->y, 0.9996 * geodesic_m({9, 0}, {9, 54}), 0.001));  // meridian arc times the zone's scale
  const auto back = utm.to_lonlat(*plane);
  REQUIRE(back.has_value());
  CHECK(near(back->lon, 9, 1e-9));
  CHECK(near(back->lat, 54, 1e-9));
  CHECK(utm.note().find("UTM zone 32N") != std::string::npos);
  CHECK_FALSE(utm.is_geographic());
  const CrsConverter plain("EPSG:4326");
  CHECK(plain.is_geographic());
  CHECK(near(plain.to_lonlat({-30, 45})->lon, -30, 1e-12));
}

TEST_CASE("an unknown coordinate system is refused with a sentence") {
  CHECK_THROWS_WITH_AS(CrsConverter("EPSG:999999"), doctest::Contains("not a coordinate system known here"),
                       Error);
  CHECK_THROWS_WITH_AS(CrsConverter("nonsense"), doctest::Contains("EPSG:number"), Error);
}

TEST_CASE("a place that cannot be converted gives nothing") {
  CHECK_FALSE(CrsConverter("EPSG:25832").to_lonlat({1e30, 1e30}).has_value());
  CHECK_FALSE(is_valid({181, 0}));
  CHECK_FALSE(is_valid({0, std::nan("")}));
}
