#include "geodata/export_suggestions.hpp"

#include <vector>

#include "core/base/text.hpp"
#include "geodata/export_writers_internal.hpp"
#include "geodata/vector_input.hpp"

namespace brookmark::geodata {

namespace {

Cell code_cell(const std::optional<core::NearPlace>& place) {
  if (!place) return {};
  return text_cell(place->code);
}

Cell metres_cell(const std::optional<core::NearPlace>& place) {
  if (!place) return {};
  return place->distance_m;
}

// What it stands for, in metres of channel or in waters: never both in one column.
Cell share_cell(const core::Suggestion& suggestion, bool of_waters) {
  if (suggestion.spot.water.has_value() != of_waters) return {};
  return number_cell(suggestion.stands_for);
}

Cell land_cell(std::span<const UpstreamArea> areas, std::size_t i) {
  if (i >= areas.size()) return {};
  return number_cell(areas[i].km2);
}

std::string note_of(const core::Suggestion& suggestion, std::span<const UpstreamArea> areas, std::size_t i) {
  std::string note = suggestion.note;
  if (i < areas.size()) core::append_note(note, areas[i].note);
  return note;
}

ExportTable suggestions_table(const core::Suggestions& suggestions, std::span<const UpstreamArea> areas) {
  ExportTable table;
  table.name = "suggestions";
  table.description =
      "Suggested sampling points, each with its reason. Nobody has looked at them on the ground. " +
      std::string(core::kSpotReminder);
  table.shape = TableShape::kPoint;
  table.columns = {
      {"suggestion", ColumnType::kText, "code proposed for the site"},
      {"purpose", ColumnType::kText, "spread, gap, bracket, narrow or variety"},
      {"water", ColumnType::kText, "what it lies on"},
      {"reason", ColumnType::kText, "why there"},
      {"stratum", ColumnType::kText, "part of a spread; empty without parts"},
      {"chance", ColumnType::kNumber, "of being chosen, 0 to 1; empty unless spread"},
      {"weight", ColumnType::kNumber, "1 / chance; empty unless spread"},
      {"stands_for_m", ColumnType::kNumber,
       "metres of channel of which it speaks beside the sites that are there; empty unless spread "
       "over channels"},
      {"stands_for_waters", ColumnType::kNumber,
       "waters of which it speaks beside the sites that are there; empty unless spread over waters"},
      {"outfall_above", ColumnType::kText, "nearest outfall upstream; empty: none"},
      {"outfall_above_m", ColumnType::kNumber, "metres along the channel"},
      {"outfall_below", ColumnType::kText, "nearest outfall downstream; empty: none"},
      {"outfall_below_m", ColumnType::kNumber, "metres along the channel"},
      {"site_above", ColumnType::kText, "nearest site upstream; empty: none"},
      {"site_above_m", ColumnType::kNumber, "metres along the channel"},
      {"site_below", ColumnType::kText, "nearest site downstream; empty: none"},
      {"site_below_m", ColumnType::kNumber, "metres along the channel"},
      {"nearest_site", ColumnType::kText, "nearest site in a straight line; empty: none"},
      {"nearest_site_straight_m", ColumnType::kNumber, "metres in a straight line"},
      {"upstream_m", ColumnType::kNumber,
       "metres of channel that drain to it; empty: on no channel, or not known"},
      {"upstream_km2", ColumnType::kNumber,
       "land that drains to it, by the terrain model; empty: none was given, or see note"},
      {"stream_order", ColumnType::kInteger, "of the channel; empty: on no channel"},
      {"catchment", ColumnType::kText, "smallest catchment that holds it; empty: none"},
      {"catchment_km2", ColumnType::kNumber, "its area; empty: none"},
      {"note", ColumnType::kText, "what is missing, and why"},
      {"reminder", ColumnType::kText, "what to do before going"}};
  table.rows = suggestions.list.size();
  table.row = [&suggestions, areas](std::size_t i) {
    const core::Suggestion& s = suggestions.list[i];
    ExportRow row;
    row.shape = s.spot.position;
    row.cells = {text_cell(s.code),
                 text_cell(core::purpose_name(s.purpose)),
                 text_cell(s.place),
                 text_cell(s.reason),
                 text_cell(s.stratum),
                 number_cell(s.chance),
                 number_cell(s.weight),
                 share_cell(s, false),
                 share_cell(s, true),
                 code_cell(s.outfall_above),
                 metres_cell(s.outfall_above),
                 code_cell(s.outfall_below),
                 metres_cell(s.outfall_below),
                 code_cell(s.site_above),
                 metres_cell(s.site_above),
                 code_cell(s.site_below),
                 metres_cell(s.site_below),
                 code_cell(s.nearest_site),
                 metres_cell(s.nearest_site),
                 number_cell(s.upstream_m),
                 land_cell(areas, i),
                 Cell{},
                 text_cell(s.catchment),
                 number_cell(s.catchment_km2),
                 text_cell(note_of(s, areas, i)),
                 text_cell(s.reminder)};
    if (s.stream_order) row.cells[21] = static_cast<std::int64_t>(*s.stream_order);
    return row;
  };
  return table;
}

}  // namespace

void check_suggestions_ending(const std::filesystem::path& target) {
  const std::string ending = core::to_lower_ascii(target.extension().string());
  if (ending != ".gpkg" && ending != ".geojson" && ending != ".csv" && ending != ".gpx")
    throw Error(ErrorCode::kBadUse, "the ending says the format; use .gpkg, .geojson, .csv or .gpx",
                target.string());
}

void export_suggestions(const core::Suggestions& suggestions, const core::Snapshot& snapshot,
                        const std::filesystem::path& target_path, const ExportOptions& options,
                        std::span<const UpstreamArea> areas) {
  check_suggestions_ending(target_path);
  const std::string ending = core::to_lower_ascii(target_path.extension().string());
  if (suggestions.list.empty())
    throw Error(ErrorCode::kBadUse, "there is no suggestion to write", target_path.string());
  start_geodata();
  TargetFile target(target_path, options.overwrite);
  const ExportTable table = suggestions_table(suggestions, areas);
  if (ending == ".gpkg") {
    write_gpkg_layers(std::span(&table, 1), ExportFrame("EPSG:4326", snapshot, target_path), target);
  } else if (ending == ".geojson") {
    write_geojson_table(table, target);
  } else if (ending == ".csv") {
    write_csv(table, options.overwrite, target_path, target);
  } else {
    std::vector<Waypoint> waypoints;
    for (std::size_t i = 0; i < suggestions.list.size(); ++i) {
      const core::Suggestion& s = suggestions.list[i];
      const std::string why = std::string(core::purpose_name(s.purpose)) + ": " + s.reason;
      std::string about = (s.place.empty() ? "" : s.place + ". ") + why;
      std::string land;
      if (i < areas.size() && areas[i].km2)
        land = core::format_fixed(*areas[i].km2, 2) + " km\u00b2 of land drain to it";
      for (const std::string& more : {core::around_words(s), land, note_of(s, areas, i)})
        if (!more.empty()) about += ". " + more;
      waypoints.push_back({s.code, about + ". " + s.reminder, s.spot.position, why});
    }
    write_waypoints(waypoints, target);
  }
  target.commit();
}

}  // namespace brookmark::geodata
