#include "geodata/returned_shape_internal.hpp"

#include <ogrsf_frmts.h>

#include <array>
#include <cmath>

#include "core/base/text.hpp"
#include "geodata/gdal_errors_internal.hpp"
#include "geodata/shape_checksum_internal.hpp"

namespace brookmark::geodata {

namespace {

struct Points {
  const core::CrsConverter* converter;
  ShapeChecksum sum;
  bool bad = false;

  core::LonLat add(double x, double y) {
    sum.add(x);
    sum.add(y);
    std::optional<core::LonLat> place = core::LonLat{x, y};
    if (converter != nullptr) place = converter->to_lonlat({x, y});
    if (!place || !core::is_valid(*place)) {
      bad = true;
      return {};
    }
    return *place;
  }
  core::Line line(const OGRSimpleCurve& curve) {
    core::Line points;
    for (int i = 0; i < curve.getNumPoints(); ++i) points.push_back(add(curve.getX(i), curve.getY(i)));
    return points;
  }
  core::Polygon polygon(const OGRPolygon& area) {
    core::Polygon rings;
    for (const OGRLinearRing* ring : area) rings.rings.push_back(line(*ring));
    return rings;
  }
};

}  // namespace

ReturnedShapes::ReturnedShapes(const std::string& crs)
    : converter_(crs == "EPSG:4326" ? nullptr : std::make_unique<core::CrsConverter>(crs)) {}

std::string ReturnedShapes::read(std::span<const std::uint8_t> blob, core::ReturnedRow& row) const {
  constexpr std::array<std::size_t, 5> kEnvelopeBytes = {0, 32, 48, 48, 64};
  if (blob.size() < 8 || blob[0] != 'G' || blob[1] != 'P')
    return "it does not begin as a GeoPackage shape does";
  const unsigned flags = blob[3], envelope = flags >> 1 & 7U;
  if (envelope >= kEnvelopeBytes.size() || (flags & 0x20U) != 0) return "it is of a form that is not known";
  const std::size_t header = 8 + kEnvelopeBytes[envelope];
  if (blob.size() < header) return "it is cut off";
  const GdalMessages messages;
  OGRGeometry* made = nullptr;
  const std::span<const std::uint8_t> wkb = blob.subspan(header);
  if (OGRGeometryFactory::createFromWkb(wkb.data(), nullptr, &made, wkb.size()) != OGRERR_NONE ||
      made == nullptr) {
    delete made;
    return "it is damaged" + messages.in_brackets();
  }
  const std::unique_ptr<OGRGeometry> geometry(made);
  if (geometry->IsEmpty()) return {};
  Points points{converter_.get(), {}, false};
  const OGRGeometry* part = geometry.get();
  const OGRwkbGeometryType type = wkbFlatten(part->getGeometryType());
  if ((type == wkbMultiPoint || type == wkbMultiLineString) &&
      part->toGeometryCollection()->getNumGeometries() == 1)
    part = part->toGeometryCollection()->getGeometryRef(0);
  switch (wkbFlatten(part->getGeometryType())) {
    case wkbPoint: {
      const OGRPoint& point = *part->toPoint();
      row.shape = points.add(point.getX(), point.getY());
      row.x = core::format_number(point.getX());
      row.y = core::format_number(point.getY());
      row.place = row.x + " " + row.y;
      break;
    }
    case wkbLineString:
      row.shape = std::vector<core::Line>{points.line(*part->toLineString())};
      break;
    case wkbMultiLineString: {
      std::vector<core::Line> lines;
      for (const OGRLineString* line : *part->toMultiLineString()) lines.push_back(points.line(*line));
      row.shape = std::move(lines);
      break;
    }
    case wkbPolygon:
      row.shape = core::MultiPolygon{points.polygon(*part->toPolygon())};
      break;
    case wkbMultiPolygon: {
      core::MultiPolygon areas;
      for (const OGRPolygon* area : *part->toMultiPolygon()) areas.push_back(points.polygon(*area));
      row.shape = std::move(areas);
      break;
    }
    default:
      return "it is neither a point nor a line nor an area";
  }
  if (points.bad) return "a point of it lies nowhere on the Earth";
  if (row.place.empty()) row.place = points.sum.text();
  return {};
}

}  // namespace brookmark::geodata
