// Why: what a partner opens in a desktop GIS: every layer explains itself, keys are UUIDs, times are UTC.
// Written under a temporary name beside the target and renamed, so the target is whole or untouched.
#pragma once

#include <filesystem>
#include <functional>
#include <optional>
#include <string>

#include "core/network/channels.hpp"
#include "core/scoring/assessment.hpp"

namespace brookmark::geodata {

// Everything an export reads. All of it outlives the call.
struct ExportSource {
  const core::Snapshot& snapshot;
  const core::ScoreTable& scores;
  const core::Assessment& assessment;
  const core::CatchmentNesting& nesting;
  const core::ChannelNetwork& channels;
};

struct ExportOptions {
  bool overwrite = false;  // false: an existing target is refused
};

// Format from the ending: .gpkg (all layers), .geojson (sites with their latest class, RFC 7946), .csv (sites
// as a table), .gpx (sites as waypoints). Every class stands beside its method, how that was confirmed, and
// the metric. The time of export is the machine's, or GDAL's setting OGR_CURRENT_DATE where the bytes must
// not change.
//
// Text cells of a CSV that a spreadsheet would run as a formula (first character = + - @, tab or line end,
// and not a plain number) get an apostrophe in front.
//
// Throws Error: kBadUse (unknown ending, target exists, no such folder), kReadOnly, kLocked (another program
// has the target open), kNoSpace, kStorage.
void export_survey(const ExportSource& source, const std::filesystem::path& target,
                   const ExportOptions& options);

}  // namespace brookmark::geodata
