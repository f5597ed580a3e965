#include "core/analysis/outfalls.hpp"

namespace brookmark::core {

namespace {

std::vector<LonLat> places_of(const std::vector<Outfall>& outfalls) {
  std::vector<LonLat> places;
  places.reserve(outfalls.size());
  for (const Outfall& outfall : outfalls) places.push_back(outfall.position);
  return places;
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
                                                SiteIndex site, Direction direction) {
  const LonLat position = snapshot.sites.position[site.value()];
  if (!is_placed(position)) return {};
  return distances_to(network, position, places_of(snapshot.outfalls), direction,
                      snap_limit_m(snapshot.sites.kind[site.value()], network.options()));
}

std::vector<ChannelDistance> outfalls_from_point(const Snapshot& snapshot, const ChannelNetwork& network,
                                                 LonLat point, Direction direction) {
  return distances_to(network, point, places_of(snapshot.outfalls), direction);
}

}  // namespace brookmark::core
