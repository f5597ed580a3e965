// Why: one function a format; each writes the temporary file, closes it, opens it again and compares what is
// there.
#pragma once

#include <span>
#include <string>

#include "geodata/export_frame_internal.hpp"
#include "geodata/export_tables_internal.hpp"
#include "geodata/target_file_internal.hpp"

namespace brookmark::geodata {

void write_gpkg(const ExportSource& source, std::span<const ExportTable> tables, const ExportFrame& frame,
                const SurveyTableWords& words, const TargetFile& target);
// The layers alone, each with its spatial index, without what explains them.
void write_gpkg_layers(std::span<const ExportTable> tables, const ExportFrame& frame,
                       const TargetFile& target);
void write_geojson(const ExportSource& source, const ExportTable& table, const SurveyTableWords& words,
                   const TargetFile& target);
// The data dictionary goes to a second file, OUT.fields.csv beside `target_path`, first.
void write_csv(const ExportTable& table, bool overwrite, const std::filesystem::path& target_path,
               const TargetFile& target);
// FlatGeobuf or KML, by the ending. Throws Error(kBadUse) for a table without shapes.
void write_one_layer(const ExportSource& source, const ExportTable& table, const ExportFrame& frame,
                     const std::string& ending, const TargetFile& target);
void write_gpx(const ExportSource& source, const TargetFile& target);
void write_darwin_core(const ExportSource& source, const SurveyTableWords& words, const TargetFile& target);

// One table alone, with nothing about the survey around it.
void write_geojson_table(const ExportTable& table, const TargetFile& target);

struct Waypoint {
  std::string name, text;  // text: what people read about it
  core::LonLat position;
  std::string comment = {};  // what a receiver shows
};
void write_waypoints(std::span<const Waypoint> waypoints, const TargetFile& target);

// Throws unless GDAL finds the layer with that many features in the closed file.
void expect_features(const TargetFile& target, const std::string& layer, std::size_t rows);

// A cell as plain text: "" for nothing, numbers in shortest form, true or false, ISO dates.
std::string cell_text(const Cell& cell);

// RFC 7946, section 11.2: seven decimals are about a centimetre, and no survey is better than that.
double seven_decimals(double degrees);

// For text inside XML; characters that XML 1.0 has no way to hold are left out.
std::string xml_text(std::string_view text);

}  // namespace brookmark::geodata
