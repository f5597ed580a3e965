#include <cpl_string.h>
#include <gdal_priv.h>
#include <ogr_spatialref.h>

#include "core/base/error.hpp"
#include "geodata/local_file_internal.hpp"
#include "geodata/raster_file_internal.hpp"

namespace brookmark::geodata {

DatasetPointer open_raster(const std::filesystem::path& file, std::span<const char* const> formats) {
  DatasetPointer dataset = open_local(file, formats, GDAL_OF_RASTER, "a raster file");
  if (dataset->GetRasterCount() == 0)
    throw Error(ErrorCode::kBadInput, "the file holds no raster band", file.string());
  return dataset;
}

std::string crs_of(GDALDataset& dataset) {
  const OGRSpatialReference* own = dataset.GetSpatialRef();
  if (own == nullptr || own->IsEmpty() || own->IsLocal()) return {};
  const char* const kNewest[] = {"FORMAT=WKT2_2019", nullptr};
  char* text = nullptr;
  std::string wkt;
  if (own->exportToWkt(&text, kNewest) == OGRERR_NONE && text != nullptr) wkt = text;
  CPLFree(text);
  return wkt;
}

}  // namespace brookmark::geodata
