#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "core/base/text.hpp"
#include "geodata/export_writers_internal.hpp"

namespace brookmark::geodata {

namespace {

using Json = nlohmann::ordered_json;

Json json_value(const Cell& cell) {
  if (const auto* text = std::get_if<std::string>(&cell)) return *text;
  if (const auto* number = std::get_if<double>(&cell)) return *number;
  if (const auto* integer = std::get_if<std::int64_t>(&cell)) return *integer;
  if (const auto* flag = std::get_if<bool>(&cell)) return *flag;
  if (std::holds_alternative<std::monostate>(cell)) return nullptr;
  return cell_text(cell);
}

std::string dump(const Json& json) {
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

Json position_json(core::LonLat place) {
  return {seven_decimals(place.lon), seven_decimals(place.lat)};
}

Json line_json(const core::Line& line) {
  Json points = Json::array();
  for (const core::LonLat place : line) points.push_back(position_json(place));
  return points;
}

// Twice the area, positive where the ring turns to the left.
double turning(const core::Line& ring) {
  double sum = 0;
  for (std::size_t i = 1; i < ring.size(); ++i)
    sum += (ring[i - 1].lon - ring[0].lon) * (ring[i].lat - ring[0].lat) -
           (ring[i].lon - ring[0].lon) * (ring[i - 1].lat - ring[0].lat);
  return sum;
}

// Outer rings turn to the left and holes to the right (RFC 7946, section 3.1.6).
Json ring_json(core::Line ring, bool outer) {
  if ((turning(ring) < 0) == outer) std::reverse(ring.begin(), ring.end());
  return line_json(ring);
}

Json geometry_json(const core::Shape& shape) {
  if (const auto* place = std::get_if<core::LonLat>(&shape))
    return {{"type", "Point"}, {"coordinates", position_json(*place)}};
  if (const auto* lines = std::get_if<std::vector<core::Line>>(&shape))
    return {{"type", "LineString"}, {"coordinates", line_json(lines->front())}};
  if (const auto* polygons = std::get_if<core::MultiPolygon>(&shape)) {
    Json parts = Json::array();
    for (const core::Polygon& polygon : *polygons) {
      Json rings = Json::array();
      for (std::size_t r = 0; r < polygon.rings.size(); ++r)
        rings.push_back(ring_json(polygon.rings[r], r == 0));
      parts.push_back(std::move(rings));
    }
    return {{"type", "MultiPolygon"}, {"coordinates", std::move(parts)}};
  }
  return nullptr;  // an unlocated feature (RFC 7946, section 3.2)
}

Json feature_json(const ExportTable& table, const ExportRow& row) {
  Json feature;
  feature["type"] = "Feature";
  feature["id"] = json_value(row.cells.front());
  feature["geometry"] = geometry_json(row.shape);
  Json properties = Json::object();
  for (std::size_t c = 0; c < row.cells.size(); ++c)
    properties[table.columns[c].name] = json_value(row.cells[c]);
  feature["properties"] = std::move(properties);
  return feature;
}

std::string layer_members(const ExportTable& table) {
  return ",\n\"layer\":" + dump(table.name) + ",\n\"layer_description\":" + dump(table.description);
}

// `members` stand before the features, each after a comma.
void write_collection(const ExportTable& table, const std::string& members, const TargetFile& target) {
  std::string text = "{\"type\":\"FeatureCollection\"" + members + ",\n\"features\":[";
  for (std::size_t i = 0; i < table.rows; ++i)
    text += (i == 0 ? "\n" : ",\n") + dump(feature_json(table, table.row(i)));
  text += "\n]}\n";
  write_whole(target, text);
  if (table.rows > 0) expect_features(target, {}, table.rows);
}

}  // namespace

double seven_decimals(double degrees) {
  return std::round(degrees * 1e7) / 1e7;
}

std::string cell_text(const Cell& cell) {
  if (const auto* text = std::get_if<std::string>(&cell)) return *text;
  if (const auto* number = std::get_if<double>(&cell)) return core::format_number(*number);
  if (const auto* integer = std::get_if<std::int64_t>(&cell)) return std::to_string(*integer);
  if (const auto* flag = std::get_if<bool>(&cell)) return *flag ? "true" : "false";
  if (const auto* date = std::get_if<core::Date>(&cell)) return core::format_date(*date);
  if (const auto* utc = std::get_if<UtcText>(&cell)) return utc->iso;
  return {};
}

void write_geojson(const ExportSource& source, const ExportTable& table, const SurveyTableWords& words,
                   const TargetFile& target) {
  // Foreign members (RFC 7946, section 6.1): readers that do not know them pass over them.
  const ExportTable survey = survey_table(source, words);
  const ExportRow about = survey.row(0);
  std::string members = layer_members(table);
  for (std::size_t c = 0; c < about.cells.size(); ++c)
    members += ",\n\"" + std::string(survey.columns[c].name) + "\":" + dump(json_value(about.cells[c]));
  write_collection(table, members, target);
}

void write_geojson_table(const ExportTable& table, const TargetFile& target) {
  write_collection(table, layer_members(table), target);
}

}  // namespace brookmark::geodata
