// Why: water carries what lives in it down, never up; kit can carry it up. Which site of a survey lies above which along
// the channels. A pond that channels enter or leave lies between them. Where a site is on no channel nothing is known, and
// nothing is said.
// Use: const WaterFlow flow(snapshot, channels);  if (auto metres = flow.down_m(upper, lower)) ...
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include "core/network/channel_walk.hpp"
#include "core/survey/snapshot.hpp"

namespace brookmark::core {

// Keeps its last walk: one may be used from one thread at a time.
class WaterFlow {
 public:
  WaterFlow(const Snapshot& snapshot, const ChannelNetwork& channels);  // which outlive this

  // Metres along the channel from a site down to a lower one, 0 or more (0: both lie on one pond's inflow and outflow).
  // Nothing where water does not run from the one to the other, may run the other way too, or either is on no channel.
  std::optional<double> down_m(SiteIndex upper, SiteIndex lower) const;
  // Pairs of the sites given of which the first lies above the second, as down_m says, and not on the same spot.
  std::vector<std::pair<std::size_t, std::size_t>> pairs(std::span<const SiteIndex> sites) const;
  // All sites that water from here may reach, nearest first; where it runs either way, on either side.
  struct SiteBelow {
    SiteIndex site;
    double distance_m = 0;
  };
  std::vector<SiteBelow> below(SiteIndex site) const;
  bool is_on_channel(SiteIndex site) const;

 private:
  struct Standing {  // where water leaves the site, and where it arrives
    std::vector<ChannelPoint> out, in;
  };
  const Standing& standing(SiteIndex site) const;
  Standing in_pond(LonLat place) const;
  std::optional<double> way_m(SiteIndex from, SiteIndex to) const;

  const Snapshot& snapshot_;
  const ChannelNetwork& channels_;
  std::vector<std::optional<BoundingBox>> boxes_;  // of snapshot.waters
  mutable std::vector<std::optional<Standing>> standing_;
  mutable ChannelWalk walk_;
  mutable std::optional<std::pair<SiteIndex, std::size_t>>
      walked_;  // the start of the walk: a site, which outflow
};

}  // namespace brookmark::core
