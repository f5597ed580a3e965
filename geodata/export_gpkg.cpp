#include <cpl_conv.h>
#include <cpl_string.h>
#include <ogr_spatialref.h>
#include <ogrsf_frmts.h>

#include <cmath>
#include <map>
#include <memory>

#include "core/store/sqlite.hpp"
#include "geodata/export_writers_internal.hpp"
#include "geodata/gdal_errors_internal.hpp"
#include "geodata/gpkg_parts_internal.hpp"
#include "geodata/ogr_rows_internal.hpp"
#include "geodata/rtree_internal.hpp"

namespace brookmark::geodata {

namespace {

using Boxes = std::map<std::string, std::vector<RtreeBox>>;  // by layer

// Syncing each commit of a file that nobody has yet is for nothing: the whole of it is synced before it gets its name.
class UnsyncedWrites {
 public:
  UnsyncedWrites() { CPLSetThreadLocalConfigOption("OGR_SQLITE_SYNCHRONOUS", "OFF"); }
  ~UnsyncedWrites() { CPLSetThreadLocalConfigOption("OGR_SQLITE_SYNCHRONOUS", nullptr); }
  UnsyncedWrites(const UnsyncedWrites&) = delete;
  UnsyncedWrites& operator=(const UnsyncedWrites&) = delete;
};

class GpkgWriter {
 public:
  GpkgWriter(const ExportFrame& frame, const TargetFile& target) : frame_(frame), target_(target) {
    CPLStringList options;
    options.SetNameValue("VERSION", "1.3");
    options.SetNameValue("DATETIME_FORMAT", "UTC");
    GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GPKG");
    if (driver == nullptr)
      throw Error(ErrorCode::kStorage,
                  "this installation of GDAL cannot write GeoPackages; install its GPKG driver");
    dataset_.reset(driver->Create(target.temporary().c_str(), 0, 0, 0, GDT_Unknown, options.List()));
    expect(dataset_ != nullptr);
  }

  void add(const ExportTable& table) {
    OGRLayer& layer = create_layer(table);
    std::vector<RtreeBox>& boxes = boxes_[table.name];
    expect(dataset_->StartTransaction() == OGRERR_NONE);
    OgrRows rows(layer, frame_);
    for (std::size_t i = 0; i < table.rows; ++i) {
      OGRFeature& feature = rows.feature(table.row(i));
      expect(layer.CreateFeature(&feature) == OGRERR_NONE);
      const OGRGeometry* geometry = feature.GetGeometryRef();
      if (geometry == nullptr || geometry->IsEmpty()) continue;
      OGREnvelope box;
      geometry->getEnvelope(&box);
      boxes.push_back({feature.GetFID(), box.MinX, box.MaxX, box.MinY, box.MaxY});
    }
    expect(dataset_->CommitTransaction() == OGRERR_NONE);
    expect(true);
  }

  // GDAL writes extents only now, and says only through its messages whether that went well.
  Boxes close() {
    dataset_->FlushCache(true);
    expect(true);
    dataset_.reset();
    expect(true);
    return std::move(boxes_);
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
    options.SetNameValue("SPATIAL_INDEX", "NO");  // built whole afterwards, many times faster
    OGRLayer* layer = dataset_->CreateLayer(
        table.name.c_str(),
        table.shape == TableShape::kNone ? nullptr : const_cast<OGRSpatialReference*>(&frame_.system()),
        static_cast<OGRwkbGeometryType>(geometry_type_of(table.shape)), options.List());
    expect(layer != nullptr);
    expect(create_fields(*layer, table));
    return *layer;
  }

  const ExportFrame& frame_;
  const TargetFile& target_;
  GdalMessages messages_;
  DatasetPointer dataset_;
  Boxes boxes_;
};

void write_layers(std::span<const ExportTable> tables, const ExportFrame& frame, const TargetFile& target,
                  const std::function<void(const core::Database&)>& more) {
  const UnsyncedWrites unsynced;
  GpkgWriter writer(frame, target);
  for (const ExportTable& table : tables) writer.add(table);
  Boxes boxes = writer.close();
  try {
    const core::Database database(target.temporary(), core::OpenMode::kReadWrite, 0);
    database.execute("PRAGMA journal_mode = OFF; PRAGMA synchronous = OFF");
    core::Transaction transaction(database, core::Transaction::kWrite);
    begin_extensions(database);
    for (const ExportTable& table : tables)
      if (table.shape != TableShape::kNone)
        add_spatial_index(database, table.name, std::move(boxes[table.name]));
    more(database);
    transaction.commit();
  } catch (const core::SqliteError& error) {
    throw target.failure(error.what());
  }
  for (const ExportTable& table : tables) expect_features(target, table.name, table.rows);
}

}  // namespace

void write_gpkg_layers(std::span<const ExportTable> tables, const ExportFrame& frame,
                       const TargetFile& target) {
  write_layers(tables, frame, target, [](const core::Database&) {});
}

void write_gpkg(const ExportSource& source, std::span<const ExportTable> tables, const ExportFrame& frame,
                const SurveyTableWords& words, const TargetFile& target) {
  write_layers(tables, frame, target, [&](const core::Database& database) {
    add_column_descriptions(database, tables);
    add_relations(database, tables);
    add_handed_over(database, tables, frame, words.exported_utc);
    add_results(database, tables, words.exported_utc);
    add_styles(database, source, tables, words.exported_utc);
    add_thumbnail(database, source, words.exported_utc);
    add_metadata(database, source, tables, frame, words);
  });
}

}  // namespace brookmark::geodata
