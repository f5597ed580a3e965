// Why: what a partner opens in a desktop GIS: every layer explains itself, keys are UUIDs, times are UTC, and nothing is
// in it that may not leave. Written under a temporary name beside the target, synced and renamed, so the target is whole or
// untouched.
// Use: const auto handed = core::prepare_hand_over(snapshot, method, metric, {.cell_m = 1000});
//      export_survey(source_of(*handed), "out.gpkg", {.overwrite = true});
#pragma once

#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "core/network/channels.hpp"
#include "core/scoring/assessment.hpp"
#include "core/sharing/hand_over.hpp"

namespace brookmark::geodata {

// Everything an export reads: the survey that may leave, and what was worked out from that alone. All of it outlives the
// call.
struct ExportSource {
  const core::SharedSurvey& shared;
  const core::ScoreTable& scores;
  const core::Assessment& assessment;
  const core::CatchmentNesting& nesting;
  const core::ChannelNetwork& channels;
  const core::Snapshot& snapshot = shared.snapshot();
};
ExportSource source_of(const core::HandOver& handed);

struct ExportOptions {
  bool overwrite = false;  // false: an existing target is refused
  // Layers to write, by name; empty: all of them, or, where a format holds one layer, the sites.
  std::vector<std::string> only = {};
  std::string crs = "EPSG:4326";  // of the coordinates; other than WGS 84 for .gpkg and .fgb only
  std::string licence = {};       // words or an address; empty: that none was stated is said
  // "2024-06-01T12:00:00Z"; empty: the environment's SOURCE_DATE_EPOCH (seconds since 1970), else GDAL's OGR_CURRENT_DATE,
  // else this machine's clock. With a fixed clock the same survey gives the same bytes.
  std::string clock_utc = {};
};

// The layers that an export knows, in the order of the file: for --only and the dialog.
std::vector<std::string> export_layer_names();
// The endings and what they hold: {".gpkg", "GeoPackage: all layers"} ...
struct ExportFormat {
  const char* ending;
  const char* what;
};
std::vector<ExportFormat> export_formats();

// Format from the ending: .gpkg (all layers), .geojson (RFC 7946), .csv (with its data dictionary beside it: OUT.fields.csv),
// .fgb, .kml, .gpx (sites as waypoints), .zip (Darwin Core Archive). Every class stands beside its method, how that was
// confirmed, and the metric.
//
// Text cells of a CSV that a spreadsheet would run as a formula (first character = + - @, tab or line end,
// and not a plain number) get an apostrophe in front.
//
// Throws Error: kBadUse (unknown ending or layer, target exists, no such folder, a coordinate system that is not made for
// where the survey lies), kBadInput (unknown coordinate system), kReadOnly, kLocked (another program has the target open),
// kNoSpace, kStorage.
void export_survey(const ExportSource& source, const std::filesystem::path& target,
                   const ExportOptions& options);

}  // namespace brookmark::geodata
