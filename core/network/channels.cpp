#include "core/network/channels.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "core/base/error.hpp"
#include "core/network/box_index_internal.hpp"
#include "core/network/channel_lines_internal.hpp"
#include "core/network/lake_passages_internal.hpp"

namespace brookmark::core {
namespace {

// A run of segments of one edge under one box: a box for each segment would take ten times the memory.
struct Chunk {
  std::uint32_t edge, begin, end;  // segment i leads from point i of the edge's line to i + 1
};
constexpr std::uint32_t kChunk = 16;

// A stretch of a line between two cuts, with its points' positions along it.
struct Stretch {
  Line line;
  std::vector<double> along_m;
  std::vector<PlanePoint> plane;
};

// Adds the place `along_m` on the line, unless the stretch stands there already.
void add_place(const ChannelLine& line, double along_m, Stretch& stretch) {
  const auto after = std::upper_bound(line.along_m.begin(), line.along_m.end(), along_m);
  const std::size_t i =
      std::min(static_cast<std::size_t>(after - line.along_m.begin()), line.along_m.size() - 1) - 1;
  const double step_m = line.along_m[i + 1] - line.along_m[i];
  const double share = step_m > 0 ? std::clamp((along_m - line.along_m[i]) / step_m, 0.0, 1.0) : 0;
  const LonLat position = between(line.points[i], line.points[i + 1], share);
  if (!stretch.line.empty() && stretch.line.back() == position) return;
  stretch.line.push_back(position);
  stretch.along_m.push_back(along_m);
  stretch.plane.push_back(between(line.plane[i], line.plane[i + 1], share));
}

void check_snap_limit(double limit_m) {
  if (!std::isfinite(limit_m) || limit_m < 0) {
    throw Error(ErrorCode::kBadUse, "The snapping distance must be a number of metres, zero or more.");
  }
}

Stretch cut_out(const ChannelLine& line, double begin_m, double end_m) {
  Stretch stretch;
  add_place(line, begin_m, stretch);
  const auto first = std::upper_bound(line.along_m.begin(), line.along_m.end(), begin_m);
  const auto last = std::lower_bound(line.along_m.begin(), line.along_m.end(), end_m);
  for (auto i = first; i < last; ++i) {
    const auto point = static_cast<std::size_t>(i - line.along_m.begin());
    if (stretch.line.back() == line.points[point]) continue;
    stretch.line.push_back(line.points[point]);
    stretch.along_m.push_back(*i);
    stretch.plane.push_back(line.plane[point]);
  }
  add_place(line, end_m, stretch);
  for (double& along_m : stretch.along_m) along_m -= begin_m;
  stretch.along_m.back() = end_m - begin_m;
  return stretch;
}

}  // namespace

struct ChannelNetwork::Impl {
  ChannelOptions options;
  RiverGraph graph;
  std::vector<ChannelEdge> edges;
  std::vector<std::vector<double>> along_m;  // per edge
  ChannelFindings joins;
  std::optional<LocalFrame> frame;
  std::vector<std::vector<PlanePoint>> plane;  // per edge
  std::vector<Chunk> chunks;
  BoxIndex index;  // of the chunks

  // The segment of a chunk that lies nearest to a place, and how near, squared.
  std::pair<std::uint32_t, double> nearest_in(const Chunk& chunk, PlanePoint place) const {
    const std::vector<PlanePoint>& points = plane[chunk.edge];
    std::pair<std::uint32_t, double> best{chunk.begin, kNoPath};
    for (std::uint32_t i = chunk.begin; i < chunk.end; ++i) {
      const double share = nearest_share(points[i], points[i + 1], place);
      const double squared = squared_m(place, between(points[i], points[i + 1], share));
      if (squared < best.second) best = {i, squared};
    }
    return best;
  }
};

ChannelNetwork::ChannelNetwork() : impl_(std::make_unique<Impl>()) {}
ChannelNetwork::~ChannelNetwork() = default;
ChannelNetwork::ChannelNetwork(ChannelNetwork&&) noexcept = default;
ChannelNetwork& ChannelNetwork::operator=(ChannelNetwork&&) noexcept = default;

const RiverGraph& ChannelNetwork::graph() const {
  return impl_->graph;
}
std::span<const ChannelEdge> ChannelNetwork::edges() const {
  return impl_->edges;
}
const ChannelOptions& ChannelNetwork::options() const {
  return impl_->options;
}
const ChannelFindings& ChannelNetwork::joins() const {
  return impl_->joins;
}
std::span<const double> ChannelNetwork::along_m(std::uint32_t edge) const {
  return impl_->along_m[edge];
}

double snap_limit_m(WaterKind kind, const ChannelOptions& options) {
  switch (kind) {
    case WaterKind::kSpring:
    case WaterKind::kStream:
    case WaterKind::kRiver:
    case WaterKind::kDitch:
    case WaterKind::kCanal:
      return options.max_snap_m;
    case WaterKind::kUnknown:
    case WaterKind::kPond:
    case WaterKind::kPool:
    case WaterKind::kLakeMargin:
      break;
  }
  return options.still_water_snap_m;
}

std::optional<ChannelPoint> ChannelNetwork::snap(LonLat position, std::optional<double> max_snap_m) const {
  const double limit_m = max_snap_m.value_or(impl_->options.max_snap_m);
  check_snap_limit(limit_m);
  if (!is_valid(position) || impl_->chunks.empty()) return std::nullopt;
  const PlanePoint place = impl_->frame->to_plane(position);
  if (!std::isfinite(place.x) || !std::isfinite(place.y)) return std::nullopt;
  // The plane finds, the ellipsoid measures: a little slack in the plane loses nothing at the limit.
  const double search_m = limit_m * 1.01 + 1;
  const auto found = impl_->index.nearest(place, search_m * search_m, [&](std::uint32_t c) {
    return impl_->nearest_in(impl_->chunks[c], place).second;
  });
  if (!found) return std::nullopt;
  const Chunk& chunk = impl_->chunks[found->item];
  const std::uint32_t i = impl_->nearest_in(chunk, place).first;
  const std::vector<PlanePoint>& plane = impl_->plane[chunk.edge];
  const double share = nearest_share(plane[i], plane[i + 1], place);
  const Line& line = impl_->edges[chunk.edge].line;
  const std::vector<double>& along_m = impl_->along_m[chunk.edge];
  ChannelPoint point;
  point.edge = chunk.edge;
  point.along_m = along_m[i] + share * (along_m[i + 1] - along_m[i]);
  point.position = between(line[i], line[i + 1], share);
  point.snap_m = geodesic_m(position, point.position);
  if (point.snap_m > limit_m) return std::nullopt;
  return point;
}

ChannelNetwork build_channels(std::span<const Reach> reaches, const ChannelOptions& options,
                              std::span<const Water> waters) {
  if (!std::isfinite(options.join_tolerance_m) || options.join_tolerance_m < 0) {
    throw Error(ErrorCode::kBadUse,
                "The tolerance for joining channels must be a number of metres, zero or more.");
  }
  check_snap_limit(options.max_snap_m);
  check_snap_limit(options.still_water_snap_m);
  ChannelNetwork network;
  ChannelNetwork::Impl& built = *network.impl_;
  built.options = options;
  built.frame.emplace(frame_for(reaches));
  const ReachLabel label = numbered_label(reaches);
  std::vector<ChannelLine> lines = clean_lines(reaches, *built.frame, label, built.joins);
  const JoinedLines joining = join_lines(lines, options.join_tolerance_m, label, built.joins);

  std::vector<GraphEdge> graph_edges;
  std::vector<std::uint8_t> two_way;
  std::vector<PlaneBox> boxes;
  for (std::size_t l = 0; l < lines.size(); ++l) {
    const std::vector<LineCut>& cuts = joining.cuts[l];
    for (std::size_t c = 0; c + 1 < cuts.size(); ++c) {
      // A line that is not cut is taken over whole.
      Stretch stretch = cuts.size() == 2 ? Stretch{std::move(lines[l].points), std::move(lines[l].along_m),
                                                   std::move(lines[l].plane)}
                                         : cut_out(lines[l], cuts[c].along_m, cuts[c + 1].along_m);
      const auto edge = static_cast<std::uint32_t>(built.edges.size());
      const auto segments = static_cast<std::uint32_t>(stretch.line.size() - 1);
      for (std::uint32_t begin = 0; begin < segments; begin += kChunk) {
        const std::uint32_t end = std::min(begin + kChunk, segments);
        PlaneBox box = grown(stretch.plane[begin], 0);
        for (std::uint32_t i = begin; i < end; ++i) box = joined(box, grown(stretch.plane[i + 1], 0));
        built.chunks.push_back({edge, begin, end});
        boxes.push_back(box);
      }
      graph_edges.push_back({cuts[c].node, cuts[c + 1].node, stretch.along_m.back()});
      two_way.push_back(reaches[lines[l].reach.value()].two_way ? 1 : 0);
      built.edges.push_back({lines[l].reach, std::move(stretch.line)});
      built.along_m.push_back(std::move(stretch.along_m));
      built.plane.push_back(std::move(stretch.plane));
    }
  }
  for (const LakePassage& passage :
       lake_passages({built.edges, graph_edges, two_way, joining.node_count}, waters, *built.frame,
                     options.join_tolerance_m, label, built.joins)) {
    const double length_m = geodesic_m(passage.line.front(), passage.line.back());
    graph_edges.push_back({passage.from, passage.to, length_m});
    two_way.push_back(0);
    built.along_m.push_back({0, length_m});
    built.edges.push_back({passage.inlet, passage.line, EdgeKind::kThroughLake});
  }
  built.graph = RiverGraph(joining.node_count, std::move(graph_edges), std::move(two_way));
  built.index = BoxIndex(boxes);
  return network;
}

void append_part(const ChannelNetwork& network, const EdgePart& part, Line& line) {
  const Line& whole = network.edges()[part.edge].line;
  const std::span<const double> along_m = network.along_m(part.edge);
  const auto place_on = [&](double at_m) {
    const auto after = std::upper_bound(along_m.begin(), along_m.end(), at_m);
    const std::size_t i = std::min(static_cast<std::size_t>(after - along_m.begin()), along_m.size() - 1) - 1;
    const double step_m = along_m[i + 1] - along_m[i];
    return between(whole[i], whole[i + 1], step_m > 0 ? (at_m - along_m[i]) / step_m : 0);
  };
  line.push_back(place_on(part.from_m));
  for (std::size_t i = 0; i < whole.size(); ++i)
    if (along_m[i] > part.from_m && along_m[i] < part.to_m) line.push_back(whole[i]);
  line.push_back(place_on(part.to_m));
}

const char* relation_name(Relation relation) {
  switch (relation) {
    case Relation::kUpstream:
      return "upstream";
    case Relation::kDownstream:
      return "downstream";
    case Relation::kViaConfluence:
      return "via confluence";
    case Relation::kUnconnected:
      return "unconnected";
    case Relation::kOffChannel:
      return "off channel";
  }
  return "unconnected";
}

}  // namespace brookmark::core
