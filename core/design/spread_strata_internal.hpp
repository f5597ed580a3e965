// Why: what a spread is parted into, and which of its spots the sites that are there stand at.
// Use: const StratumOf stratum_of(source, Strata::kOrder, SpotOn::kBoth);  stratum_of(spot)
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/design/spread.hpp"
#include "core/network/stream_order.hpp"

namespace brookmark::core {

// Names the stratum of a spot. Metres of channel and waters are never in one: they have no common sum.
class StratumOf {
 public:
  StratumOf(const DesignSource& source, Strata strata, SpotOn on);
  std::string operator()(const Spot& spot) const;

 private:
  struct Inside {
    EdgePart part;
    std::size_t catchment;
  };
  std::string catchment(const Spot& spot) const;

  const DesignSource& source_;
  Strata strata_;
  SpotOn on_;
  StreamFigures figures_;
  std::vector<std::vector<Inside>> inside_;  // per edge
};

// The spot at which a site stands: the piece of its own channel that it lies on; else the water that holds it or whose shore is within
// the snapping distance of still waters.
class SpotsOfSites {
 public:
  SpotsOfSites(const DesignSource& source, const SpotFrame& found) : source_(source), spots_(found.spots) {}
  // Nothing for a site on no such channel or water, outside the area, or where spots are left out.
  std::optional<std::uint32_t> spot_of(std::size_t site) const;

 private:
  std::optional<std::uint32_t> water_spot(LonLat site) const;

  const DesignSource& source_;
  const std::vector<Spot>& spots_;
};

}  // namespace brookmark::core
