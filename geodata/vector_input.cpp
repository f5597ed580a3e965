#include "geodata/vector_input.hpp"

#include <cpl_string.h>
#include <ogr_spatialref.h>
#include <ogrsf_frmts.h>

#include <array>
#include <memory>
#include <optional>
#include <string_view>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "geodata/gdal_errors_internal.hpp"
#include "geodata/local_file_internal.hpp"
#include "geodata/vector_shapes_internal.hpp"
#include "geodata/vector_text_internal.hpp"

namespace brookmark::geodata {

namespace {

Error bad_input(const std::string& sentence, const std::filesystem::path& file) {
  return {ErrorCode::kBadInput, sentence, file.string()};
}

constexpr const char* kVectorFormats[] = {
    "GPKG",         "SQLite", "GeoJSON", "GeoJSONSeq", "ESRIJSON", "TopoJSON", "FlatGeobuf", "ESRI Shapefile",
    "MapInfo File", "GPX",    "KML",     "LIBKML",     "GML",      "GeoRSS",   "DXF",        "DGN",
    "OpenFileGDB",  "OSM",    "MVT",     "MBTiles",    "OGR_GMT",  "XLSX",     "ODS",        "netCDF",
    "PDF",          "JML",    "S57",     "SXF",        "AVCBin",   "AVCE00",   "UK .NTF",    "TIGER",
    "EDIGEO",       "SVG",    "Selafin", "VDV"};

std::string layer_list(GDALDataset& dataset) {
  std::string names;
  for (OGRLayer* layer : dataset.GetLayers())
    names += (names.empty() ? "\"" : ", \"") + std::string(layer->GetName()) + "\"";
  return names;
}

OGRLayer& choose_layer(GDALDataset& dataset, const std::string& wanted, const std::filesystem::path& file) {
  if (dataset.GetLayerCount() == 0) throw bad_input("the file has no layer in it", file);
  if (!wanted.empty()) {
    if (OGRLayer* layer = dataset.GetLayerByName(wanted.c_str())) return *layer;
    throw bad_input("there is no layer \"" + wanted + "\"; the file has " + layer_list(dataset), file);
  }
  if (dataset.GetLayerCount() == 1) return *dataset.GetLayer(0);
  // A GPX file always lists five layers, most of them empty: one layer with something in it leaves no choice.
  OGRLayer* filled = nullptr;
  int filled_count = 0;
  for (OGRLayer* layer : dataset.GetLayers()) {
    layer->ResetReading();
    const std::unique_ptr<OGRFeature> first(layer->GetNextFeature());
    if (first == nullptr) continue;
    filled = layer;
    ++filled_count;
  }
  if (filled_count == 1) return *filled;
  if (filled_count == 0) throw bad_input("every layer of the file is empty: " + layer_list(dataset), file);
  throw bad_input("the file has several layers; say which one to read: " + layer_list(dataset), file);
}

bool names_no_system(const OGRSpatialReference* crs) {
  if (crs == nullptr || crs->IsEmpty() || crs->IsLocal()) return true;
  const char* name = crs->GetName();  // a GeoPackage says 0 or -1 for "not known"
  return name != nullptr && std::string_view(name).substr(0, 9) == "Undefined";
}

// Where OGR hands out y before x although the layer's system counts as x, y (or the other way round).
bool hands_out_latitude_first(const OGRSpatialReference& crs) {
  OGRSpatialReference usual(crs);
  usual.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
  const std::vector<int>& given = crs.GetDataAxisToSRSAxisMapping();
  const std::vector<int>& wanted = usual.GetDataAxisToSRSAxisMapping();
  return given.size() >= 2 && wanted.size() >= 2 && given[0] == wanted[1] && given[1] == wanted[0];
}

bool is_wgs84(const OGRSpatialReference& crs) {
  OGRSpatialReference wgs84;
  wgs84.importFromEPSG(4326);
  constexpr std::array<const char*, 3> kAxesAside = {
      "IGNORE_DATA_AXIS_TO_SRS_AXIS_MAPPING=YES", "CRITERION=EQUIVALENT_EXCEPT_AXIS_ORDER_GEOGCRS", nullptr};
  return crs.IsGeographic() && crs.IsSame(&wgs84, kAxesAside.data()) != 0;
}

std::string wkt_of(const OGRSpatialReference& crs) {
  constexpr std::array<const char*, 2> kNewest = {"FORMAT=WKT2_2019", nullptr};
  char* text = nullptr;
  std::string wkt;
  if (crs.exportToWkt(&text, kNewest.data()) == OGRERR_NONE && text != nullptr) wkt = text;
  CPLFree(text);
  return wkt;
}

struct LayerCrs {
  std::optional<core::CrsConverter> converter;  // nothing: the layer is in WGS 84
  bool latitude_first = false;
};

LayerCrs layer_crs(OGRLayer& layer, const std::string& fallback, const std::filesystem::path& file) {
  LayerCrs result;
  const OGRSpatialReference* own = layer.GetSpatialRef();
  OGRSpatialReference given;
  std::string name, definition;
  if (!names_no_system(own)) {
    name = own->GetName();
    definition = wkt_of(*own);
    result.latitude_first = hands_out_latitude_first(*own);
  } else {
    if (fallback.empty())
      throw bad_input("the layer \"" + std::string(layer.GetName()) +
                          "\" does not say its coordinate system; name it, for example EPSG:4326 for "
                          "longitude and latitude",
                      file);
    name = definition = fallback;
    own = given.SetFromUserInput(fallback.c_str(),
                                 OGRSpatialReference::SET_FROM_USER_INPUT_LIMITATIONS_get()) == OGRERR_NONE
              ? &given
              : nullptr;
  }
  if (own != nullptr && is_wgs84(*own)) return result;
  try {
    result.converter.emplace(definition);
  } catch (const Error&) {
    throw bad_input("the coordinate system \"" + name +
                        "\" is not known here, or positions in it cannot be brought to longitude and "
                        "latitude; name another "
                        "as EPSG:number, or save the layer in EPSG:4326",
                    file);
  }
  return result;
}

std::string row_issue(const core::TableRow& row, const std::vector<std::string>& columns) {
  for (std::size_t i = 0; i < row.cells.size(); ++i) {
    if (!core::is_valid_utf8(row.cells[i]))
      return "the text in \"" + columns[i] + "\" is not in UTF-8; save the layer with that encoding";
    if (row.cells[i] == "inf" || row.cells[i] == "-inf")
      return "the number in \"" + columns[i] + "\" is not finite";
  }
  return {};
}

}  // namespace

core::Table read_layer(const std::filesystem::path& file, const LayerOptions& options) {
  start_geodata();
  const DatasetPointer dataset = open_local(file, kVectorFormats, GDAL_OF_VECTOR, "a vector file");
  const GdalMessages messages;
  OGRLayer& layer = choose_layer(*dataset, options.layer, file);
  const std::string layer_name = layer.GetName();

  core::Table table;
  table.file = file.filename().string();
  const OGRFeatureDefn& definition = *layer.GetLayerDefn();
  table.has_shapes = definition.GetGeomFieldCount() > 0;
  for (int i = 0; i < definition.GetFieldCount(); ++i)
    table.columns.emplace_back(definition.GetFieldDefn(i)->GetNameRef());

  LayerCrs crs;
  if (table.has_shapes) crs = layer_crs(layer, options.crs, file);
  const PositionReader reader{crs.converter ? &*crs.converter : nullptr, crs.latitude_first};

  layer.ResetReading();
  while (const std::unique_ptr<OGRFeature> feature{layer.GetNextFeature()}) {
    core::TableRow row;
    row.line = table.rows.size() + 1;
    row.cells.reserve(table.columns.size());
    for (int i = 0; i < definition.GetFieldCount(); ++i) row.cells.push_back(field_text(*feature, i));
    row.issue = row_issue(row, table.columns);
    if (table.has_shapes) {
      ShapeOrIssue read = read_shape(feature->GetGeometryRef(), reader);
      row.shape = std::move(read.shape);
      if (row.issue.empty()) row.issue = std::move(read.issue);
    }
    table.rows.push_back(std::move(row));
  }
  if (messages.failed())
    throw bad_input("the layer \"" + layer_name + "\" can be read only up to feature " +
                        std::to_string(table.rows.size()) + "; the file is damaged" + messages.in_brackets(),
                    file);
  if (table.rows.empty()) throw bad_input("the layer \"" + layer_name + "\" is empty", file);
  if (crs.converter) table.crs_note = crs.converter->note();
  return table;
}

bool is_plain_table(const std::filesystem::path& file) {
  const std::string ending = core::to_lower_ascii(file.extension().string());
  return ending == ".csv" || ending == ".tsv" || ending == ".txt";
}

}  // namespace brookmark::geodata
