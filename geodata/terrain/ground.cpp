#include "geodata/terrain/ground.hpp"

#include <ogr_spatialref.h>

#include <cmath>
#include <numbers>

#include "core/base/crs.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "geodata/gdal_errors_internal.hpp"

namespace brookmark::geodata {

namespace {

constexpr double kMostStretch = 0.01;  // common practice, no source: national grids stay below 0.1 %

Error bad_input(const std::string& message) {
  return {ErrorCode::kBadInput, message};
}

struct Ellipsoid {
  double a, e2;  // semi-major axis in metres, first eccentricity squared
};

double sine_squared(double x) {
  return std::sin(x) * std::sin(x);
}
// Radius of curvature along the meridian, and of the parallel (Snyder 1987, eq. 4-18 and 4-20), metres.
double meridian_m(const Ellipsoid& e, double lat) {
  return e.a * (1 - e.e2) / std::pow(1 - e.e2 * sine_squared(lat), 1.5);
}
double parallel_m(const Ellipsoid& e, double lat) {
  return e.a * std::cos(lat) / std::sqrt(1 - e.e2 * sine_squared(lat));
}
// Area from the equator to a latitude, a radian wide (Snyder 1987, eq. 3-12 times a^2 / 2), square metres.
double zone_m2(const Ellipsoid& e, double lat) {
  const double s = std::sin(lat), ecc = std::sqrt(e.e2);
  const double sphere = 2 * s;
  const double q = ecc < 1e-9 ? sphere : (1 - e.e2) * (s / (1 - e.e2 * s * s) + std::atanh(ecc * s) / ecc);
  return e.a * e.a / 2 * q;
}

std::vector<RowMetric> rows_in_degrees(const OGRSpatialReference& crs, const GridPlace& place,
                                       GridSize size) {
  const double f = crs.GetInvFlattening() == 0 ? 0 : 1 / crs.GetInvFlattening();
  const Ellipsoid ellipsoid{crs.GetSemiMajor(), f * (2 - f)};
  const double radian = crs.GetAngularUnits();
  std::vector<RowMetric> rows;
  rows.reserve(size.rows);
  for (std::uint32_t r = 0; r < size.rows; ++r) {
    // A row may lie half a cell beyond the pole where the file counts its cells by their centres.
    const auto lat = [&](double row) {
      return std::clamp(place.corner(row, 0).y * radian, -std::numbers::pi / 2, std::numbers::pi / 2);
    };
    const double width = place.width * radian, middle = lat(r + 0.5);
    rows.push_back({std::max(1e-3, parallel_m(ellipsoid, middle) * width),
                    meridian_m(ellipsoid, middle) * place.height * radian,
                    (zone_m2(ellipsoid, lat(r)) - zone_m2(ellipsoid, lat(r + 1.0))) * width});
  }
  return rows;
}

// Width and height of the cell at a place in rows and columns, by geodesics; averaged over a few cells so that a
// metre is still exact.
std::optional<RowMetric> on_ellipsoid(const core::CrsConverter& converter, const GridPlace& place, double row,
                                      double col) {
  constexpr double kCells = 8;
  const auto at = [&](double r, double c) { return converter.to_lonlat(place.corner(r, c)); };
  const auto west = at(row, col - kCells / 2), east = at(row, col + kCells / 2);
  const auto north = at(row - kCells / 2, col), south = at(row + kCells / 2, col);
  if (!west || !east || !north || !south) return std::nullopt;
  const double width_m = core::geodesic_m(*west, *east) / kCells;
  const double height_m = core::geodesic_m(*north, *south) / kCells;
  if (!(width_m > 0 && height_m > 0)) return std::nullopt;
  return RowMetric{width_m, height_m, width_m * height_m};
}

Ground on_plane(const OGRSpatialReference& crs, const std::string& definition, const GridPlace& place,
                GridSize size) {
  const double unit_m = crs.GetLinearUnits();
  const RowMetric plane{place.width * unit_m, place.height * unit_m,
                        place.width * place.height * unit_m * unit_m};
  const core::CrsConverter converter(definition);
  const double middle_col = size.cols / 2.0;
  const auto real = on_ellipsoid(converter, place, size.rows / 2.0, middle_col);
  if (!real)
    throw bad_input("the coordinates lie outside the area of \"" + std::string(crs.GetName()) +
                    "\"; name the system they are in with --crs");
  Ground ground;
  const double wider = plane.width_m / real->width_m, higher = plane.height_m / real->height_m;
  if (std::abs(wider - 1) <= kMostStretch && std::abs(higher - 1) <= kMostStretch) {
    ground.rows.assign(size.rows, plane);
    return ground;
  }
  ground.rows.reserve(size.rows);
  for (std::uint32_t r = 0; r < size.rows; ++r)
    ground.rows.push_back(on_ellipsoid(converter, place, r + 0.5, middle_col).value_or(*real));
  ground.note = "\"" + std::string(crs.GetName()) + "\" makes lengths " +
                core::format_fixed(std::max(wider, higher), 2) +
                " times the true ones here; lengths and areas are taken on the ellipsoid instead";
  return ground;
}

}  // namespace

Ground measure_ground(const std::string& definition, const GridPlace& place, GridSize size) {
  const GdalMessages messages;  // kept off the terminal
  OGRSpatialReference crs;
  if (crs.SetFromUserInput(definition.c_str(), OGRSpatialReference::SET_FROM_USER_INPUT_LIMITATIONS_get()) !=
      OGRERR_NONE)
    throw bad_input("\"" + definition + "\" is not a coordinate system known here; give it as EPSG:number");
  const core::PlanePoint last = place.corner(size.rows, size.cols);
  if (crs.IsGeographic()) {
    const double degree = crs.GetAngularUnits() * 180 / std::numbers::pi;
    const double slack = std::max(place.width, place.height);
    if (place.north * degree > 90 + slack || last.y * degree < -90 - slack ||
        place.west * degree < -360 - slack || last.x * degree > 540 + slack)
      throw bad_input("the coordinates (x " + core::format_fixed(place.west, 2) + " to " +
                      core::format_fixed(last.x, 2) + ", y " + core::format_fixed(last.y, 2) + " to " +
                      core::format_fixed(place.north, 2) + ") cannot be degrees, as \"" + crs.GetName() +
                      "\" says; name the system they are in with --crs");
    return {rows_in_degrees(crs, place, size), {}};
  }
  const bool like_degrees = place.west >= -360 && last.x <= 360 && place.north <= 90 && last.y >= -90 &&
                            place.width < 0.1 && place.height < 0.1;
  if (like_degrees)
    throw bad_input(
        "the cells are " + core::format_number(place.width) + " wide between x " +
        core::format_fixed(place.west, 2) + " and " + core::format_fixed(last.x, 2) +
        ": these look like degrees, and \"" + crs.GetName() +
        "\" is in metres; degrees are never taken as metres. Name the right system with --crs, for "
        "example EPSG:4326");
  if (!crs.IsProjected())
    throw bad_input("\"" + std::string(crs.GetName() == nullptr ? definition : crs.GetName()) +
                    "\" is neither in degrees nor projected; name the system with --crs EPSG:number");
  return on_plane(crs, definition, place, size);
}

}  // namespace brookmark::geodata
