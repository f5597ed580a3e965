// Positions of projected layers against formulas that share no code with PROJ.
#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "core/base/crs.hpp"
#include "core/base/csv.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "tests/geodata/layers.hpp"
#include "tests/support/files.hpp"
#include "tests/support/near.hpp"

using brookmark::core::LonLat;
using brookmark::geodata::read_layer;
using brookmark::test::LayerToWrite;
using brookmark::test::near;
using brookmark::test::near_relative;
using brookmark::test::TemporaryFolder;

namespace {

constexpr double kRadian = std::numbers::pi / 180;

struct Plane {
  double east, north;
};

// Transverse Mercator forward, series in the third flattening to the fourth order (Krueger 1912, in the form
// of Karney 2011, J. Geodesy 85:475-485, eq. 7-11 and 35); right to below 0.1 mm within 3 degrees of the
// central meridian.
Plane utm32(LonLat at) {
  const double f = 1 / 298.257222101, a = 6378137, k0 = 0.9996;  // GRS 80
  const double n = f / (2 - f), e = std::sqrt(f * (2 - f));
  const double lat = at.lat * kRadian, lon = (at.lon - 9) * kRadian;
  const double sigma = std::sinh(e * std::atanh(e * std::sin(lat)));
  const double tau = std::tan(lat);
  const double conformal = tau * std::sqrt(1 + sigma * sigma) - sigma * std::sqrt(1 + tau * tau);
  const double xi = std::atan2(conformal, std::cos(lon));
  const double eta = std::asinh(std::sin(lon) / std::hypot(conformal, std::cos(lon)));
  const double alpha[4] = {n / 2 - 2 * n * n / 3 + 5 * n * n * n / 16 + 41 * std::pow(n, 4) / 180,
                           13 * n * n / 48 - 3 * n * n * n / 5 + 557 * std::pow(n, 4) / 1440,
                           61 * n * n * n / 240 - 103 * std::pow(n, 4) / 140,
                           49561 * std::pow(n, 4) / 161280};
  double x = eta, y = xi;
  for (int j = 1; j <= 4; ++j) {
    x += alpha[j - 1] * std::cos(2 * j * xi) * std::sinh(2 * j * eta);
    y += alpha[j - 1] * std::sin(2 * j * xi) * std::cosh(2 * j * eta);
  }
  const double rectifying = a / (1 + n) * (1 + n * n / 4 + std::pow(n, 4) / 64);
  return {500000 + k0 * rectifying * x, k0 * rectifying * y};
}

// LUREF to WGS 84 by EPSG transformation 1643 (position vector, EPSG Guidance Note 7-2, section 4.3.3):
// accuracy 1 m.
LonLat luref_to_wgs84(LonLat luref) {
  const double a = 6378388, f = 1 / 297.0, e2 = f * (2 - f);  // International 1924
  const double lat = luref.lat * kRadian, lon = luref.lon * kRadian;
  const double nu = a / std::sqrt(1 - e2 * std::sin(lat) * std::sin(lat));
  const double x = nu * std::cos(lat) * std::cos(lon), y = nu * std::cos(lat) * std::sin(lon);
  const double z = nu * (1 - e2) * std::sin(lat);
  const double second = kRadian / 3600;
  const double rx = -0.41 * second, ry = -2.933 * second, rz = 2.688 * second, m = 1 + 0.43e-6;
  const double wx = m * (x - rz * y + ry * z) - 193.0;
  const double wy = m * (rz * x + y - rx * z) + 13.7;
  const double wz = m * (-ry * x + rx * y + z) - 39.3;
  const double wa = 6378137, wf = 1 / 298.257223563, we2 = wf * (2 - wf), p = std::hypot(wx, wy);
  double result = std::atan2(wz, p * (1 - we2));
  for (int i = 0; i < 8; ++i) {
    const double radius = wa / std::sqrt(1 - we2 * std::sin(result) * std::sin(result));
    result = std::atan2(wz + we2 * radius * std::sin(result), p);
  }
  return {std::atan2(wy, wx) / kRadian, result / kRadian};
}

std::string point_wkt(double x, double y) {
  return "POINT (" + brookmark::core::format_number(x) + " " + brookmark::core::format_number(y) + ")";
}

LonLat only_point(const brookmark::core::Table& table) {
  return std::get<LonLat>(table.rows.at(0).shape);
}

// Area of a polygon in a plane, by the shoelace formula; holes taken off.
double planar_area_m2(const brookmark::core::MultiPolygon& shape,
                      const brookmark::core::CrsConverter& plane) {
  double area = 0;
  for (const auto& polygon : shape) {
    for (std::size_t r = 0; r < polygon.rings.size(); ++r) {
      double twice = 0;
      for (std::size_t i = 0; i + 1 < polygon.rings[r].size(); ++i) {
        const auto a = *plane.from_lonlat(polygon.rings[r][i]);
        const auto b = *plane.from_lonlat(polygon.rings[r][i + 1]);
        twice += (a.x - 80000) * (b.y - 100000) - (b.x - 80000) * (a.y - 100000);
      }
      area += (r == 0 ? 1 : -1) * std::abs(twice) / 2;
    }
  }
  return area;
}

}  // namespace

TEST_CASE("a point off the middle of UTM zone 32 comes back as longitude and latitude") {
  const TemporaryFolder folder;
  for (const LonLat at : {LonLat{9, 54}, LonLat{11.25, 47.75}, LonLat{7.5, 61.125}}) {
    const Plane plane = utm32(at);
    brookmark::test::write_layer(folder / "p.gpkg", "GPKG",
                                 {.epsg = 25832, .rows = {{point_wkt(plane.east, plane.north), {}}}});
    const auto table = read_layer(folder / "p.gpkg", {});
    // ETRS89 and WGS 84 are taken as the same (EPSG 1149, 1 m); 1e-9 degrees are 0.1 mm, the error of the
    // series.
    CHECK(near(only_point(table).lon, at.lon, 1e-9));
    CHECK(near(only_point(table).lat, at.lat, 1e-9));
    CHECK(table.crs_note.find("UTM zone 32N") != std::string::npos);
    CHECK(table.crs_note.find("accuracy") != std::string::npos);
  }
  // Printed check value: longitude 9, latitude 54 is 500000, 5983522 to the metre.
  CHECK(near(utm32({9, 54}).east, 500000, 1e-6));
  CHECK(near(utm32({9, 54}).north, 5983522, 0.5));
}

TEST_CASE("a point of the Luxembourg grid is shifted to WGS 84 within the transformation's accuracy") {
  const TemporaryFolder folder;
  // By definition of the grid (EPSG 2169) its false origin 80000, 100000 is 49 deg 50' N, 6 deg 10' E on
  // LUREF.
  const LonLat wanted = luref_to_wgs84({6 + 10 / 60.0, 49 + 50 / 60.0});
  brookmark::test::write_layer(folder / "p.gpkg", "GPKG",
                               {.epsg = 2169, .rows = {{"POINT (80000 100000)", {}}}});
  const auto table = read_layer(folder / "p.gpkg", {});
  CHECK(brookmark::core::geodesic_m(only_point(table), wanted) < 1.0);  // EPSG states 1 m
  CHECK(brookmark::core::geodesic_m(only_point(table), {6 + 10 / 60.0, 49 + 50 / 60.0}) >
        100);  // a shift was made
  CHECK(table.crs_note.find("accuracy 1 m") != std::string::npos);
}

TEST_CASE("the Luxembourg cantons keep their areas") {
  const auto table = read_layer(brookmark::test::reference("places/lux_cantons.gpkg"), {});
  const auto areas = brookmark::core::read_csv_file(brookmark::test::reference("places/ref_areas.csv"));
  const std::size_t name = *table.find("NAME_2"), id = *areas.find("id"), what = *areas.find("what"),
                    value = *areas.find("value");
  const brookmark::core::CrsConverter gauss("EPSG:2169");
  CHECK(table.rows.size() == 12);
  CHECK(table.crs_note.empty());
  int compared = 0;
  for (const auto& row : table.rows) {
    const auto& shape = std::get<brookmark::core::MultiPolygon>(row.shape);
    for (const auto& reference : areas.rows) {
      if (reference.cells[id] != row.cells[name] || reference.cells[what] != "planar area") continue;
      ++compared;
      const double wanted_m2 = *brookmark::core::parse_number(reference.cells[value]) * 1e6;
      // The same plane from our own conversion: only the printed digits and the choice of datum shift differ.
      CHECK(near_relative(planar_area_m2(shape, gauss), wanted_m2, 1e-6));
      // On the ellipsoid: the grid's scale is 1 on its meridian and 1 + x^2 / 2R^2 at x = 35 km from it,
      // which makes areas up to 30 ppm larger; its ellipsoid lies up to 50 m from WGS 84 here, another 16
      // ppm.
      CHECK(near_relative(brookmark::core::area_m2(shape), wanted_m2, 50e-6));
    }
  }
  CHECK(compared == 12);
}

TEST_CASE("a system given by the surveyor is used only where the layer names none") {
  const TemporaryFolder folder;
  const Plane plane = utm32({11.25, 47.75});
  const LayerToWrite layer{.epsg = 0, .type = wkbPoint, .rows = {{point_wkt(plane.east, plane.north), {}}}};
  brookmark::test::write_layer(folder / "p.shp", "ESRI Shapefile", layer);
  CHECK(near(only_point(read_layer(folder / "p.shp", {.crs = "EPSG:25832"})).lon, 11.25, 1e-7));
  brookmark::test::write_layer(folder / "q.gpkg", "GPKG", {.rows = {{"POINT (6 50)", {}}}});
  CHECK(only_point(read_layer(folder / "q.gpkg", {.crs = "EPSG:25832"})) == LonLat{6, 50});
}

TEST_CASE("a layer without a coordinate system is refused with a sentence") {
  const TemporaryFolder folder;
  brookmark::test::write_layer(folder / "p.shp", "ESRI Shapefile",
                               {.epsg = 0, .type = wkbPoint, .rows = {{"POINT (1 2)", {}}}});
  brookmark::test::write_layer(folder / "p.gpkg", "GPKG",
                               {.epsg = 0, .type = wkbPoint, .rows = {{"POINT (1 2)", {}}}});
  for (const char* name : {"p.shp", "p.gpkg"}) {
    try {
      read_layer(folder / name, {});
      FAIL("read without a coordinate system");
    } catch (const brookmark::Error& error) {
      CHECK(error.code() == brookmark::ErrorCode::kBadInput);
      CHECK(std::string(error.what()).find("does not say its coordinate system") != std::string::npos);
    }
  }
}

TEST_CASE("an unknown coordinate system is refused with a sentence") {
  const TemporaryFolder folder;
  brookmark::test::write_layer(folder / "p.shp", "ESRI Shapefile",
                               {.epsg = 0, .type = wkbPoint, .rows = {{"POINT (1 2)", {}}}});
  for (const char* crs : {"EPSG:999999", "somewhere", "ftp://example.org/x.prj"}) {
    try {
      read_layer(folder / "p.shp", {.crs = crs});
      FAIL("read with an unknown coordinate system");
    } catch (const brookmark::Error& error) {
      CHECK(error.code() == brookmark::ErrorCode::kBadInput);
      CHECK(std::string(error.what()).find(crs) != std::string::npos);
      CHECK(std::string(error.what()).find("not known here") != std::string::npos);
    }
  }
}
