// Why: what makes a GeoPackage explain itself beyond its layers: index, column descriptions, relations, styles, picture and
// metadata. Each is a part of the OGC standard 12-128r17 (GeoPackage 1.3) or of its extensions, written as plain SQL, for
// GDAL 3.6 writes them not at all or wraps them in forms of its own.
// Use: Transaction t(db, Transaction::kWrite);  add_column_descriptions(db, tables);  t.commit();
#pragma once

#include <map>
#include <span>
#include <string>
#include <vector>

#include "core/store/sqlite.hpp"
#include "geodata/export_frame_internal.hpp"
#include "geodata/export_tables_internal.hpp"
#include "geodata/rtree_internal.hpp"

namespace brookmark::geodata {

// The list of extensions, where there is none yet. First of all.
void begin_extensions(const core::Database& database);
// gpkg_rtree_index, with the triggers that GDAL 3.6 writes for VERSION 1.3.
void add_spatial_index(const core::Database& database, const std::string& layer, std::vector<RtreeBox> boxes);
// gpkg_schema: what each column means, and the words that a column of set words may hold.
void add_column_descriptions(const core::Database& database, std::span<const ExportTable> tables);
// gpkg_related_tables: sites to samples and measurements, samples to records and scores, by row number beside the UUIDs.
void add_relations(const core::Database& database, std::span<const ExportTable> tables);
// handed_over: what stood in each row when it left, so that changes made since can be told from changes made here.
void add_handed_over(const core::Database& database, std::span<const ExportTable> tables,
                     const ExportFrame& frame, const std::string& utc);
// handed_over_results: a checksum of every cell that was worked out, so that an edit of one can be told.
void add_results(const core::Database& database, std::span<const ExportTable> tables, const std::string& utc);
// Worked-out cells of a layer that are not as they left, by key of the row: column and the text that stands there now.
using ChangedResults = std::map<std::string, std::string, std::less<>>;
std::map<std::string, ChangedResults> changed_results(const core::Database& database,
                                                      const std::string& layer,
                                                      const std::vector<std::string>& columns_there);
// layer_styles, as desktop GIS read it: class colours, labels and legend.
void add_styles(const core::Database& database, const ExportSource& source,
                std::span<const ExportTable> tables, const std::string& utc);
// thumbnail: a small picture of channels and sites.
void add_thumbnail(const core::Database& database, const ExportSource& source, const std::string& utc);
// gpkg_metadata: ISO 19139 in XML: who, when, by which method, licence, limits of use, cautions, what was held back.
void add_metadata(const core::Database& database, const ExportSource& source,
                  std::span<const ExportTable> tables, const ExportFrame& frame,
                  const SurveyTableWords& words);

// Registers a table without shapes that was made by plain SQL.
void register_attributes(const core::Database& database, const std::string& table,
                         const std::string& description, const std::string& utc);
// "2024-06-01T12:00:00.000Z"
std::string utc_with_milliseconds(const std::string& utc);

// What an imported GeoPackage is compared with: the cells of own columns as one JSON object, and the shape as text that is
// the same for the same coordinates: a point's own numbers, else "points:" and a checksum (64-bit FNV-1a).
std::string own_cells_text(const ExportTable& table, const ExportRow& row);
std::string shape_text(const core::Shape& shape, const ExportFrame& frame);

}  // namespace brookmark::geodata
