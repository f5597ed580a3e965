#include <cpl_string.h>
#include <ogr_spatialref.h>
#include <ogrsf_frmts.h>

#include "core/base/text.hpp"
#include "core/scoring/class_colours.hpp"
#include "geodata/export_writers_internal.hpp"
#include "geodata/gdal_errors_internal.hpp"
#include "geodata/memory_file_internal.hpp"
#include "geodata/ogr_rows_internal.hpp"

namespace brookmark::geodata {

namespace {

void write_flatgeobuf(const ExportTable& table, const ExportFrame& frame, const TargetFile& target) {
  const GdalMessages messages;
  const auto expect = [&](bool succeeded) {
    if (!succeeded || messages.failed())
      throw target.failure("GDAL could not write it" + messages.in_brackets());
  };
  GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("FlatGeobuf");
  if (driver == nullptr)
    throw Error(ErrorCode::kStorage,
                "this installation of GDAL cannot write FlatGeobuf; install its FlatGeobuf driver");
  // GDAL 3.6 drops a feature without a shape in silence, both writing and reading; here it is counted and said.
  std::size_t placed = 0;
  for (std::size_t i = 0; i < table.rows; ++i)
    placed += std::holds_alternative<std::monostate>(table.row(i).shape) ? 0 : 1;
  std::string description = table.description;
  if (placed < table.rows)
    description += " Left out: " + std::to_string(table.rows - placed) +
                   " without a place, for which this form has no room.";
  const MemoryFile memory(".fgb");
  DatasetPointer dataset(driver->Create(memory.name().c_str(), 0, 0, 0, GDT_Unknown, nullptr));
  expect(dataset != nullptr);
  CPLStringList options;
  options.SetNameValue("SPATIAL_INDEX", placed > 0 ? "YES" : "NO");
  options.SetNameValue("TITLE", table.name.c_str());
  options.SetNameValue("DESCRIPTION", description.c_str());
  OGRLayer* layer =
      dataset->CreateLayer(table.name.c_str(), const_cast<OGRSpatialReference*>(&frame.system()),
                           static_cast<OGRwkbGeometryType>(geometry_type_of(table.shape)), options.List());
  expect(layer != nullptr);
  expect(create_fields(*layer, table));
  OgrRows rows(*layer, frame);
  for (std::size_t i = 0; i < table.rows; ++i) {
    const ExportRow row = table.row(i);
    if (!std::holds_alternative<std::monostate>(row.shape))
      expect(layer->CreateFeature(&rows.feature(row)) == OGRERR_NONE);
  }
  dataset.reset();
  expect(true);
  write_whole(target, memory.text());
  if (placed > 0) expect_features(target, {}, placed);
}

// KML writes alpha, blue, green, red (OGC 07-147r2, kml:color).
std::string kml_colour(const core::ClassColour& c, unsigned alpha) {
  constexpr const char* kDigits = "0123456789abcdef";
  std::string text;
  for (const unsigned part : {alpha, unsigned{c.b}, unsigned{c.g}, unsigned{c.r}}) {
    text += kDigits[part >> 4];
    text += kDigits[part & 0xF];
  }
  return text;
}

std::string kml_points(const core::Line& line) {
  std::string text;
  for (const core::LonLat p : line)
    text += (text.empty() ? "" : " ") + core::format_number(p.lon) + "," + core::format_number(p.lat);
  return "<coordinates>" + text + "</coordinates>";
}

std::string kml_shape(const core::Shape& shape) {
  if (const auto* point = std::get_if<core::LonLat>(&shape))
    return "<Point><coordinates>" + core::format_number(point->lon) + "," + core::format_number(point->lat) +
           "</coordinates></Point>";
  if (const auto* lines = std::get_if<std::vector<core::Line>>(&shape))
    return "<LineString>" + kml_points(lines->front()) + "</LineString>";
  const auto* polygons = std::get_if<core::MultiPolygon>(&shape);
  if (polygons == nullptr) return {};
  std::string text = "<MultiGeometry>";
  for (const core::Polygon& polygon : *polygons) {
    text += "<Polygon>";
    for (std::size_t r = 0; r < polygon.rings.size(); ++r) {
      const std::string side = r == 0 ? "outerBoundaryIs" : "innerBoundaryIs";
      text += "<" + side + "><LinearRing>" + kml_points(polygon.rings[r]) + "</LinearRing></" + side + ">";
    }
    text += "</Polygon>";
  }
  return text + "</MultiGeometry>";
}

std::string kml_style(const std::string& id, const core::ClassColour& colour) {
  return "<Style id=\"" + id + "\"><IconStyle><color>" + kml_colour(colour, 255) +
         "</color></IconStyle><LineStyle><color>" + kml_colour(colour, 255) +
         "</color><width>3</width></LineStyle><PolyStyle><color>" + kml_colour(colour, 80) +
         "</color></PolyStyle></Style>\n";
}

void write_kml(const ExportSource& source, const ExportTable& table, const TargetFile& target) {
  const auto column = [&](const char* name) -> std::optional<std::size_t> {
    for (std::size_t c = 0; c < table.columns.size(); ++c)
      if (std::string(table.columns[c].name) == name) return c;
    return std::nullopt;
  };
  const auto rank_at = column("class_rank"), name_at = column("code") ? column("code") : column("name");
  std::string text =
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<kml "
      "xmlns=\"http://www.opengis.net/kml/2.2\">\n<Document><name>" +
      xml_text(table.name) + "</name><description>" + xml_text(table.description) + "</description>\n";
  const auto colours = core::colours_of_classes(source.assessment.metric_info().bands.size());
  for (std::size_t i = 0; i < colours.size(); ++i)
    text += kml_style("class" + std::to_string(i + 1), colours[i]);
  text += kml_style("none", {158, 164, 166});
  for (std::size_t i = 0; i < table.rows; ++i) {
    const ExportRow row = table.row(i);
    const std::string rank = rank_at ? cell_text(row.cells[*rank_at]) : std::string();
    text += "<Placemark><name>" + xml_text(name_at ? cell_text(row.cells[*name_at]) : std::string()) +
            "</name><styleUrl>#" + (rank.empty() ? std::string("none") : "class" + rank) +
            "</styleUrl><ExtendedData>";
    for (std::size_t c = 0; c < row.cells.size(); ++c)
      if (const std::string value = cell_text(row.cells[c]); !value.empty())
        text += "<Data name=\"" + std::string(table.columns[c].name) + "\"><value>" + xml_text(value) +
                "</value></Data>";
    text += "</ExtendedData>" + kml_shape(row.shape) + "</Placemark>\n";
  }
  write_whole(target, text + "</Document>\n</kml>\n");
  if (table.rows > 0) expect_features(target, {}, table.rows);
}

}  // namespace

void write_one_layer(const ExportSource& source, const ExportTable& table, const ExportFrame& frame,
                     const std::string& ending, const TargetFile& target) {
  if (table.shape == TableShape::kNone)
    throw Error(ErrorCode::kBadUse, "the layer " + table.name + " has no shapes, which a " + ending +
                                        " file is for; write it to a .csv or a .gpkg");
  if (ending == ".fgb")
    write_flatgeobuf(table, frame, target);
  else
    write_kml(source, table, target);
}

}  // namespace brookmark::geodata
