// Why: terrain models as files, written by GDAL's own writer.
// Use: write_dem(folder / "a.tif", z, {.epsg = 25832});
#pragma once

#include <gdal_priv.h>
#include <ogr_spatialref.h>

#include <array>
#include <filesystem>
#include <optional>
#include <stdexcept>

#include "geodata/terrain/grid.hpp"
#include "geodata/vector_input.hpp"

namespace brookmark::test {

struct DemToWrite {
  int epsg = 25832;  // 0: none
  std::array<double, 6> transform = {500000, 10, 0, 6000000, 0, -10};
  std::optional<double> no_data = {};  // written where there is no height
  GDALDataType type = GDT_Float32;
};

inline void write_dem(const std::filesystem::path& file, const geodata::Raster<float>& z,
                      const DemToWrite& spec) {
  geodata::start_geodata();
  const auto rows = static_cast<int>(z.size().rows), cols = static_cast<int>(z.size().cols);
  GDALDataset* out = GetGDALDriverManager()->GetDriverByName("GTiff")->Create(file.c_str(), cols, rows, 1,
                                                                              spec.type, nullptr);
  if (out == nullptr) throw std::runtime_error("GDAL could not write the test file");
  auto transform = spec.transform;
  out->SetGeoTransform(transform.data());
  if (spec.epsg != 0) {
    OGRSpatialReference crs;
    crs.importFromEPSG(spec.epsg);
    out->SetSpatialRef(&crs);
  }
  geodata::Raster<float> copy = z.copy();
  if (spec.no_data) {
    out->GetRasterBand(1)->SetNoDataValue(*spec.no_data);
    for (float& h : copy.cells())
      if (std::isnan(h)) h = static_cast<float>(*spec.no_data);
  }
  const CPLErr error = out->GetRasterBand(1)->RasterIO(GF_Write, 0, 0, cols, rows, copy.row(0), cols, rows,
                                                       GDT_Float32, 0, 0, nullptr);
  GDALClose(out);
  if (error != CE_None) throw std::runtime_error("GDAL could not write the test file");
}

}  // namespace brookmark::test
