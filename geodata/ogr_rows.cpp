#include <ogr_p.h>
#include <ogrsf_frmts.h>

#include "core/base/error.hpp"
#include "geodata/ogr_rows_internal.hpp"

namespace brookmark::geodata {

namespace {

OGRFieldType field_type(ColumnType type) {
  switch (type) {
    case ColumnType::kNumber:
      return OFTReal;
    case ColumnType::kInteger:
      return OFTInteger64;
    case ColumnType::kFlag:
      return OFTInteger;
    case ColumnType::kDate:
      return OFTDate;
    case ColumnType::kUtc:
      return OFTDateTime;
    case ColumnType::kText:
      break;
  }
  return OFTString;
}

template <class Curve>
void add_points(const core::Line& line, const ExportFrame& frame, Curve& curve) {
  curve.setNumPoints(static_cast<int>(line.size()));
  for (std::size_t i = 0; i < line.size(); ++i) {
    const core::PlanePoint p = frame.project(line[i]);
    curve.setPoint(static_cast<int>(i), p.x, p.y);
  }
}

// The driver converts known offsets and stamps a Z on unknown ones; so nothing but UTC (flag 100) may reach
// it.
void set_utc(OGRFeature& feature, int field, const UtcText& utc) {
  constexpr int kUtcFlag = 100;
  OGRField value;
  if (OGRParseDate(utc.iso.c_str(), &value, 0) == 0 || value.Date.TZFlag != kUtcFlag)
    throw Error(ErrorCode::kBadUse, "\"" + utc.iso + "\" is not a moment in UTC, as in 2024-05-03T08:30:00Z");
  feature.SetField(field, &value);
}

void set_field(OGRFeature& feature, int field, const Cell& cell) {
  if (const auto* text = std::get_if<std::string>(&cell)) {
    feature.SetField(field, text->c_str());
  } else if (const auto* number = std::get_if<double>(&cell)) {
    feature.SetField(field, *number);
  } else if (const auto* integer = std::get_if<std::int64_t>(&cell)) {
    feature.SetField(field, static_cast<GIntBig>(*integer));
  } else if (const auto* flag = std::get_if<bool>(&cell)) {
    feature.SetField(field, *flag ? 1 : 0);
  } else if (const auto* date = std::get_if<core::Date>(&cell)) {
    const core::YearMonthDay day = core::year_month_day(*date);
    feature.SetField(field, day.year, day.month, day.day);
  } else if (const auto* utc = std::get_if<UtcText>(&cell)) {
    set_utc(feature, field, *utc);
  } else {
    feature.SetFieldNull(field);
  }
}

}  // namespace

int geometry_type_of(TableShape shape) {
  switch (shape) {
    case TableShape::kPoint:
      return wkbPoint;
    case TableShape::kLine:
      return wkbLineString;
    case TableShape::kMultiPolygon:
      return wkbMultiPolygon;
    case TableShape::kNone:
      break;
  }
  return wkbNone;
}

std::unique_ptr<OGRGeometry> geometry_of(const core::Shape& shape, const ExportFrame& frame) {
  if (const auto* point = std::get_if<core::LonLat>(&shape)) {
    const core::PlanePoint p = frame.project(*point);
    return std::make_unique<OGRPoint>(p.x, p.y);
  }
  if (const auto* lines = std::get_if<std::vector<core::Line>>(&shape)) {
    auto curve = std::make_unique<OGRLineString>();
    add_points(lines->front(), frame, *curve);
    return curve;
  }
  if (const auto* polygons = std::get_if<core::MultiPolygon>(&shape)) {
    auto multi = std::make_unique<OGRMultiPolygon>();
    for (const core::Polygon& polygon : *polygons) {
      OGRPolygon part;
      for (const core::Line& line : polygon.rings) {
        OGRLinearRing ring;
        add_points(line, frame, ring);
        part.addRing(&ring);
      }
      multi->addGeometry(&part);
    }
    return multi;
  }
  return nullptr;
}

bool create_fields(OGRLayer& layer, const ExportTable& table) {
  for (const Column& column : table.columns) {
    OGRFieldDefn field(column.name, field_type(column.type));
    if (column.type == ColumnType::kFlag) field.SetSubType(OFSTBoolean);
    if (layer.CreateField(&field) != OGRERR_NONE) return false;
  }
  return true;
}

OgrRows::OgrRows(OGRLayer& layer, const ExportFrame& frame)
    : frame_(frame), feature_(std::make_unique<OGRFeature>(layer.GetLayerDefn())) {}

OgrRows::~OgrRows() = default;

OGRFeature& OgrRows::feature(const ExportRow& row) {
  feature_->SetFID(OGRNullFID);
  for (std::size_t c = 0; c < row.cells.size(); ++c) set_field(*feature_, static_cast<int>(c), row.cells[c]);
  feature_->SetGeometryDirectly(geometry_of(row.shape, frame_).release());
  return *feature_;
}

}  // namespace brookmark::geodata
