#include <algorithm>
#include <cmath>

#include "core/base/text.hpp"
#include "core/network/box_index_internal.hpp"
#include "core/network/channel_lines_internal.hpp"
#include "core/network/lake_passages_internal.hpp"

namespace brookmark::core {
namespace {

// A node at which channels only end, or only begin.
struct OpenEnd {
  std::uint32_t node = 0;
  bool ends = false;
  ReachIndex reach;
  LonLat position;
};

std::vector<OpenEnd> open_ends(const DrawnChannels& drawn) {
  struct Node {
    bool arrives = false, leaves = false;
    OpenEnd end;
  };
  std::vector<Node> nodes(drawn.node_count);
  for (std::size_t e = 0; e < drawn.edges.size(); ++e) {
    const GraphEdge& edge = drawn.graph_edges[e];
    const ChannelEdge& channel = drawn.edges[e];
    const bool both = drawn.two_way[e] != 0;
    Node& from = nodes[edge.from];
    from.leaves = true;
    from.arrives = from.arrives || both;
    from.end = {edge.from, false, channel.reach, channel.line.front()};
    Node& to = nodes[edge.to];
    to.arrives = true;
    to.leaves = to.leaves || both;
    to.end = {edge.to, true, channel.reach, channel.line.back()};
  }
  std::vector<OpenEnd> ends;
  for (const Node& node : nodes)
    if (node.arrives != node.leaves) ends.push_back(node.end);
  return ends;
}

// Metres in the plane from a place to the nearest shore.
double shore_m(const MultiPolygon& shape, const LocalFrame& frame, PlanePoint place) {
  double nearest = HUGE_VAL;
  for (const Polygon& polygon : shape)
    for (const Line& ring : polygon.rings) {
      if (ring.empty()) continue;
      PlanePoint before = frame.to_plane(ring.front());
      for (const LonLat corner : ring) {
        const PlanePoint here = frame.to_plane(corner);
        nearest =
            std::min(nearest, squared_m(place, between(before, here, nearest_share(before, here, place))));
        before = here;
      }
    }
  return std::sqrt(nearest);
}

std::string water_words(const Water& water) {
  return water.name.empty() ? std::string("a ") + water_kind_name(water.kind) : water.name;
}

ChannelFinding finding(ChannelFault fault, const OpenEnd& inlet, std::string text) {
  ChannelFinding f;
  f.fault = fault;
  f.reach = inlet.reach;
  f.position = inlet.position;
  f.text = std::move(text);
  return f;
}

}  // namespace

std::vector<LakePassage> lake_passages(const DrawnChannels& drawn, std::span<const Water> waters,
                                       const LocalFrame& frame, double tolerance_m, const ReachLabel& label,
                                       ChannelFindings& findings) {
  std::vector<LakePassage> passages;
  const bool any_still = std::any_of(waters.begin(), waters.end(), [](const Water& w) {
    return flow_of(w.kind) == Flow::kStill && !w.shape.empty();
  });
  if (!any_still) return passages;
  const std::vector<OpenEnd> ends = open_ends(drawn);
  std::vector<PlaneBox> boxes;
  boxes.reserve(ends.size());
  for (const OpenEnd& end : ends) boxes.push_back(grown(frame.to_plane(end.position), 0));
  const BoxIndex index(boxes);
  for (const Water& water : waters) {
    const auto bounds = bounds_of(water.shape);
    if (flow_of(water.kind) != Flow::kStill || !bounds) continue;
    PlaneBox area = grown(frame.to_plane({bounds->min_lon, bounds->min_lat}), tolerance_m);
    for (const Polygon& polygon : water.shape)
      for (const Line& ring : polygon.rings)
        for (const LonLat corner : ring) area = joined(area, grown(frame.to_plane(corner), tolerance_m));
    std::vector<std::uint32_t> here;
    index.visit(area, [&](std::uint32_t e) {
      if (contains(water.shape, ends[e].position) ||
          shore_m(water.shape, frame, frame.to_plane(ends[e].position)) <= tolerance_m)
        here.push_back(e);
    });
    std::sort(here.begin(), here.end());
    const auto first_outlet =
        std::stable_partition(here.begin(), here.end(), [&](std::uint32_t e) { return ends[e].ends; });
    for (auto in = here.begin(); in != first_outlet; ++in) {
      const OpenEnd& inlet = ends[*in];
      if (first_outlet == here.end())
        findings.push_back(finding(ChannelFault::kLakeWithoutExit, inlet,
                                   label(inlet.reach) + " runs into " + water_words(water) +
                                       ", and no channel begins there; its way ends in the lake."));
      for (auto out = first_outlet; out != here.end(); ++out) {
        const OpenEnd& outlet = ends[*out];
        passages.push_back({inlet.node, outlet.node, inlet.reach, {inlet.position, outlet.position}});
        ChannelFinding f = finding(ChannelFault::kThroughLake, inlet,
                                   label(inlet.reach) + " is led through " + water_words(water) + " to " +
                                       label(outlet.reach) + " at " + place_words(outlet.position) +
                                       ", by a straight line.");
        f.distance_m = geodesic_m(inlet.position, outlet.position);
        findings.push_back(std::move(f));
      }
    }
  }
  return passages;
}

}  // namespace brookmark::core
