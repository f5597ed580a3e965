#include "geodata/terrain/overland.hpp"

#include <algorithm>
#include <cmath>

#include "core/base/text.hpp"

namespace brookmark::geodata {

OverlandWay overland_to_channel(const FlowGrid& flow, const DemFile& dem, core::LonLat from,
                                const core::ChannelNetwork& channels) {
  OverlandWay way;
  way.path.push_back(from);
  const auto at = dem.from_lonlat(from);
  std::optional<CellIndex> cell = at ? dem.place().cell_at(*at, flow.size) : std::nullopt;
  if (!cell) {
    way.note = "this place lies outside the terrain model";
    return way;
  }
  if (flow.upstream[*cell] == 0) {
    way.note = "the terrain model has no height at this place";
    return way;
  }
  for (; cell; cell = flow.downstream(*cell)) {
    const std::size_t row = *cell / flow.size.cols;
    const auto centre = dem.to_lonlat(dem.place().centre(row, *cell % flow.size.cols));
    if (!centre) break;
    way.path.push_back(*centre);
    const RowMetric& metric = flow.rows[row];
    if (const auto met = channels.snap(*centre, std::hypot(metric.width_m, metric.height_m))) {
      way.path.push_back(met->position);
      way.channel = met;
      break;
    }
  }
  way.path.erase(std::unique(way.path.begin(), way.path.end()), way.path.end());
  way.length_m = core::length_m(way.path);
  if (!way.channel) way.note = "over the ground the water leaves the terrain model before it meets a channel";
  return way;
}

std::vector<core::ChannelDistance> outfalls_over_ground(const OverlandWay& way,
                                                        const core::Snapshot& snapshot,
                                                        const core::ChannelNetwork& channels,
                                                        const core::DistanceQuery& query) {
  if (!way.channel) return {};
  core::DistanceQuery on = query;
  on.direction = core::Direction::kDownstream;
  if (on.within_m && *on.within_m < way.length_m) return {};
  if (on.within_m) *on.within_m -= way.length_m;
  auto distances = core::outfalls_from_point(snapshot, channels, way.channel->position, on);
  std::erase_if(distances, [](const core::ChannelDistance& answer) { return !answer.distance_m; });
  for (core::ChannelDistance& answer : distances) {
    answer.straight_m = core::geodesic_m(way.path.front(), snapshot.outfalls[answer.target].position);
    answer.snap_m.reset();
    *answer.distance_m += way.length_m;
    answer.path.insert(answer.path.begin(), way.path.begin(), way.path.end());
    answer.note = core::format_fixed(way.length_m, 0) + " m of it over the ground to the first channel" +
                  (answer.note.empty() ? "" : "; " + answer.note);
  }
  return distances;
}

}  // namespace brookmark::geodata
