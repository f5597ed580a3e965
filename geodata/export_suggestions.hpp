// Why: where to go next is taken along on a hand-held receiver, or looked at in a desktop GIS with the landowner's map below it.
// Use: export_suggestions(suggestions, snapshot, "next.gpx", {});
#pragma once

#include <filesystem>
#include <span>

#include "core/design/suggestion.hpp"
#include "geodata/export.hpp"
#include "geodata/terrain/upstream_area.hpp"

namespace brookmark::geodata {

// Format from the ending: .gpkg (one layer "suggestions"), .geojson (RFC 7946), .gpx (waypoints: the reason as comment; reason, what lies
// around and the reminder as description) or .csv, in WGS 84; of the options only `overwrite` is looked at. `snapshot` is that of the
// survey. `areas`: the land upstream of each, or empty where nobody asked a terrain model. Throws as export_survey does; Error(kBadUse) where there is nothing to write.
// Throws Error(kBadUse) for an ending that is none of these: before the work.
void check_suggestions_ending(const std::filesystem::path& target);
void export_suggestions(const core::Suggestions& suggestions, const core::Snapshot& snapshot,
                        const std::filesystem::path& target, const ExportOptions& options,
                        std::span<const UpstreamArea> areas = {});

}  // namespace brookmark::geodata
