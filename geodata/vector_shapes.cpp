#include "geodata/vector_shapes_internal.hpp"

#include <ogr_geometry.h>

#include <cmath>
#include <memory>
#include <stdexcept>
#include <utility>

#include "core/base/text.hpp"

namespace brookmark::geodata {

namespace {

// A row that cannot be used; becomes ShapeOrIssue::issue.
struct BadShape : std::runtime_error {
  using std::runtime_error::runtime_error;
};

// Arcs are drawn with a vertex each degree: the chord then leaves the arc by at most 0.004 % of its radius.
constexpr double kDegreesPerArcStep = 1.0;

std::string pair_text(double x, double y) {
  return core::format_number(x) + ", " + core::format_number(y);
}

core::LonLat read_position(double x, double y, const PositionReader& reader) {
  if (!std::isfinite(x) || !std::isfinite(y))
    throw BadShape("a coordinate of this shape is not a finite number; draw the shape again");
  if (reader.latitude_first) std::swap(x, y);
  if (reader.converter != nullptr) {
    if (const auto position = reader.converter->to_lonlat({x, y})) return *position;
    throw BadShape(
        "the position " + pair_text(x, y) +
        " has no place on the earth in the layer's coordinate system; check which system it was drawn in");
  }
  const core::LonLat position{x, y};
  if (core::is_valid(position)) return position;
  std::string text = "the position " + pair_text(x, y) + " is not a longitude and latitude in degrees";
  text += core::is_valid({y, x})
              ? "; latitude and longitude may have changed places"
              : "; the layer may be in a projected coordinate system that it does not name";
  throw BadShape(text);
}

core::Line read_points(const OGRSimpleCurve& curve, const PositionReader& reader) {
  core::Line line;
  line.reserve(static_cast<std::size_t>(curve.getNumPoints()));
  for (int i = 0; i < curve.getNumPoints(); ++i)
    line.push_back(read_position(curve.getX(i), curve.getY(i), reader));
  return line;
}

core::Line read_ring(const OGRLinearRing& ring, const PositionReader& reader) {
  core::Line line = read_points(ring, reader);
  if (!line.empty() && line.front() != line.back()) line.push_back(line.front());
  if (line.size() < 4)
    throw BadShape("a polygon of this shape has a boundary of fewer than three corners; draw it again");
  return line;
}

void add_line(const OGRLineString& curve, const PositionReader& reader, std::vector<core::Line>& lines) {
  if (curve.IsEmpty()) return;
  core::Line line = read_points(curve, reader);
  if (line.size() < 2) throw BadShape("a line of this shape has a single point; draw it again");
  lines.push_back(std::move(line));
}

void add_polygon(const OGRPolygon& polygon, const PositionReader& reader, core::MultiPolygon& shape) {
  if (polygon.IsEmpty()) return;
  core::Polygon result;
  result.rings.push_back(read_ring(*polygon.getExteriorRing(), reader));
  for (int i = 0; i < polygon.getNumInteriorRings(); ++i)
    if (!polygon.getInteriorRing(i)->IsEmpty())
      result.rings.push_back(read_ring(*polygon.getInteriorRing(i), reader));
  shape.push_back(std::move(result));
}

core::Shape read_linear(const OGRGeometry& geometry, const PositionReader& reader) {
  std::vector<core::Line> lines;
  core::MultiPolygon polygons;
  switch (wkbFlatten(geometry.getGeometryType())) {
    case wkbPoint: {
      const OGRPoint& point = *geometry.toPoint();
      return read_position(point.getX(), point.getY(), reader);
    }
    case wkbMultiPoint: {
      const OGRPoint* only = nullptr;
      int points = 0;
      for (const OGRPoint* point : *geometry.toMultiPoint()) {
        if (point->IsEmpty()) continue;
        only = point;
        ++points;
      }
      if (points > 1)
        throw BadShape("this shape holds " + std::to_string(points) +
                       " points and a place has one; split it into single points");
      return read_position(only->getX(), only->getY(), reader);
    }
    case wkbLineString:
      add_line(*geometry.toLineString(), reader, lines);
      return lines;
    case wkbMultiLineString:
      for (const OGRLineString* line : *geometry.toMultiLineString()) add_line(*line, reader, lines);
      return lines;
    case wkbPolygon:
      add_polygon(*geometry.toPolygon(), reader, polygons);
      return polygons;
    case wkbMultiPolygon:
      for (const OGRPolygon* polygon : *geometry.toMultiPolygon()) add_polygon(*polygon, reader, polygons);
      return polygons;
    case wkbGeometryCollection:
      throw BadShape("this shape is a collection of mixed kinds; split it into points, lines or polygons");
    default:
      throw BadShape(std::string("this shape is a ") + geometry.getGeometryName() +
                     "; only points, lines and polygons can be used");
  }
}

}  // namespace

ShapeOrIssue read_shape(const OGRGeometry* geometry, const PositionReader& reader) {
  if (geometry == nullptr || geometry->IsEmpty()) return {};
  try {
    if (geometry->hasCurveGeometry(TRUE) != 0) {
      const std::unique_ptr<OGRGeometry> linear(geometry->getLinearGeometry(kDegreesPerArcStep));
      if (linear == nullptr) return {{}, "the curves of this shape cannot be drawn as lines"};
      return {read_linear(*linear, reader), {}};
    }
    return {read_linear(*geometry, reader), {}};
  } catch (const BadShape& bad) {
    return {{}, bad.what()};
  }
}

}  // namespace brookmark::geodata
