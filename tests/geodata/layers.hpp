// Why: a reader is tested on files that another program's writer made; here that writer is OGR.
// Use: write_layer(folder / "a.gpkg", "GPKG", {.name = "sites", .epsg = 25832, .rows = {{"POINT (500000 5983522)"}}});
#pragma once

#include <ogrsf_frmts.h>

#include <filesystem>
#include <memory>
#include <stdexcept>
#include <string>
#include <vector>

#include "geodata/vector_input.hpp"

namespace brookmark::test {

struct LayerField {
  std::string name;
  OGRFieldType type = OFTString;
  OGRFieldSubType subtype = OFSTNone;
};

struct LayerRow {
  std::string wkt = {};                  // empty: no geometry
  std::vector<std::string> values = {};  // as OGR reads text; "" leaves the field NULL
};

struct LayerToWrite {
  std::string name = "layer";
  int epsg = 4326;  // 0: the layer names no system
  OGRwkbGeometryType type = wkbUnknown;
  std::vector<LayerField> fields = {};
  std::vector<LayerRow> rows = {};
};

inline void check(bool succeeded) {
  if (!succeeded) throw std::runtime_error("OGR could not write the test file");
}

inline void write_layers(const std::filesystem::path& file, const char* driver_name,
                         const std::vector<LayerToWrite>& layers) {
  geodata::start_geodata();
  CPLPushErrorHandler(CPLQuietErrorHandler);  // some of these files are bad on purpose
  GDALDriver* driver = GetGDALDriverManager()->GetDriverByName(driver_name);
  check(driver != nullptr);
  GDALDataset* dataset = driver->Create(file.c_str(), 0, 0, 0, GDT_Unknown, nullptr);
  check(dataset != nullptr);
  for (const LayerToWrite& spec : layers) {
    OGRSpatialReference crs;
    if (spec.epsg != 0) crs.importFromEPSG(spec.epsg);
    crs.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    OGRLayer* layer =
        dataset->CreateLayer(spec.name.c_str(), spec.epsg != 0 ? &crs : nullptr, spec.type, nullptr);
    check(layer != nullptr);
    for (const LayerField& field : spec.fields) {
      OGRFieldDefn definition(field.name.c_str(), field.type);
      definition.SetSubType(field.subtype);
      check(layer->CreateField(&definition) == OGRERR_NONE);
    }
    for (const LayerRow& row : spec.rows) {
      OGRFeature feature(layer->GetLayerDefn());
      for (std::size_t i = 0; i < row.values.size(); ++i)
        if (!row.values[i].empty()) feature.SetField(spec.fields[i].name.c_str(), row.values[i].c_str());
      if (!row.wkt.empty()) {
        OGRGeometry* geometry = nullptr;
        check(OGRGeometryFactory::createFromWkt(row.wkt.c_str(), nullptr, &geometry) == OGRERR_NONE);
        feature.SetGeometryDirectly(geometry);
      }
      check(layer->CreateFeature(&feature) == OGRERR_NONE);
    }
  }
  GDALClose(dataset);
  CPLPopErrorHandler();
}

inline void write_layer(const std::filesystem::path& file, const char* driver, const LayerToWrite& layer) {
  write_layers(file, driver, {layer});
}

}  // namespace brookmark::test
