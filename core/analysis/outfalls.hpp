// Why: the question "which outfalls lie above this site, and how far along the channel?" is asked by the map, the command
// line and every export; it is answered here once, with the rules of the trade: a pond beside a stream is on no channel,
// a site without a position has no distances, an outfall has days on which it is in use.
// Use: for (const ChannelDistance& d : outfalls_from_site(snapshot, network, site, {Direction::kUpstream})) ...
#pragma once

#include <string>
#include <vector>

#include "core/network/channels.hpp"
#include "core/survey/snapshot.hpp"

namespace brookmark::core {

// In use on that day, as far as the survey knows; a day missing means without limit.
bool in_use(const Outfall& outfall, Date day);
// "in use until 2021-12-31", "in use since 2019-05-01", "in use from ... to ..."; empty where no day is known.
std::string days_of_use(const Outfall& outfall);

// Distances to all outfalls, as distances_to() gives and orders them; ChannelDistance::target is an index into
// snapshot.outfalls. Nothing for a site without a position: see is_placed().
std::vector<ChannelDistance> outfalls_from_site(const Snapshot& snapshot, const ChannelNetwork& network,
                                                SiteIndex site, const DistanceQuery& query = {});
// The same for every site at once, one list a site (empty for a site without a position).
std::vector<std::vector<ChannelDistance>> outfalls_from_all_sites(const Snapshot& snapshot,
                                                                  const ChannelNetwork& network,
                                                                  const DistanceQuery& query = {});
// The same from any point of the map.
std::vector<ChannelDistance> outfalls_from_point(const Snapshot& snapshot, const ChannelNetwork& network,
                                                 LonLat point, const DistanceQuery& query = {});

}  // namespace brookmark::core
