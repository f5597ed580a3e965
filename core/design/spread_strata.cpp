#include <algorithm>
#include <cmath>

#include "core/design/spread_strata_internal.hpp"

namespace brookmark::core {
namespace {

constexpr double kRoundingM = 1e-6;  // a site on the border of two pieces lies in the upper one

}  // namespace

StratumOf::StratumOf(const DesignSource& source, Strata strata, SpotOn on)
    : source_(source), strata_(strata), on_(on) {
  if (strata == Strata::kOrder) figures_ = stream_figures(source.network.graph());
  if (strata != Strata::kCatchment) return;
  const CatchmentChannels inside = channels_in_catchments(source.snapshot, source.network);
  inside_.resize(source.network.edges().size());
  for (std::size_t c = 0; c < inside.inside.size(); ++c)
    for (const EdgePart& part : inside.inside[c]) inside_[part.edge].push_back({part, c});
}

std::string StratumOf::operator()(const Spot& spot) const {
  const bool water = spot.water.has_value();
  switch (strata_) {
    case Strata::kKind:
      if (water) return water_kind_name(source_.snapshot.waters[spot.water.value()].kind);
      return source_.network.graph().is_two_way(spot.edge) ? "channel that runs either way" : "channel";
    case Strata::kOrder:
      return water ? "waters" : "stream order " + std::to_string(figures_.order[spot.edge]);
    case Strata::kCatchment:
      return catchment(spot) + (on_ != SpotOn::kBoth ? "" : water ? ", waters" : ", channels");
    case Strata::kNone:
      break;
  }
  return on_ != SpotOn::kBoth ? "" : water ? "waters" : "channels";
}

std::string StratumOf::catchment(const Spot& spot) const {
  std::optional<std::size_t> smallest;
  const auto offer = [&](std::size_t c) {
    if (!smallest || source_.nesting.area_m2[c] < source_.nesting.area_m2[*smallest]) smallest = c;
  };
  if (spot.edge != Spot::kOffChannel) {
    for (const Inside& inside : inside_[spot.edge])
      if (inside.part.from_m <= spot.along_m && spot.along_m <= inside.part.to_m) offer(inside.catchment);
  } else {
    for (std::size_t c = 0; c < source_.snapshot.catchments.size(); ++c)
      if (contains(source_.snapshot.catchments[c].shape, spot.position)) offer(c);
  }
  if (!smallest) return "outside every catchment";
  const Catchment& found = source_.snapshot.catchments[*smallest];
  return "catchment " + (found.code.empty() ? found.name : found.code);
}

std::optional<std::uint32_t> SpotsOfSites::spot_of(std::size_t site) const {
  const SiteColumns& sites = source_.snapshot.sites;
  const auto point =
      source_.network.snap(sites.position[site], snap_limit_m(sites.kind[site], source_.network.options()));
  if (!point) return water_spot(sites.position[site]);
  const auto ends_before = [](const Spot& s, const ChannelPoint& p) {
    return s.edge < p.edge || (s.edge == p.edge && s.along_m + s.length_m / 2 + kRoundingM < p.along_m);
  };
  const auto spot = std::lower_bound(spots_.begin(), spots_.end(), *point, ends_before);
  if (spot == spots_.end() || spot->edge != point->edge ||
      spot->along_m - spot->length_m / 2 - kRoundingM > point->along_m)
    return std::nullopt;
  return static_cast<std::uint32_t>(spot - spots_.begin());
}

std::optional<std::uint32_t> SpotsOfSites::water_spot(LonLat site) const {
  for (std::size_t i = spots_.size(); i-- > 0 && spots_[i].water.has_value();)
    if (contains(source_.snapshot.waters[spots_[i].water.value()].shape, site) ||
        geodesic_m(site, spots_[i].position) <= source_.network.options().still_water_snap_m)
      return static_cast<std::uint32_t>(i);
  return std::nullopt;
}

}  // namespace brookmark::core
