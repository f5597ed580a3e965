// Why: rows of an export become features of whatever format OGR writes, in one place.
// Use: OgrRows rows(*layer, frame);  for (i) layer.CreateFeature(&rows.feature(table.row(i)));
#pragma once

#include <memory>

#include "geodata/export_frame_internal.hpp"
#include "geodata/export_tables_internal.hpp"

class OGRFeature;
class OGRGeometry;
class OGRLayer;

namespace brookmark::geodata {

// Null for a row without a shape.
std::unique_ptr<OGRGeometry> geometry_of(const core::Shape& shape, const ExportFrame& frame);
int geometry_type_of(TableShape shape);  // OGRwkbGeometryType
// False where OGR refuses a field; it has then said why.
bool create_fields(OGRLayer& layer, const ExportTable& table);

class OgrRows {
 public:
  OgrRows(OGRLayer& layer, const ExportFrame& frame);
  ~OgrRows();
  OgrRows(const OgrRows&) = delete;
  OgrRows& operator=(const OgrRows&) = delete;
  // The same feature every time, with the row's cells and shape. Throws Error(kBadUse) for a time that is not UTC.
  OGRFeature& feature(const ExportRow& row);

 private:
  const ExportFrame& frame_;
  std::unique_ptr<OGRFeature> feature_;
};

}  // namespace brookmark::geodata
