// Why: what was found on the terrain goes into any GDAL format, to be looked at, corrected, and imported into a
// survey (`import SURVEY watercourses FILE`, `import SURVEY catchments FILE`).
// Use: write_streams("streams.gpkg", dem, flow, reaches, {});
//
// The format comes from the ending. Coordinates are those of the terrain model, but longitude and latitude in formats
// that know nothing else (GeoJSON, KML). Written under a temporary name beside the target and renamed: the target is
// whole or untouched.
#pragma once

#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "geodata/terrain/catchments.hpp"
#include "geodata/terrain/dem.hpp"
#include "geodata/terrain/streams.hpp"

namespace brookmark::geodata {

struct TerrainOutputOptions {
  bool overwrite = false;  // false: an existing target is refused
  Progress progress = {};
};

// Throws now what writing there would throw later: kBadUse (target exists, is one of `inputs` by whatever name or link,
// ending of no format, the same file twice), kReadOnly, kLocked. An empty path is none.
void check_terrain_targets(const std::vector<std::filesystem::path>& vector_layers,
                           const std::filesystem::path& hillshade,
                           const std::vector<std::filesystem::path>& inputs, bool overwrite);

// Columns: reach, downstream, length_m, up_cells (drain through its end). Lines go through the centres of cells; corners on a straight
// way are left out. Throws Error: kBadUse (ending of no format, target exists), kReadOnly, kLocked, kNoSpace,
// kStorage; Stopped.
void write_streams(const std::filesystem::path& target, const DemFile& dem, const FlowGrid& flow,
                   std::span<const StreamReach> reaches, const TerrainOutputOptions& options);

struct NamedCatchment {
  std::string name, inside;                 // inside: the next outlet downstream; may be empty
  std::vector<std::size_t> sub_catchments;  // taken together
  std::size_t cells = 0;
  double area_m2 = 0;
};

// Columns: catchment, inside, cells, area_km2. One multi-polygon each. Throws as write_streams does.
void write_catchments(const std::filesystem::path& target, const DemFile& dem, const CatchmentCells& cells,
                      std::span<const NamedCatchment> catchments, const TerrainOutputOptions& options);

// A GeoTIFF of 0 (no height) and 1 to 255, light from the north-west at 45 degrees. Reads and writes a few rows at a
// time. Throws as write_streams does, and as DemFile::read does.
void write_hillshade(const std::filesystem::path& target, const DemFile& dem,
                     const TerrainOutputOptions& options);

}  // namespace brookmark::geodata
