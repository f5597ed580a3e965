#include "geodata/terrain/upstream_area.hpp"

#include "core/base/text.hpp"
#include "geodata/terrain/catchments.hpp"
#include "geodata/terrain/dem.hpp"
#include "geodata/terrain/streams.hpp"

namespace brookmark::geodata {

std::vector<UpstreamArea> upstream_areas(const std::filesystem::path& terrain,
                                         std::span<const core::LonLat> places, std::uint32_t threshold,
                                         const Progress& progress) {
  DemFile dem(terrain, {});
  const FlowGrid flow = route_flow(dem.read({}), dem.rows(), {.progress = progress});
  std::vector<UpstreamArea> areas(places.size());
  std::vector<CellIndex> outlets;
  std::vector<std::size_t> place_of;
  for (std::size_t i = 0; i < places.size(); ++i) {
    const auto at = dem.from_lonlat(places[i]);
    if (!at || !dem.place().cell_at(*at, dem.size())) {
      areas[i].note = "it lies outside the terrain model, so the land upstream is not known";
      continue;
    }
    const auto cell = nearest_channel_cell(flow, dem.place(), *at, threshold, kOutletSnapM);
    if (!cell) {
      areas[i].note = "no channel of " + std::to_string(threshold) + " cells of the terrain model within " +
                      core::format_fixed(kOutletSnapM, 0) + " m, so the land upstream is not known";
      continue;
    }
    outlets.push_back(cell->cell);
    place_of.push_back(i);
  }
  if (outlets.empty()) return areas;
  const CatchmentCells found = find_catchments(flow, outlets);
  for (std::size_t o = 0; o < outlets.size(); ++o)
    areas[place_of[o]].km2 = found.areas[o].whole_area_m2 / 1e6;
  return areas;
}

}  // namespace brookmark::geodata
