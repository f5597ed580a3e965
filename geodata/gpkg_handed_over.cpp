#include <nlohmann/json.hpp>

#include "core/base/text.hpp"
#include "geodata/export_writers_internal.hpp"
#include "geodata/gpkg_parts_internal.hpp"
#include "geodata/shape_checksum_internal.hpp"

namespace brookmark::geodata {

namespace {

void add_line(ShapeChecksum& sum, const core::Line& line, const ExportFrame& frame) {
  for (const core::LonLat place : line) {
    const core::PlanePoint p = frame.project(place);
    sum.add(p.x);
    sum.add(p.y);
  }
}

}  // namespace

std::string own_cells_text(const ExportTable& table, const ExportRow& row) {
  nlohmann::ordered_json cells = nlohmann::ordered_json::object();
  for (std::size_t c = 0; c < table.columns.size(); ++c)
    if (table.columns[c].use == ColumnUse::kOwn) {
      std::string text = cell_text(row.cells[c]);
      if (!text.empty()) cells[table.columns[c].name] = std::move(text);
    }
  return cells.dump(-1, ' ', false, nlohmann::ordered_json::error_handler_t::replace);
}

std::string shape_text(const core::Shape& shape, const ExportFrame& frame) {
  if (const auto* point = std::get_if<core::LonLat>(&shape)) {
    const core::PlanePoint p = frame.project(*point);
    return core::format_number(p.x) + " " + core::format_number(p.y);
  }
  ShapeChecksum sum;
  if (const auto* lines = std::get_if<std::vector<core::Line>>(&shape)) {
    for (const core::Line& line : *lines) add_line(sum, line, frame);
    return sum.text();
  }
  if (const auto* polygons = std::get_if<core::MultiPolygon>(&shape)) {
    for (const core::Polygon& polygon : *polygons)
      for (const core::Line& ring : polygon.rings) add_line(sum, ring, frame);
    return sum.text();
  }
  return {};
}

void add_handed_over(const core::Database& database, std::span<const ExportTable> tables,
                     const ExportFrame& frame, const std::string& utc) {
  database.execute(
      "CREATE TABLE handed_over (fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, layer TEXT NOT NULL, uuid "
      "TEXT NOT NULL, "
      "cells TEXT NOT NULL, place TEXT)");
  register_attributes(
      database, "handed_over",
      "What stood in each row when this file was made. Leave it as it is: with it, changes made in the "
      "other layers can be brought back to the survey one by one.",
      utc);
  core::Statement keep(database, "INSERT INTO handed_over (layer, uuid, cells, place) VALUES (?, ?, ?, ?)");
  for (const ExportTable& table : tables) {
    if (!table.comes_back) continue;
    for (std::size_t i = 0; i < table.rows; ++i) {
      const ExportRow row = table.row(i);
      const std::string place = shape_text(row.shape, frame);
      keep.run(table.name, cell_text(row.cells.front()), own_cells_text(table, row),
               place.empty() ? std::optional<std::string>() : std::optional(place));
    }
  }
}

}  // namespace brookmark::geodata
