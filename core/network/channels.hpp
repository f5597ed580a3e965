// Why: from a surveyor's lines to a graph one can stand on: ends joined within a tolerance (end to end and
// end to line), positions snapped with their distance kept, paths that can be drawn. Lengths are geodesic
// along the lines as drawn. The gap at a join is kept in joins() and adds nothing to a distance. Lines that
// cross without an end near the crossing are not joined: a leat may pass over a stream. One network may be
// used from one thread at a time. Use: ChannelNetwork n = build_channels(snapshot.reaches, {});
//      auto at = n.snap(site, 250);  auto list = distances_to(n, *at, site, places, Direction::kUpstream);
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/base/geometry.hpp"
#include "core/base/index.hpp"
#include "core/base/issue.hpp"
#include "core/network/river_graph.hpp"
#include "core/survey/types.hpp"

namespace brookmark::core {

struct ChannelOptions {
  double join_tolerance_m = 5;  // ends this near to another end or to a line are joined there
  double max_snap_m = 250;      // a position farther from every channel is on none
};

// A stretch between two nodes: part of one reach, drawn downstream.
struct ChannelEdge {
  ReachIndex reach;
  Line line;
};

// A place on the network.
struct ChannelPoint {
  std::uint32_t edge = 0;
  double along_m = 0;  // from the upstream end of the edge
  double snap_m = 0;   // how far the position was from it
  LonLat position;     // on the channel
};

class ChannelNetwork {
 public:
  ChannelNetwork();
  ~ChannelNetwork();
  ChannelNetwork(ChannelNetwork&&) noexcept;
  ChannelNetwork& operator=(ChannelNetwork&&) noexcept;

  const RiverGraph& graph() const;
  std::span<const ChannelEdge> edges() const;  // edge i of the graph
  const ChannelOptions& options() const;
  // What was joined over more than a centimetre, and over what distance; lines and points that were left out.
  const Issues& joins() const;
  // Metres from the upstream end of an edge to each point of its line; the last is the length of the edge.
  std::span<const double> along_m(std::uint32_t edge) const;
  // Nearest place on any channel within options().max_snap_m.
  std::optional<ChannelPoint> snap(LonLat position) const;

 private:
  friend ChannelNetwork build_channels(std::span<const Reach>, const ChannelOptions&);
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

// Throws Error(kBadUse) for a tolerance or snapping distance that is negative or not a number.
ChannelNetwork build_channels(std::span<const Reach> reaches, const ChannelOptions& options = {});

// How one place lies to another along the flow.
enum class Relation : std::uint8_t {
  kUpstream,       // the other place drains to this one
  kDownstream,     // this place drains to the other
  kViaConfluence,  // joined by channel, but neither drains to the other
  kUnconnected,    // not joined by any channel
  kOffChannel,     // this place, or the other, is on no channel
};
const char* relation_name(
    Relation relation);  // "upstream", "downstream", "via confluence", "unconnected", "off channel"

struct ChannelDistance {
  std::size_t target = 0;  // index into the targets given
  Relation relation = Relation::kUnconnected;
  std::optional<double> distance_m;  // along the channel; empty for kUnconnected and kOffChannel
  std::optional<double> snap_m;      // of the starting place plus nothing else; empty off channel
  std::optional<double> target_snap_m;
  std::uint32_t reach_count = 0;  // different reaches the path runs on
  double straight_m = 0;          // geodesic, always given
  Line path;                      // from the start to the target along the channel; empty without one
  std::string note;               // a sentence for kUnconnected and kOffChannel, else empty
};

// All targets in the asked direction, nearest first; then (for every direction) those without a path, by
// straight line. kUpstream: targets that drain to `from`. kDownstream: targets that `from` drains to. kAny:
// all. A distance upstream or downstream follows the flow, also for kAny; where a loop leads both ways the
// shorter counts.
std::vector<ChannelDistance> distances_to(const ChannelNetwork& network, LonLat from,
                                          std::span<const LonLat> targets, Direction direction);

}  // namespace brookmark::core
