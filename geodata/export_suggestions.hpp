// Why: where to go next is taken along on a hand-held receiver, or looked at in a desktop GIS with the landowner's map below it.
// Use: export_suggestions(suggestions, snapshot, "next.gpx", {});
#pragma once

#include <filesystem>

#include "core/design/suggestion.hpp"
#include "geodata/export.hpp"

namespace brookmark::geodata {

// Format from the ending: .gpkg (one layer "suggestions"), .geojson (RFC 7946), .gpx (waypoints, the reason and the reminder as
// description) or .csv, in WGS 84; of the options only
// `overwrite` is looked at. `snapshot` is that of the survey. Throws as export_survey does; Error(kBadUse) where there is nothing to write.
void export_suggestions(const core::Suggestions& suggestions, const core::Snapshot& snapshot,
                        const std::filesystem::path& target, const ExportOptions& options);

}  // namespace brookmark::geodata
