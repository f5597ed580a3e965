#include "core/analysis/outfalls.hpp"

#include <utility>

namespace brookmark::core {

namespace {

std::vector<LonLat> places_of(const std::vector<Outfall>& outfalls) {
  std::vector<LonLat> places;
  places.reserve(outfalls.size());
  for (const Outfall& outfall : outfalls) places.push_back(outfall.position);
  return places;
}

std::vector<ChannelDistance> from_place(const Snapshot& snapshot, const ChannelNetwork& network, LonLat place,
                                        double limit_m, const DistanceQuery& query) {
  return std::move(distances_between(network, std::span(&place, 1), std::span(&limit_m, 1),
                                     places_of(snapshot.outfalls), query)[0]);
}

}  // namespace

bool in_use(const Outfall& outfall, Date day) {
  return !(outfall.since && day < *outfall.since) && !(outfall.until && day > *outfall.until);
}

std::string days_of_use(const Outfall& outfall) {
  if (outfall.since && outfall.until)
    return "in use from " + format_date(*outfall.since) + " to " + format_date(*outfall.until);
  if (outfall.since) return "in use since " + format_date(*outfall.since);
  if (outfall.until) return "in use until " + format_date(*outfall.until);
  return {};
}

std::vector<ChannelDistance> outfalls_from_site(const Snapshot& snapshot, const ChannelNetwork& network,
                                                SiteIndex site, const DistanceQuery& query) {
  const LonLat position = snapshot.sites.position[site.value()];
  if (!is_placed(position)) return {};
  return from_place(snapshot, network, position,
                    snap_limit_m(snapshot.sites.kind[site.value()], network.options()), query);
}

std::vector<std::vector<ChannelDistance>> outfalls_from_all_sites(const Snapshot& snapshot,
                                                                  const ChannelNetwork& network,
                                                                  const DistanceQuery& query) {
  std::vector<LonLat> places;
  std::vector<double> limits_m;
  std::vector<std::size_t> sites;
  for (std::size_t i = 0; i < snapshot.sites.size(); ++i) {
    if (!is_placed(snapshot.sites.position[i])) continue;
    sites.push_back(i);
    places.push_back(snapshot.sites.position[i]);
    limits_m.push_back(snap_limit_m(snapshot.sites.kind[i], network.options()));
  }
  auto found = distances_between(network, places, limits_m, places_of(snapshot.outfalls), query);
  std::vector<std::vector<ChannelDistance>> lists(snapshot.sites.size());
  for (std::size_t i = 0; i < sites.size(); ++i) lists[sites[i]] = std::move(found[i]);
  return lists;
}

std::vector<ChannelDistance> outfalls_from_point(const Snapshot& snapshot, const ChannelNetwork& network,
                                                 LonLat point, const DistanceQuery& query) {
  return from_place(snapshot, network, point, network.options().max_snap_m, query);
}

}  // namespace brookmark::core
