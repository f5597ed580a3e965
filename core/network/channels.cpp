#include "core/network/channels.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "core/base/error.hpp"
#include "core/network/box_index_internal.hpp"
#include "core/network/channel_lines_internal.hpp"

namespace brookmark::core {
namespace {

struct Segment {
  std::uint32_t edge, point;  // from this point of the edge's line to the next
  PlanePoint a, b;
};

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
  Issues joins;
  std::optional<LocalFrame> frame;
  std::vector<Segment> segments;
  BoxIndex index;
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
const Issues& ChannelNetwork::joins() const {
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
  if (!is_valid(position) || impl_->segments.empty()) return std::nullopt;
  const PlanePoint place = impl_->frame->to_plane(position);
  if (!std::isfinite(place.x) || !std::isfinite(place.y)) return std::nullopt;
  // The plane finds, the ellipsoid measures: a little slack in the plane loses nothing at the limit.
  const double search_m = limit_m * 1.01 + 1;
  const auto found = impl_->index.nearest(place, search_m * search_m, [&](std::uint32_t s) {
    const Segment& segment = impl_->segments[s];
    return squared_m(place, between(segment.a, segment.b, nearest_share(segment.a, segment.b, place)));
  });
  if (!found) return std::nullopt;
  const Segment& segment = impl_->segments[found->item];
  const double share = nearest_share(segment.a, segment.b, place);
  const Line& line = impl_->edges[segment.edge].line;
  const std::vector<double>& along_m = impl_->along_m[segment.edge];
  ChannelPoint point;
  point.edge = segment.edge;
  point.along_m = along_m[segment.point] + share * (along_m[segment.point + 1] - along_m[segment.point]);
  point.position = between(line[segment.point], line[segment.point + 1], share);
  point.snap_m = geodesic_m(position, point.position);
  if (point.snap_m > limit_m) return std::nullopt;
  return point;
}

ChannelNetwork build_channels(std::span<const Reach> reaches, const ChannelOptions& options) {
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
  const std::vector<ChannelLine> lines = clean_lines(reaches, *built.frame, built.joins);
  const JoinedLines joined = join_lines(lines, options.join_tolerance_m, built.joins);

  std::vector<GraphEdge> graph_edges;
  std::vector<PlaneBox> boxes;
  for (std::size_t l = 0; l < lines.size(); ++l) {
    const std::vector<LineCut>& cuts = joined.cuts[l];
    for (std::size_t c = 0; c + 1 < cuts.size(); ++c) {
      Stretch stretch = cut_out(lines[l], cuts[c].along_m, cuts[c + 1].along_m);
      const auto edge = static_cast<std::uint32_t>(built.edges.size());
      for (std::uint32_t i = 0; i + 1 < stretch.line.size(); ++i) {
        built.segments.push_back({edge, i, stretch.plane[i], stretch.plane[i + 1]});
        boxes.push_back(box_around(stretch.plane[i], stretch.plane[i + 1]));
      }
      graph_edges.push_back({cuts[c].node, cuts[c + 1].node, stretch.along_m.back()});
      built.edges.push_back({lines[l].reach, std::move(stretch.line)});
      built.along_m.push_back(std::move(stretch.along_m));
    }
  }
  built.graph = RiverGraph(joined.node_count, std::move(graph_edges));
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
