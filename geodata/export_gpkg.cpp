#include <cpl_string.h>
#include <ogr_spatialref.h>
#include <ogrsf_frmts.h>

#include <cmath>
#include <memory>

#include "geodata/export_writers_internal.hpp"
#include "geodata/gdal_errors_internal.hpp"

namespace brookmark::geodata {

namespace {

OGRwkbGeometryType geometry_type(TableShape shape) {
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
void add_points(const core::Line& line, Curve& curve) {
  curve.setNumPoints(static_cast<int>(line.size()));
  for (std::size_t i = 0; i < line.size(); ++i) curve.setPoint(static_cast<int>(i), line[i].lon, line[i].lat);
}

std::unique_ptr<OGRGeometry> geometry_of(const core::Shape& shape) {
  if (const auto* point = std::get_if<core::LonLat>(&shape))
    return std::make_unique<OGRPoint>(point->lon, point->lat);
  if (const auto* lines = std::get_if<std::vector<core::Line>>(&shape)) {
    auto curve = std::make_unique<OGRLineString>();
    add_points(lines->front(), *curve);
    return curve;
  }
  if (const auto* polygons = std::get_if<core::MultiPolygon>(&shape)) {
    auto multi = std::make_unique<OGRMultiPolygon>();
    for (const core::Polygon& polygon : *polygons) {
      OGRPolygon part;
      for (const core::Line& line : polygon.rings) {
        OGRLinearRing ring;
        add_points(line, ring);
        part.addRing(&ring);
      }
      multi->addGeometry(&part);
    }
    return multi;
  }
  return nullptr;
}

class GpkgWriter {
 public:
  explicit GpkgWriter(const TargetFile& target) : target_(target) {
    CPLStringList options;
    options.SetNameValue("VERSION", "1.3");
    options.SetNameValue("DATETIME_FORMAT", "UTC");
    GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GPKG");
    if (driver == nullptr)
      throw Error(ErrorCode::kStorage,
                  "this installation of GDAL cannot write GeoPackages; install its GPKG driver");
    dataset_.reset(driver->Create(target.temporary().c_str(), 0, 0, 0, GDT_Unknown, options.List()));
    expect(dataset_ != nullptr);
    wgs84_.importFromEPSG(4326);
    wgs84_.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
  }

  void add(const ExportTable& table) {
    OGRLayer& layer = create_layer(table);
    expect(dataset_->StartTransaction() == OGRERR_NONE);
    for (std::size_t i = 0; i < table.rows; ++i) {
      const ExportRow row = table.row(i);
      OGRFeature feature(layer.GetLayerDefn());
      for (std::size_t c = 0; c < row.cells.size(); ++c)
        set_field(feature, static_cast<int>(c), row.cells[c]);
      if (auto geometry = geometry_of(row.shape)) feature.SetGeometryDirectly(geometry.release());
      expect(layer.CreateFeature(&feature) == OGRERR_NONE);
    }
    expect(dataset_->CommitTransaction() == OGRERR_NONE);
    expect(true);
  }

  // GDAL writes extents and spatial indexes only now, and says only through its messages whether that went
  // well.
  void close() {
    dataset_->FlushCache(true);
    expect(true);
    dataset_.reset();
    expect(true);
  }

 private:
  void expect(bool succeeded) {
    if (succeeded && !messages_.failed()) return;
    throw target_.failure(messages_.text().empty() ? "GDAL gave no reason" : messages_.text());
  }

  OGRLayer& create_layer(const ExportTable& table) {
    CPLStringList options;
    options.SetNameValue("FID", "fid");
    options.SetNameValue("GEOMETRY_NAME", "geom");
    options.SetNameValue("IDENTIFIER", table.name.c_str());
    options.SetNameValue("DESCRIPTION", table.description.c_str());
    OGRLayer* layer =
        dataset_->CreateLayer(table.name.c_str(), table.shape == TableShape::kNone ? nullptr : &wgs84_,
                              geometry_type(table.shape), options.List());
    expect(layer != nullptr);
    for (const Column& column : table.columns) {
      OGRFieldDefn field(column.name, field_type(column.type));
      if (column.type == ColumnType::kFlag) field.SetSubType(OFSTBoolean);
      expect(layer->CreateField(&field) == OGRERR_NONE);
    }
    return *layer;
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

  // The driver converts known offsets and stamps a Z on unknown ones; so nothing but UTC (flag 100) may reach
  // it.
  void set_utc(OGRFeature& feature, int field, const UtcText& utc) {
    constexpr int kUtcFlag = 100;
    OGRField value;
    if (OGRParseDate(utc.iso.c_str(), &value, 0) == 0 || value.Date.TZFlag != kUtcFlag)
      throw Error(ErrorCode::kBadUse,
                  "\"" + utc.iso + "\" is not a moment in UTC, as in 2024-05-03T08:30:00Z");
    feature.SetField(field, &value);
  }

  const TargetFile& target_;
  GdalMessages messages_;
  OGRSpatialReference wgs84_;
  DatasetPointer dataset_;
};

}  // namespace

void write_gpkg(std::span<const ExportTable> tables, const TargetFile& target) {
  GpkgWriter writer(target);
  for (const ExportTable& table : tables) writer.add(table);
  writer.close();
  for (const ExportTable& table : tables) expect_features(target, table.name, table.rows);
}

}  // namespace brookmark::geodata
