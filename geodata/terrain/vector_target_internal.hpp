// Why: one layer written into any vector format, whole or not at all.
// Use: VectorTarget target(path, overwrite, "streams", wkbLineString, crs);  target.add_field("reach", OFTString);
//      target.add(feature);  target.commit();
#pragma once

#include <ogrsf_frmts.h>

#include <filesystem>
#include <memory>
#include <string>

#include "geodata/gdal_errors_internal.hpp"
#include "geodata/target_file_internal.hpp"

namespace brookmark::geodata {

// Throws Error(kBadUse) for an ending that no installed driver writes.
void expect_vector_driver(const std::filesystem::path& file);

class VectorTarget {
 public:
  // `crs`: WKT or EPSG:number. Throws Error(kBadUse) for an ending that no installed driver writes.
  VectorTarget(const std::filesystem::path& file, bool overwrite, const char* layer, OGRwkbGeometryType type,
               const std::string& crs);
  ~VectorTarget();
  VectorTarget(const VectorTarget&) = delete;
  VectorTarget& operator=(const VectorTarget&) = delete;

  bool wants_lonlat() const { return wants_lonlat_; }  // coordinates in WGS 84, else in `crs`
  void add_field(const char* name, OGRFieldType type);
  OGRFeature feature() const { return OGRFeature(layer_->GetLayerDefn()); }
  void add(OGRFeature& feature);
  // Closes, checks that every feature is there, renames.
  void commit();

 private:
  void expect(bool succeeded);
  std::vector<std::filesystem::path> companions() const;

  std::filesystem::path shown_;
  bool overwrite_;
  TargetFile file_;
  GdalMessages messages_;
  DatasetPointer dataset_;
  OGRLayer* layer_ = nullptr;
  bool wants_lonlat_ = false;
  GIntBig added_ = 0;
};

}  // namespace brookmark::geodata
