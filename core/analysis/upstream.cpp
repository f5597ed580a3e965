#include "core/analysis/upstream.hpp"

#include <algorithm>

#include "core/base/text.hpp"
#include "core/network/channel_walk.hpp"

namespace brookmark::core {
namespace {

// The parts of edges that the walk covers: every edge into a node reached, and the own edge above the place.
std::vector<EdgePart> parts_above(const ChannelNetwork& network, const ChannelWalk& walk,
                                  const ChannelPoint& here) {
  const RiverGraph& graph = network.graph();
  std::vector<std::uint32_t> whole;
  for (const std::uint32_t node : walk.nodes())
    walk.each_edge_from(node, [&](std::uint32_t edge) { whole.push_back(edge); });
  std::sort(whole.begin(), whole.end());
  whole.erase(std::unique(whole.begin(), whole.end()), whole.end());
  std::vector<EdgePart> parts;
  parts.reserve(whole.size() + 1);
  for (const std::uint32_t edge : whole) parts.push_back({edge, 0, graph.edges()[edge].length_m});
  if (!node_at(network, here) && !std::binary_search(whole.begin(), whole.end(), here.edge))
    parts.push_back(
        {here.edge, 0, graph.is_two_way(here.edge) ? graph.edges()[here.edge].length_m : here.along_m});
  std::sort(parts.begin(), parts.end(), [](const EdgePart& a, const EdgePart& b) { return a.edge < b.edge; });
  return parts;
}

// How much of a part of an edge lies within the parts, which are sorted by edge and hold each once.
double common_m(const std::vector<EdgePart>& parts, const EdgePart& part) {
  const auto at = std::lower_bound(parts.begin(), parts.end(), part.edge,
                                   [](const EdgePart& p, std::uint32_t edge) { return p.edge < edge; });
  if (at == parts.end() || at->edge != part.edge) return 0;
  return std::max(0.0, std::min(at->to_m, part.to_m) - std::max(at->from_m, part.from_m));
}

void take_catchments(const CatchmentNesting& nesting, const CatchmentChannels& inside, Upstream& up) {
  const std::size_t count = std::min(nesting.parent.size(), inside.inside.size());
  std::vector<double> within_m(count, 0);
  std::vector<bool> drains(count, false);
  for (std::size_t c = 0; c < count; ++c) {
    double total_m = 0;
    for (const EdgePart& part : inside.inside[c]) {
      total_m += part.to_m - part.from_m;
      within_m[c] += common_m(up.parts, part);
    }
    // Most of it, too: a catchment with a short channel must not slip in by the slack.
    drains[c] = within_m[c] > 0 && total_m - within_m[c] <= std::min(kOutletSlackM, within_m[c]);
  }
  double area_m2 = 0;
  for (std::size_t c = 0; c < count; ++c) {
    bool part_of_larger = false;
    for (CatchmentIndex p = nesting.parent[c]; p.has_value() && !part_of_larger;
         p = nesting.parent[p.value()])
      part_of_larger = drains[p.value()];
    if (!drains[c] || part_of_larger) continue;
    up.catchments.push_back({CatchmentIndex(c), nesting.area_m2[c]});
    area_m2 += nesting.area_m2[c];
    up.covered_m += within_m[c];
  }
  if (!up.catchments.empty()) up.area_m2 = area_m2;
}

void take_note(Upstream& up) {
  if (up.here->snap_m > kSnapToMentionM)
    append_note(up.note, "the place was moved " + format_fixed(up.here->snap_m, 0) + " m to the channel");
  if (up.two_way_m > 0)
    append_note(up.note,
                format_fixed(up.two_way_m, 0) +
                    " m of the channel flow either way, and drain here only while the water runs so");
  const double total_m = up.channel_m + up.lake_m;
  if (!up.area_m2)
    append_note(up.note, "no catchment in the survey drains here as a whole, so the area is not known");
  else if (total_m - up.covered_m > kOutletSlackM)
    append_note(up.note, "the area is that of the catchments drawn; " +
                             format_fixed(total_m - up.covered_m, 0) + " m of the channel lie outside them");
}

template <class Found>
void nearest_first(std::vector<Found>& found) {
  std::stable_sort(found.begin(), found.end(),
                   [](const Found& a, const Found& b) { return a.distance_m < b.distance_m; });
}

}  // namespace

ChannelPlaces places_on_channels(const Snapshot& snapshot, const ChannelNetwork& network) {
  ChannelPlaces places;
  places.sites.resize(snapshot.sites.size());
  for (std::size_t i = 0; i < snapshot.sites.size(); ++i)
    if (is_placed(snapshot.sites.position[i]))
      places.sites[i] =
          network.snap(snapshot.sites.position[i], snap_limit_m(snapshot.sites.kind[i], network.options()));
  for (const Outfall& outfall : snapshot.outfalls) places.outfalls.push_back(network.snap(outfall.position));
  return places;
}

Upstream upstream_of(const Snapshot& snapshot, const ChannelNetwork& network, const ChannelPlaces& places,
                     const CatchmentNesting& nesting, const CatchmentChannels& inside, LonLat from,
                     std::optional<double> max_snap_m) {
  Upstream up;
  if (is_placed(from)) up.here = network.snap(from, max_snap_m);
  if (!up.here) {
    up.note = snapshot.reaches.empty() ? "the survey has no watercourses"
              : !is_placed(from)       ? "the place is not known"
                                       : "the place is on no channel";
    return up;
  }
  ChannelWalk walk(network);
  walk.start(*up.here, Direction::kUpstream);
  for (std::size_t i = 0; i < places.sites.size(); ++i)
    if (places.sites[i])
      if (const auto distance_m = walk.distance_m(*places.sites[i]))
        up.sites.push_back({SiteIndex(i), *distance_m});
  for (std::size_t i = 0; i < places.outfalls.size(); ++i)
    if (places.outfalls[i])
      if (const auto distance_m = walk.distance_m(*places.outfalls[i]))
        up.outfalls.push_back({OutfallIndex(i), *distance_m});
  nearest_first(up.sites);
  nearest_first(up.outfalls);
  up.parts = parts_above(network, walk, *up.here);
  for (const EdgePart& part : up.parts) {
    const double length_m = part.to_m - part.from_m;
    const bool lake = network.edges()[part.edge].kind == EdgeKind::kThroughLake;
    (lake ? up.lake_m : up.channel_m) += length_m;
    if (!lake && network.graph().is_two_way(part.edge)) up.two_way_m += length_m;
  }
  take_catchments(nesting, inside, up);
  take_note(up);
  return up;
}

}  // namespace brookmark::core
