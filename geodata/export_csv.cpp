#include "core/base/csv.hpp"
#include "core/base/formula_cell.hpp"
#include "core/base/text.hpp"
#include "geodata/export_writers_internal.hpp"

namespace brookmark::geodata {

namespace {

std::string csv_text(const Cell& cell) {
  const auto* text = std::get_if<std::string>(&cell);
  return core::csv_cell(text != nullptr ? core::not_a_formula(*text) : cell_text(cell));
}

const char* type_word(ColumnType type) {
  switch (type) {
    case ColumnType::kNumber:
      return "number";
    case ColumnType::kInteger:
      return "whole number";
    case ColumnType::kFlag:
      return "true or false";
    case ColumnType::kDate:
      return "date, 2024-05-03";
    case ColumnType::kUtc:
      return "moment in UTC, 2024-05-03T08:30:00Z";
    case ColumnType::kText:
      break;
  }
  return "text";
}

constexpr const char* kApostrophe =
    "; an apostrophe stands before text that a spreadsheet would run as a formula";

std::string dictionary_of(const ExportTable& table) {
  std::string text = "column,type,description\n";
  if (table.shape == TableShape::kPoint)
    text +=
        "longitude,number,\"degrees east, WGS 84 (EPSG:4326); empty: no place\"\n"
        "latitude,number,\"degrees north, WGS 84 (EPSG:4326); empty: no place\"\n";
  else if (table.shape != TableShape::kNone)
    text +=
        "wkt,text,\"shape as well-known text, longitude before latitude, WGS 84 (EPSG:4326); an import reads "
        "shapes from the other forms, not from here\"\n";
  for (const Column& column : table.columns)
    text += core::csv_cell(column.name) + "," + core::csv_cell(type_word(column.type)) + "," +
            core::csv_cell(column.type == ColumnType::kText ? std::string(column.what) + kApostrophe
                                                            : std::string(column.what)) +
            "\n";
  return text;
}

std::string wkt_points(const core::Line& line) {
  std::string text = "(";
  for (std::size_t i = 0; i < line.size(); ++i)
    text += (i == 0 ? "" : ", ") + core::format_number(seven_decimals(line[i].lon)) + " " +
            core::format_number(seven_decimals(line[i].lat));
  return text + ")";
}

std::string wkt_of(const core::Shape& shape) {
  if (const auto* lines = std::get_if<std::vector<core::Line>>(&shape))
    return "LINESTRING " + wkt_points(lines->front());
  const auto* polygons = std::get_if<core::MultiPolygon>(&shape);
  if (polygons == nullptr) return {};
  std::string text = "MULTIPOLYGON (";
  for (std::size_t p = 0; p < polygons->size(); ++p) {
    text += p == 0 ? "(" : ", (";
    for (std::size_t r = 0; r < (*polygons)[p].rings.size(); ++r)
      text += (r == 0 ? "" : ", ") + wkt_points((*polygons)[p].rings[r]);
    text += ")";
  }
  return text + ")";
}

}  // namespace

void write_csv(const ExportTable& table, bool overwrite, const std::filesystem::path& target_path,
               const TargetFile& target) {
  std::filesystem::path dictionary_path = target_path;
  dictionary_path.replace_extension(".fields.csv");
  TargetFile dictionary(dictionary_path, overwrite);
  std::string text;
  if (table.shape == TableShape::kPoint)
    text = "longitude,latitude,";
  else if (table.shape != TableShape::kNone)
    text = "wkt,";
  for (std::size_t c = 0; c < table.columns.size(); ++c)
    text += (c == 0 ? "" : ",") + core::csv_cell(table.columns[c].name);
  text += "\n";
  for (std::size_t i = 0; i < table.rows; ++i) {
    const ExportRow row = table.row(i);
    if (table.shape == TableShape::kPoint) {
      const auto* position = std::get_if<core::LonLat>(&row.shape);
      text += position == nullptr ? ","
                                  : core::format_number(seven_decimals(position->lon)) + "," +
                                        core::format_number(seven_decimals(position->lat));
      text += ",";
    } else if (table.shape != TableShape::kNone) {
      text += core::csv_cell(wkt_of(row.shape)) + ",";
    }
    for (std::size_t c = 0; c < row.cells.size(); ++c) text += (c == 0 ? "" : ",") + csv_text(row.cells[c]);
    text += "\n";
  }
  write_whole(target, text);
  if (core::read_csv_file(target.temporary(), {.separator = ','}).rows.size() != table.rows)
    throw target.failure("the file does not hold all rows when read again");
  write_whole(dictionary, dictionary_of(table));
  dictionary.commit();
}

}  // namespace brookmark::geodata
