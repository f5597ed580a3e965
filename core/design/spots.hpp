// Why: suggestions are chosen among spots on which somebody can stand: every so many metres of channel, and one at the shore of
// each water. What is left out, and why, is counted.
// Use: SpotFrame f = find_spots(snapshot, network, area, {}, keep_out, frame);  f.spots[0].position
#pragma once

#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/design/clearance.hpp"

namespace brookmark::core {

// Where to look: everywhere, in a catchment, or within a distance of a place.
struct SpotArea {
  CatchmentIndex catchment;      // none(): not by catchment
  std::optional<LonLat> centre;  // with radius_m
  double radius_m = 0;
  std::string words = "the survey";  // for sentences
};
// "": everywhere. A catchment's code, name or key; or "LON,LAT,METRES". Throws Error(kNotFound), naming the catchments
// there are, and Error(kBadInput) for a place or distance that is none.
SpotArea parse_area(std::string_view words, const Snapshot& snapshot);

enum class SpotOn : std::uint8_t { kChannels, kWaters, kBoth };

struct Spot {
  static constexpr std::uint32_t kOffChannel = std::numeric_limits<std::uint32_t>::max();
  LonLat position;
  PlanePoint plane;
  std::uint32_t edge = kOffChannel;  // of the network
  double along_m = 0;                // on it
  double length_m = 0;               // of channel that it stands for; 0 at a water
  WaterIndex water;                  // at whose shore it lies; none() on a channel
};

struct SpotOptions {
  SpotOn on = SpotOn::kChannels;
  double spacing_m = 25;                  // of channel a spot; each edge of the network has one at least
  std::size_t most = 2'000'000;           // spots of channel: the spacing grows until there are no more
  std::vector<std::uint32_t> edges = {};  // of the network, ascending: these alone; empty: all
};

struct SpotFrame {
  std::vector<Spot> spots;  // channels by edge, upstream first, then waters
  double spacing_m = 0;     // as used
  std::size_t looked_at = 0;
  BarrierCounts left_out;
};

// Nothing is suggested on the straight line of a passage through a lake, nor where `clear`, if given, does not hold. Throws Error(kBadUse) for a spacing that is not
// above 0; Error(kNotFound) with a sentence where the area holds no channel (no water) or everything is left out.
SpotFrame find_spots(const Snapshot& snapshot, const ChannelNetwork& network, const SpotArea& area,
                     const SpotOptions& options, const KeepOut& keep_out, const LocalFrame& frame,
                     const Clearance* clear = nullptr);

// The place so many metres down an edge. Between neighbouring points of a line less than 1 km apart a straight line in degrees
// is within 0.1 m of the geodesic up to 75 degrees of latitude.
LonLat place_on_edge(const ChannelNetwork& network, std::uint32_t edge, double along_m);

}  // namespace brookmark::core
