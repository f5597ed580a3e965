// Why: "what lies upstream of here" is asked before a sample is taken and after one was bad: which sites, which outfalls,
// how much channel, what land.
// Use: const ChannelPlaces places = places_on_channels(snapshot, network);
//      Upstream up = upstream_of(snapshot, network, places, nesting, inside, {lon, lat});
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/analysis/catchments.hpp"
#include "core/network/channels.hpp"
#include "core/survey/snapshot.hpp"

namespace brookmark::core {

// Where each site and each outfall stands on the network; nothing for what is on no channel (see snap_limit_m), or has no
// position.
struct ChannelPlaces {
  std::vector<std::optional<ChannelPoint>> sites, outfalls;
};
ChannelPlaces places_on_channels(const Snapshot& snapshot, const ChannelNetwork& network);

struct UpstreamSite {
  SiteIndex site;
  double distance_m = 0;  // down the channel to here
};
struct UpstreamOutfall {
  OutfallIndex outfall;  // whatever its days of use: see in_use()
  double distance_m = 0;
};

// A catchment (sub-catchments included) none of whose channel drains elsewhere.
struct UpstreamCatchment {
  CatchmentIndex catchment;
  double area_m2 = 0;
};

struct Upstream {
  std::optional<ChannelPoint>
      here;  // on the channel; nothing: the place is on none, and nothing else is given
  std::vector<UpstreamSite> sites;  // nearest first; one that stands here is at 0 m
  std::vector<UpstreamOutfall> outfalls;
  std::vector<EdgePart> parts;  // of the channels that drain to here, by edge, each once
  double channel_m = 0;         // of these parts, without the lines through lakes
  double lake_m = 0;            // straight through still waters on the way
  double two_way_m = 0;  // of channel_m: where water runs either way, so that it drains here only at times
  // The largest catchments that drain here as a whole, as far as the channels drawn tell. A catchment drains here when at
  // most kOutletSlackM of the channel in it does not: a border is drawn near an outlet, not through it.
  std::vector<UpstreamCatchment> catchments;
  std::optional<double> area_m2;  // of these together; nothing where there are none
  double covered_m = 0;           // of channel_m and lake_m: inside these catchments
  std::string note;  // sentences parted by "; ": off the channel, moved far, area known in part, either way
};

// Common practice, no source.
inline constexpr double kOutletSlackM = 50;

// From a place moved to the channel by at most max_snap_m (network.options().max_snap_m where none is given).
Upstream upstream_of(const Snapshot& snapshot, const ChannelNetwork& network, const ChannelPlaces& places,
                     const CatchmentNesting& nesting, const CatchmentChannels& inside, LonLat from,
                     std::optional<double> max_snap_m = {});

}  // namespace brookmark::core
