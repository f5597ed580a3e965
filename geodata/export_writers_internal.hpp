// Why: one function a format; each writes the temporary file, closes it, opens it again and compares what is
// there.
#pragma once

#include <span>
#include <string>

#include "geodata/export_tables_internal.hpp"
#include "geodata/target_file_internal.hpp"

namespace brookmark::geodata {

void write_gpkg(std::span<const ExportTable> tables, const TargetFile& target);
void write_geojson(const ExportSource& source, const std::string& exported_utc, const TargetFile& target);
void write_csv(const ExportSource& source, const TargetFile& target);
void write_gpx(const ExportSource& source, const TargetFile& target);

// Throws unless GDAL finds the layer with that many features in the closed file.
void expect_features(const TargetFile& target, const std::string& layer, std::size_t rows);

// A cell as plain text: "" for nothing, numbers in shortest form, true or false, ISO dates.
std::string cell_text(const Cell& cell);

}  // namespace brookmark::geodata
