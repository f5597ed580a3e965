// Why: from a surveyor's lines to a graph one can stand on: ends joined within a tolerance (end to end and
// end to line), positions snapped with their distance kept, paths that can be drawn. Lengths are geodesic
// along the lines as drawn. The gap at a join is kept in joins() and adds nothing to a distance. Lines that
// cross without an end near the crossing are not joined: a leat may pass over a stream. One network may be
// used from one thread at a time.
// Use: ChannelNetwork n = build_channels(snapshot.reaches, {});
//      const double limit_m = snap_limit_m(WaterKind::kPond, n.options());
//      auto at = n.snap(site, limit_m);
//      auto list = distances_to(n, site, outfalls, Direction::kUpstream, limit_m);
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/base/geometry.hpp"
#include "core/base/index.hpp"
#include "core/network/channel_findings.hpp"
#include "core/network/river_graph.hpp"
#include "core/survey/types.hpp"

namespace brookmark::core {

struct ChannelOptions {
  double join_tolerance_m = 5;  // ends this near to another end or to a line are joined there
  double max_snap_m = 250;      // a position farther from every channel is on none
  // Still waters are on a channel only when they are drawn onto it: a pond beside a stream is no part of it.
  // Common practice, no source.
  double still_water_snap_m = 10;
};

// How far a site on this kind of water may be moved to a channel: max_snap_m where the water runs (stream,
// river, spring) and for ditches and canals, which may be drawn as channels; still_water_snap_m for still
// waters, and for a kind that nobody noted.
double snap_limit_m(WaterKind kind, const ChannelOptions& options);

enum class EdgeKind : std::uint8_t {
  kChannel,
  kThroughLake,  // the straight line through a still water from where a reach enters it to where one leaves
};

// A stretch between two nodes: part of one reach, drawn downstream. Through a lake: of the reach that enters.
struct ChannelEdge {
  ReachIndex reach;
  Line line;
  EdgeKind kind = EdgeKind::kChannel;
};

// A place on the network.
struct ChannelPoint {
  std::uint32_t edge = 0;
  double along_m = 0;  // from the upstream end of the edge
  double snap_m = 0;   // how far the position was from it
  LonLat position;     // on the channel
};

// Part of an edge of the network, metres from its upstream end.
struct EdgePart {
  std::uint32_t edge = 0;
  double from_m = 0, to_m = 0;  // from_m <= to_m
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
  const ChannelFindings& joins() const;
  // Metres from the upstream end of an edge to each point of its line; the last is the length of the edge.
  std::span<const double> along_m(std::uint32_t edge) const;
  // Nearest place on any channel within max_snap_m, or options().max_snap_m where none is given. Throws
  // Error(kBadUse) for a limit that is negative or not a number.
  std::optional<ChannelPoint> snap(LonLat position, std::optional<double> max_snap_m = {}) const;

 private:
  friend ChannelNetwork build_channels(std::span<const Reach>, const ChannelOptions&, std::span<const Water>);
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

// Reaches marked as two-way become two-way edges of the graph. Where a channel ends in one of the `waters` (or
// within join_tolerance_m of its shore), that water is still, and another channel begins there, the two are
// joined by a straight line through it: of its geodesic length, on which nothing is snapped, and told in
// joins(). Where several leave, each is joined. Waters whose kind nobody noted are not led through.
// Throws Error(kBadUse) for a tolerance or one of the snapping distances that is negative or not a number.
ChannelNetwork build_channels(std::span<const Reach> reaches, const ChannelOptions& options = {},
                              std::span<const Water> waters = {});

// The line of a part of an edge, drawn downstream, put behind what the line holds.
void append_part(const ChannelNetwork& network, const EdgePart& part, Line& line);

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
  double two_way_m = 0;           // of the distance: along channel in which water runs either way
  double lake_m = 0;              // of the distance: straight through lakes
  double straight_m = 0;          // geodesic, always given
  Line path;                      // from the start to the target along the channel; empty without one
  // A sentence for kUnconnected and kOffChannel, and for any relation found along a two-way channel (it holds
  // only while water runs that way), through a lake, or by moving a place more than kSnapToMentionM to the
  // channel; else empty.
  std::string note;
};

// A place moved farther than this to the channel is said to be so. Common practice, no source.
inline constexpr double kSnapToMentionM = 50;

// All targets in the asked direction, nearest first; then (for every direction) those without a path, by
// straight line. kUpstream: targets that drain to `from`. kDownstream: targets that `from` drains to. kAny:
// all. A distance upstream or downstream follows the flow, also for kAny; where a loop leads both ways the
// shorter counts. max_snap_m is the limit for the starting place, see snap_limit_m(); the targets' is
// options().max_snap_m, as is the start's where none is given.
std::vector<ChannelDistance> distances_to(const ChannelNetwork& network, LonLat from,
                                          std::span<const LonLat> targets, Direction direction,
                                          std::optional<double> max_snap_m = {});

struct DistanceQuery {
  Direction direction = Direction::kAny;
  // Only places at most so far along the channel, and of these the nearest ones. Where either is given, places without
  // a path are left out, but for the nearest in a straight line where nothing else is left to say.
  std::optional<double> within_m = {};
  std::optional<std::size_t> nearest = {};
};

// The same for many starting places at once: walked from each place down to the mouth, whatever the number of places on
// the other side. `limits_m` holds the snapping limit of each starting place. One list per starting place. Throws
// Error(kBadUse) unless there is one limit for each place, or for a distance that is negative or not a number.
std::vector<std::vector<ChannelDistance>> distances_between(const ChannelNetwork& network,
                                                            std::span<const LonLat> from,
                                                            std::span<const double> limits_m,
                                                            std::span<const LonLat> targets,
                                                            const DistanceQuery& query = {});

}  // namespace brookmark::core
