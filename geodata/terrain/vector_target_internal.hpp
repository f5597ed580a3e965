// Why: one layer written into any vector format, whole or not at all.
// Use: VectorTarget target(path, overwrite, "streams", LayerShape::kLine, crs);
//      target.add_field("reach", FieldKind::kWhole);
//      OGRFeature feature = target.feature();  ...  target.add(feature);  target.commit();
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "geodata/gdal_errors_internal.hpp"
#include "geodata/target_file_internal.hpp"

class OGRFeature;
class OGRLayer;

namespace brookmark::geodata {

enum class LayerShape : std::uint8_t { kLine, kMultiPolygon };
enum class FieldKind : std::uint8_t { kText, kWhole, kNumber };

// Throws Error(kBadUse) for an ending that no installed driver writes.
void expect_vector_driver(const std::filesystem::path& file);

class VectorTarget {
 public:
  // `crs`: WKT or EPSG:number. Throws Error(kBadUse) for an ending that no installed driver writes.
  VectorTarget(const std::filesystem::path& file, bool overwrite, const char* layer, LayerShape shape,
               const std::string& crs);
  ~VectorTarget();
  VectorTarget(const VectorTarget&) = delete;
  VectorTarget& operator=(const VectorTarget&) = delete;

  bool wants_lonlat() const { return wants_lonlat_; }  // coordinates in WGS 84, else in `crs`
  void add_field(const char* name, FieldKind kind);
  OGRFeature feature() const;  // empty, of this layer
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
  std::int64_t added_ = 0;
};

}  // namespace brookmark::geodata
