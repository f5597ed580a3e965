// Why: OGR has two dozen kinds of geometry; an import knows a point, lines and polygons in WGS 84.
#pragma once

#include <string>

#include "core/base/crs.hpp"
#include "core/base/table.hpp"

class OGRGeometry;

namespace brookmark::geodata {

struct PositionReader {
  const core::CrsConverter* converter = nullptr;  // null: the layer is in WGS 84 already
  bool latitude_first = false;  // the layer keeps y (or latitude) where x (or longitude) belongs
};

struct ShapeOrIssue {
  core::Shape shape;
  std::string issue;  // a sentence; the shape is then monostate
};

// Null and empty geometries are rows without a shape. A shape with one bad coordinate is an issue, never a
// part of it.
ShapeOrIssue read_shape(const OGRGeometry* geometry, const PositionReader& reader);

}  // namespace brookmark::geodata
