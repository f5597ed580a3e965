#include "core/analysis/exposure.hpp"

#include <cmath>

#include "core/analysis/outfalls.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/network/channel_walk.hpp"

namespace brookmark::core {

std::vector<SiteExposure> exposure_of_sites(const Snapshot& snapshot, const ChannelNetwork& network,
                                            std::span<const Date> days, const ExposureOptions& options) {
  if (days.size() != snapshot.sites.size())
    throw Error(ErrorCode::kBadUse, "There must be one day for each site.");
  if (!(options.decay_m > 0) || !std::isfinite(options.decay_m))
    throw Error(ErrorCode::kBadUse, "A decay length must be above 0 m.");
  if (options.within_m && !(*options.within_m >= 0))
    throw Error(ErrorCode::kBadUse, "A distance to look within must be 0 m or more.");
  // Only distances are needed, and no routes: the links alone.
  std::vector<ChannelPoint> outfall_points, site_points;
  std::vector<std::size_t> outfalls, sites;
  for (std::size_t o = 0; o < snapshot.outfalls.size(); ++o) {
    if (const auto at = network.snap(snapshot.outfalls[o].position)) {
      outfall_points.push_back(*at);
      outfalls.push_back(o);
    }
  }
  std::vector<SiteExposure> exposure(snapshot.sites.size());
  for (std::size_t i = 0; i < exposure.size(); ++i) {
    const LonLat position = snapshot.sites.position[i];
    if (!is_placed(position)) {
      exposure[i].note = "no position is noted for this site";
      continue;
    }
    const double limit_m = snap_limit_m(snapshot.sites.kind[i], network.options());
    if (const auto at = network.snap(position, limit_m)) {
      site_points.push_back(*at);
      sites.push_back(i);
      exposure[i].exposure = 0;
    } else {
      exposure[i].note = "no channel within " + format_number(limit_m) + " m of this site";
    }
  }
  for (const ChannelLink& link : channel_links(network, outfall_points, site_points, Direction::kDownstream,
                                               options.within_m.value_or(kNoPath))) {
    const std::size_t o = outfalls[link.from], i = sites[link.to];
    const Outfall& outfall = snapshot.outfalls[o];
    if (!in_use(outfall, days[i])) continue;
    SiteExposure& site = exposure[i];
    *site.exposure +=
        outfall.strength.value_or(ExposureOptions::kUnstated) * std::exp(-link.distance_m / options.decay_m);
    ++site.outfalls;
    if (!outfall.strength) ++site.unstated;
    if (!site.nearest_m || link.distance_m < *site.nearest_m) {
      site.nearest_m = link.distance_m;
      site.nearest = OutfallIndex(o);
    }
  }
  return exposure;
}

std::vector<Date> days_of_assessment(const Snapshot& snapshot, const Assessment& assessment) {
  std::vector<Date> days;
  for (const SiteAssessment& site : assessment.sites)
    days.push_back(site.sample.has_value() ? snapshot.samples.date[site.sample.value()] : assessment.until());
  return days;
}

ExposureRelation relate_exposure(std::span<const SiteExposure> exposure, const Assessment& assessment,
                                 const PermutationOptions& options) {
  std::vector<double> x, y;
  for (std::size_t i = 0; i < exposure.size() && i < assessment.sites.size(); ++i) {
    const SiteAssessment& site = assessment.sites[i];
    if (!exposure[i].exposure || !site.has_value || !site.in_scope) continue;
    x.push_back(*exposure[i].exposure);
    y.push_back(site.value);
  }
  return {x.size(), spearman(x, y, options)};
}

}  // namespace brookmark::core
