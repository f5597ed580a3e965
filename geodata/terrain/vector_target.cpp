#include <cpl_string.h>
#include <ogrsf_frmts.h>

#include <string_view>
#include <system_error>
#include <vector>

#include "core/base/text.hpp"
#include "geodata/terrain/vector_target_internal.hpp"
#include "geodata/vector_input.hpp"

namespace brookmark::geodata {

namespace fs = std::filesystem;

namespace {

// A driver that writes new vector files with this ending; null where there is none.
GDALDriver* driver_for(const fs::path& file) {
  const std::string ending = core::to_lower_ascii(file.extension().string());
  if (ending.size() < 2) return nullptr;
  GDALDriverManager& drivers = *GetGDALDriverManager();
  for (int i = 0; i < drivers.GetDriverCount(); ++i) {
    GDALDriver* driver = drivers.GetDriver(i);
    const char* known = driver->GetMetadataItem(GDAL_DMD_EXTENSIONS);
    if (known == nullptr || driver->GetMetadataItem(GDAL_DCAP_VECTOR) == nullptr ||
        driver->GetMetadataItem(GDAL_DCAP_CREATE) == nullptr)
      continue;
    for (const std::string& one : core::split(known, ' '))
      if ("." + core::to_lower_ascii(one) == ending) return driver;
  }
  return nullptr;
}

bool knows_only_lonlat(std::string_view driver) {
  return driver.substr(0, 7) == "GeoJSON" || driver == "KML" || driver == "LIBKML" || driver == "GPX";
}

}  // namespace

void expect_vector_driver(const fs::path& file) {
  start_geodata();
  if (driver_for(file) == nullptr)
    throw Error(ErrorCode::kBadUse,
                "no vector format with this ending can be written here; use .gpkg, .geojson or .shp",
                file.string());
}

VectorTarget::VectorTarget(const fs::path& file, bool overwrite, const char* layer, LayerShape shape,
                           const std::string& crs)
    : shown_(file), overwrite_(overwrite), file_(file, overwrite) {
  expect_vector_driver(file);
  GDALDriver* driver = driver_for(file);
  const std::string format = driver->GetDescription();
  wants_lonlat_ = knows_only_lonlat(format);
  OGRSpatialReference system;
  if (wants_lonlat_)
    system.importFromEPSG(4326);
  else
    expect(system.SetFromUserInput(crs.c_str()) == OGRERR_NONE);
  system.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);

  dataset_.reset(driver->Create(file_.temporary().c_str(), 0, 0, 0, GDT_Unknown, nullptr));
  expect(dataset_ != nullptr);
  CPLStringList options;
  if (format == "GPKG") options.SetNameValue("GEOMETRY_NAME", "geom");
  if (format == "GeoJSON") options.SetNameValue("RFC7946", "YES");
  if (format == "CSV") options.SetNameValue("GEOMETRY", "AS_WKT");
  layer_ = dataset_->CreateLayer(layer, &system, shape == LayerShape::kLine ? wkbLineString : wkbMultiPolygon,
                                 options.List());
  expect(layer_ != nullptr);
  if (dataset_->TestCapability(ODsCTransactions) != 0) expect(dataset_->StartTransaction() == OGRERR_NONE);
}

VectorTarget::~VectorTarget() {
  dataset_.reset();
  std::error_code ignored;
  for (const fs::path& file : companions()) fs::remove(file, ignored);
}

void VectorTarget::expect(bool succeeded) {
  if (succeeded && !messages_.failed()) return;
  throw file_.failure(messages_.text().empty() ? "GDAL gave no reason" : messages_.text());
}

void VectorTarget::add_field(const char* name, FieldKind kind) {
  OGRFieldDefn field(name, kind == FieldKind::kText    ? OFTString
                           : kind == FieldKind::kWhole ? OFTInteger64
                                                       : OFTReal);
  expect(layer_->CreateField(&field) == OGRERR_NONE);
}

OGRFeature VectorTarget::feature() const {
  return OGRFeature(layer_->GetLayerDefn());
}

void VectorTarget::add(OGRFeature& feature) {
  expect(layer_->CreateFeature(&feature) == OGRERR_NONE);
  ++added_;
}

// Files beside the temporary one that some formats consist of: its name with other endings.
std::vector<fs::path> VectorTarget::companions() const {
  std::vector<fs::path> found;
  const fs::path& main = file_.temporary();
  std::error_code ignored;
  for (const auto& entry : fs::directory_iterator(main.parent_path(), ignored))
    if (entry.path().stem() == main.stem() && entry.path() != main) found.push_back(entry.path());
  return found;
}

void VectorTarget::commit() {
  if (dataset_->TestCapability(ODsCTransactions) != 0) expect(dataset_->CommitTransaction() == OGRERR_NONE);
  dataset_->FlushCache(true);
  expect(true);
  dataset_.reset();
  layer_ = nullptr;
  expect(true);
  {
    DatasetPointer again(GDALDataset::Open(file_.temporary().c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY));
    // An empty layer of some formats (a text file of no lines) holds nothing that could be opened.
    if (added_ > 0)
      expect(again != nullptr && again->GetLayerCount() > 0 &&
             again->GetLayer(0)->GetFeatureCount() == added_);
  }
  for (const fs::path& file : companions()) {
    fs::path beside = shown_;
    beside.replace_extension(file.extension());
    std::error_code error;
    if (!overwrite_ && fs::exists(beside, error))
      throw Error(ErrorCode::kBadUse,
                  "the file exists already; choose another name, or ask for it to be overwritten",
                  beside.string());
    fs::rename(file, beside, error);
    if (error) throw file_.failure(error.message());
  }
  file_.commit();
}

}  // namespace brookmark::geodata
