#include "core/hygiene/water_flow.hpp"

#include <algorithm>
#include <cmath>

namespace brookmark::core {

namespace {

// Metres in the plane from a place to the nearest part of a shore.
double shore_m(const MultiPolygon& shape, const LocalFrame& frame, PlanePoint p) {
  double nearest = HUGE_VAL;
  for (const Polygon& polygon : shape)
    for (const Line& ring : polygon.rings)
      for (std::size_t i = 1; i < ring.size(); ++i) {
        const PlanePoint a = frame.to_plane(ring[i - 1]), b = frame.to_plane(ring[i]);
        const double dx = b.x - a.x, dy = b.y - a.y, square = dx * dx + dy * dy;
        const double share =
            square > 0 ? std::clamp(((p.x - a.x) * dx + (p.y - a.y) * dy) / square, 0.0, 1.0) : 0;
        nearest = std::min(nearest, std::hypot(p.x - a.x - share * dx, p.y - a.y - share * dy));
      }
  return nearest;
}

}  // namespace

WaterFlow::WaterFlow(const Snapshot& snapshot, const ChannelNetwork& channels)
    : snapshot_(snapshot), channels_(channels), standing_(snapshot.sites.size()), walk_(channels) {
  for (const Water& water : snapshot.waters) boxes_.push_back(bounds_of(water.shape));
}

// A pond's water leaves by the channels that begin in it or on its shore, and arrives by those that end there.
WaterFlow::Standing WaterFlow::in_pond(LonLat place) const {
  Standing standing;
  for (std::size_t w = 0; w < snapshot_.waters.size(); ++w) {
    const Water& water = snapshot_.waters[w];
    const auto& box = boxes_[w];
    if (!box || place.lon < box->min_lon || place.lon > box->max_lon || place.lat < box->min_lat ||
        place.lat > box->max_lat || !core::contains(water.shape, place))
      continue;
    const LocalFrame frame(place);
    const double tolerance_m = channels_.options().join_tolerance_m;
    constexpr double kMargin = 0.001;  // degrees; wider than any tolerance in use
    const auto touches = [&](LonLat end) {
      if (end.lon < box->min_lon - kMargin || end.lon > box->max_lon + kMargin ||
          end.lat < box->min_lat - kMargin || end.lat > box->max_lat + kMargin)
        return false;
      return core::contains(water.shape, end) ||
             shore_m(water.shape, frame, frame.to_plane(end)) <= tolerance_m;
    };
    const auto edges = channels_.edges();
    for (std::uint32_t e = 0; e < edges.size(); ++e) {
      if (edges[e].line.empty()) continue;
      if (touches(edges[e].line.front())) standing.out.push_back({e, 0, 0, edges[e].line.front()});
      if (touches(edges[e].line.back()))
        standing.in.push_back({e, channels_.along_m(e).back(), 0, edges[e].line.back()});
    }
  }
  return standing;
}

const WaterFlow::Standing& WaterFlow::standing(SiteIndex site) const {
  auto& kept = standing_[site.value()];
  if (kept) return *kept;
  kept.emplace();
  const LonLat place = snapshot_.sites.position[site.value()];
  if (!is_placed(place) || channels_.edges().empty()) return *kept;
  const WaterKind kind = snapshot_.sites.kind[site.value()];
  if (const auto point = channels_.snap(place, snap_limit_m(kind, channels_.options())))
    *kept = {{*point}, {*point}};
  else
    *kept = in_pond(place);
  return *kept;
}

bool WaterFlow::is_on_channel(SiteIndex site) const {
  return !standing(site).out.empty() || !standing(site).in.empty();
}

std::optional<double> WaterFlow::way_m(SiteIndex from, SiteIndex to) const {
  const Standing& start = standing(from);
  const Standing& end = standing(to);
  std::optional<double> nearest;
  if (end.in.empty()) return nearest;
  for (std::size_t o = 0; o < start.out.size(); ++o) {
    if (walked_ != std::pair(from, o)) {
      walk_.start(start.out[o], Direction::kDownstream);
      walked_ = std::pair(from, o);
    }
    for (const ChannelPoint& in : end.in)
      if (const auto metres = walk_.distance_m(in); metres && (!nearest || *metres < *nearest))
        nearest = metres;
  }
  return nearest;
}

std::optional<double> WaterFlow::down_m(SiteIndex upper, SiteIndex lower) const {
  if (upper == lower) return std::nullopt;
  const auto metres = way_m(upper, lower);
  if (!metres || way_m(lower, upper)) return std::nullopt;
  return metres;
}

std::vector<std::pair<std::size_t, std::size_t>> WaterFlow::pairs(std::span<const SiteIndex> sites) const {
  // All ways from one site before those from the next, so that each is walked once.
  std::vector<std::optional<double>> way(sites.size() * sites.size());
  for (std::size_t a = 0; a < sites.size(); ++a)
    for (std::size_t b = 0; b < sites.size(); ++b)
      if (sites[a] != sites[b]) way[a * sites.size() + b] = way_m(sites[a], sites[b]);
  std::vector<std::pair<std::size_t, std::size_t>> found;
  for (std::size_t a = 0; a < sites.size(); ++a)
    for (std::size_t b = 0; b < sites.size(); ++b)
      if (way[a * sites.size() + b].value_or(0) > 0 && !way[b * sites.size() + a]) found.emplace_back(a, b);
  return found;
}

std::vector<WaterFlow::SiteBelow> WaterFlow::below(SiteIndex site) const {
  std::vector<SiteBelow> found;
  if (standing(site).out.empty()) return found;
  for (std::size_t s = 0; s < snapshot_.sites.size(); ++s)
    if (SiteIndex(s) != site)
      if (const auto metres = way_m(site, SiteIndex(s))) found.push_back({SiteIndex(s), *metres});
  std::stable_sort(found.begin(), found.end(),
                   [](const SiteBelow& a, const SiteBelow& b) { return a.distance_m < b.distance_m; });
  return found;
}

}  // namespace brookmark::core
