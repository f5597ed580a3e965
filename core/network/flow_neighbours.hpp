// Why: to see where a stream changes, a site is compared with the next sites down its own water, and with no others:
// not with one up another branch, nor with one that has a third between. Worked out for all places at once, from the
// mouth upwards: linear where the water does not split. A canal that flows either way leads both ways.
// Use: FlowNeighbours flow(network, places);
//      for (const NextPlace& next : flow.below(0)) flow.stretch(0, next.place).line
#pragma once

#include <cstdint>
#include <limits>
#include <span>
#include <utility>
#include <vector>

#include "core/network/channels.hpp"

namespace brookmark::core {

struct NextPlace {
  std::uint32_t place = 0;  // index into the places given
  double distance_m = 0;    // along the flow, the shortest way
};

// Water that comes in from the side.
struct SideChannel {
  std::uint32_t edge = 0;  // its last
  double distance_m = 0;   // from where it enters down to the lower place
};

// The water between two neighbours.
struct FlowStretch {
  double length_m = 0;
  std::vector<EdgePart> parts;  // the shortest way, upstream first
  Line line;                    // the same, to draw
  std::vector<SideChannel>
      enters;  // on every way between the two, from the upper one down. An arm that only brings
               // back water of the upper place is none.
};

// Places that stand within a centimetre of each other along the channel are one: the one listed first stands for
// all. A place within a centimetre of a confluence stands on it.
class FlowNeighbours {
 public:
  // `network` outlives this. Places must lie on it, as snap() gives them.
  FlowNeighbours(const ChannelNetwork& network, std::span<const ChannelPoint> places);

  // The place that stands for this one; itself unless another shares its spot.
  std::uint32_t same_place(std::uint32_t place) const { return same_place_[place]; }

  // The next places downstream: those that water from here reaches without passing another place, in order of their
  // number. One at most in a tree; several below a split. Never the place itself, not even round a loop.
  std::vector<NextPlace> below(std::uint32_t place) const;
  // The same from any point of the network; a place on that very spot is at 0 m, and the only one.
  std::vector<NextPlace> below(const ChannelPoint& point) const;

  // Throws Error(kBadUse) unless `down` is one of below(up).
  FlowStretch stretch(std::uint32_t up, std::uint32_t down) const;

 private:
  static constexpr std::uint32_t kNone = std::numeric_limits<std::uint32_t>::max();
  struct Way {
    std::uint32_t place;
    double distance_m;
    std::uint32_t edge;  // out of the node
  };
  struct Spot {
    double along_m;
    std::uint32_t place;
  };
  struct Standing {  // of a point: on a node, or inside an edge
    std::uint32_t node = kNone, edge = 0;
    double along_m = 0;
  };

  Standing standing(const ChannelPoint& point) const;
  std::span<const Spot> inside(std::uint32_t edge) const;
  std::span<const Way> leaving(std::uint32_t node) const;
  // Whether an edge, left from one of its nodes, has neither a place inside it nor one at its other end.
  bool flows_on(std::uint32_t edge, std::uint32_t from) const;
  // The ways on from inside an edge, before any place is met: along it, and against it where it flows either way.
  void ways_from_inside(std::uint32_t edge, double along_m, std::vector<Way>& ways) const;
  void place_all(std::span<const ChannelPoint> places);
  void work_upwards();
  void settle(std::span<const std::uint32_t> loop, std::span<const std::uint32_t> group_of);
  void add_ways(std::uint32_t edge, std::uint32_t from, std::vector<Way>& ways) const;
  static void keep_shortest(std::vector<Way>& ways);
  void store(std::uint32_t node, std::vector<Way>& ways);
  std::vector<std::uint32_t> nodes_below(std::uint32_t place) const;

  const ChannelNetwork& network_;
  std::vector<Standing> standing_;  // per place
  std::vector<std::uint32_t> same_place_;
  std::vector<std::uint32_t> place_at_node_;
  std::vector<std::uint32_t> spot_begin_;                           // per edge, into spots_
  std::vector<Spot> spots_;                                         // inside edges, upstream first
  std::vector<std::pair<std::uint32_t, std::uint32_t>> way_range_;  // per node, into ways_
  std::vector<Way> ways_;                                           // what leaves each node reaches, by place
};

}  // namespace brookmark::core
