#include <algorithm>

#include "core/analysis/catchment_outline_internal.hpp"
#include "core/analysis/catchments.hpp"

namespace brookmark::core {
namespace {

// The parts of one edge inside an outline, put behind those found already.
void cut_edge(const CatchmentOutline& outline, const Line& line, std::span<const double> along_m,
              std::uint32_t edge, std::vector<EdgePart>& inside) {
  const std::size_t before = inside.size();
  const auto take = [&](double from_m, double to_m) {
    if (inside.size() > before && inside.back().to_m == from_m)
      inside.back().to_m = to_m;
    else
      inside.push_back({edge, from_m, to_m});
  };
  for (std::size_t i = 1; i < line.size(); ++i) {
    const LonLat a = line[i - 1], b = line[i];
    std::vector<double> cuts = outline.crossings(a, b);
    cuts.push_back(1);
    double from = 0;
    for (const double to : cuts) {
      const double middle = (from + to) / 2;
      if (to > from && outline.holds({a.lon + middle * (b.lon - a.lon), a.lat + middle * (b.lat - a.lat)})) {
        const double step_m = along_m[i] - along_m[i - 1];
        take(along_m[i - 1] + from * step_m, to == 1 ? along_m[i] : along_m[i - 1] + to * step_m);
      }
      from = to;
    }
  }
}

PlaneBox box_of(const Line& line) {
  PlaneBox box{line[0].lon, line[0].lat, line[0].lon, line[0].lat};
  for (const LonLat p : line)
    box = {std::min(box.min_x, p.lon), std::min(box.min_y, p.lat), std::max(box.max_x, p.lon),
           std::max(box.max_y, p.lat)};
  return box;
}

}  // namespace

CatchmentChannels channels_in_catchments(const Snapshot& snapshot, const ChannelNetwork& network) {
  CatchmentChannels channels;
  channels.inside.resize(snapshot.catchments.size());
  if (snapshot.catchments.empty()) return channels;
  std::vector<PlaneBox> boxes;
  for (const ChannelEdge& edge : network.edges()) boxes.push_back(box_of(edge.line));
  const BoxIndex index(boxes);
  for (std::size_t c = 0; c < snapshot.catchments.size(); ++c) {
    const CatchmentOutline outline(snapshot.catchments[c].shape);
    if (!outline.bounds()) continue;
    const BoundingBox& bounds = *outline.bounds();
    std::vector<std::uint32_t> near;
    index.visit({bounds.min_lon, bounds.min_lat, bounds.max_lon, bounds.max_lat},
                [&](std::uint32_t e) { near.push_back(e); });
    std::sort(near.begin(), near.end());
    for (const std::uint32_t e : near) {
      const Line& line = network.edges()[e].line;
      const std::span<const double> along_m = network.along_m(e);
      if (outline.border_touches(boxes[e]))
        cut_edge(outline, line, along_m, e, channels.inside[c]);
      else if (outline.holds(line.front()))
        channels.inside[c].push_back({e, 0, along_m.back()});
    }
  }
  return channels;
}

}  // namespace brookmark::core
