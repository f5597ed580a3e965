#include <cmath>
#include <nlohmann/json.hpp>

#include "core/base/csv.hpp"
#include "core/base/text.hpp"
#include "geodata/export_writers_internal.hpp"

namespace brookmark::geodata {

namespace {

using Json = nlohmann::ordered_json;

// A spreadsheet runs a cell that begins like a formula. An apostrophe in front makes it text; plain numbers
// stay.
std::string not_a_formula(const std::string& text) {
  constexpr std::string_view kFormulaStarts = "=+-@\t\r\n";
  if (text.empty() || kFormulaStarts.find(text.front()) == std::string_view::npos) return text;
  if (core::parse_number(text)) return text;
  return "'" + text;
}

std::string csv_text(const Cell& cell) {
  const auto* text = std::get_if<std::string>(&cell);
  return core::csv_cell(text != nullptr ? not_a_formula(*text) : cell_text(cell));
}

Json json_value(const Cell& cell) {
  if (const auto* text = std::get_if<std::string>(&cell)) return *text;
  if (const auto* number = std::get_if<double>(&cell)) return *number;
  if (const auto* integer = std::get_if<std::int64_t>(&cell)) return *integer;
  if (const auto* flag = std::get_if<bool>(&cell)) return *flag;
  if (std::holds_alternative<std::monostate>(cell)) return nullptr;
  return cell_text(cell);
}

// RFC 7946, section 11.2: seven decimals are about a centimetre, and no survey is better than that.
double seven_decimals(double degrees) {
  return std::round(degrees * 1e7) / 1e7;
}

std::string dump(const Json& json) {
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

Json feature_json(const ExportTable& table, const ExportRow& row) {
  Json feature;
  feature["type"] = "Feature";
  feature["id"] = json_value(row.cells.front());
  feature["geometry"] = nullptr;  // an unlocated feature (RFC 7946, section 3.2)
  if (const auto* position = std::get_if<core::LonLat>(&row.shape))
    feature["geometry"] = {{"type", "Point"},
                           {"coordinates", {seven_decimals(position->lon), seven_decimals(position->lat)}}};
  Json properties = Json::object();
  for (std::size_t c = 0; c < row.cells.size(); ++c)
    properties[table.columns[c].name] = json_value(row.cells[c]);
  feature["properties"] = std::move(properties);
  return feature;
}

}  // namespace

std::string cell_text(const Cell& cell) {
  if (const auto* text = std::get_if<std::string>(&cell)) return *text;
  if (const auto* number = std::get_if<double>(&cell)) return core::format_number(*number);
  if (const auto* integer = std::get_if<std::int64_t>(&cell)) return std::to_string(*integer);
  if (const auto* flag = std::get_if<bool>(&cell)) return *flag ? "true" : "false";
  if (const auto* date = std::get_if<core::Date>(&cell)) return core::format_date(*date);
  if (const auto* utc = std::get_if<UtcText>(&cell)) return utc->iso;
  return {};
}

void write_geojson(const ExportSource& source, const std::string& exported_utc, const TargetFile& target) {
  const ExportTable table = sites_table(source);
  std::string text = "{\"type\":\"FeatureCollection\"";
  // Foreign members (RFC 7946, section 6.1): readers that do not know them pass over them.
  const ExportTable survey = survey_table(source, exported_utc);
  const ExportRow about = survey.row(0);
  for (std::size_t c = 0; c < about.cells.size(); ++c)
    text += ",\n\"" + std::string(survey.columns[c].name) + "\":" + dump(json_value(about.cells[c]));
  text += ",\n\"features\":[";
  for (std::size_t i = 0; i < table.rows; ++i)
    text += (i == 0 ? "\n" : ",\n") + dump(feature_json(table, table.row(i)));
  text += "\n]}\n";
  write_whole(target, text);
  if (table.rows > 0) expect_features(target, {}, table.rows);
}

void write_csv(const ExportSource& source, const TargetFile& target) {
  const ExportTable table = sites_table(source);
  std::string text = "longitude,latitude";
  for (const Column& column : table.columns) text += "," + core::csv_cell(column.name);
  text += "\n";
  for (std::size_t i = 0; i < table.rows; ++i) {
    const ExportRow row = table.row(i);
    if (const auto* position = std::get_if<core::LonLat>(&row.shape))
      text += core::format_number(seven_decimals(position->lon)) + "," +
              core::format_number(seven_decimals(position->lat));
    else
      text += ",";
    for (const Cell& cell : row.cells) text += "," + csv_text(cell);
    text += "\n";
  }
  write_whole(target, text);
  if (core::read_csv_file(target.temporary(), {.separator = ','}).rows.size() != table.rows)
    throw target.failure("the file does not hold all rows when read again");
}

}  // namespace brookmark::geodata
