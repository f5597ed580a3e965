// Why: distances along the channel are asked from many places of one network. A walk keeps its memory from one start to
// the next, so that each costs what it visits and not the whole network.
// Use: ChannelWalk walk(network);
//      walk.start(outfall, Direction::kDownstream, 50'000);
//      if (auto distance_m = walk.distance_m(site)) ...
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "core/network/channels.hpp"

namespace brookmark::core {

// The node on which a place stands: within a centimetre of an end of its edge it is at that end, and so on every
// channel that meets there. Nothing for a place inside an edge.
std::optional<std::uint32_t> node_at(const ChannelNetwork& network, const ChannelPoint& place);

struct ChannelRoute {
  double distance_m = 0;
  Line path;                         // from the start to the target
  std::uint32_t reach_count = 0;     // different reaches that the path runs on, at least 1
  double two_way_m = 0, lake_m = 0;  // as in ChannelDistance
};

class ChannelWalk {
 public:
  explicit ChannelWalk(const ChannelNetwork& network);  // which outlives this

  // The shortest ways from `place` to all within max_m, following the flow (kDownstream), against it (kUpstream) or
  // whichever way (kAny). Along a two-way edge water goes either way.
  void start(const ChannelPoint& place, Direction direction, double max_m = kNoPath);

  // Of the newest start. Nothing for what lies another way, or farther than max_m.
  std::optional<double> distance_m(const ChannelPoint& target) const;
  std::optional<ChannelRoute> route(const ChannelPoint& target) const;
  // The nodes within max_m, nearest first.
  std::span<const std::uint32_t> nodes() const { return nodes_; }
  // The edges by which the walk goes on from a node, as far as it leads that way.
  template <class Visit>
  void each_edge_from(std::uint32_t node, const Visit& visit) const {
    if (direction_ != Direction::kDownstream)
      for (const std::uint32_t e : network_.graph().edges_in(node)) visit(e);
    if (direction_ != Direction::kUpstream)
      for (const std::uint32_t e : network_.graph().edges_out(node)) visit(e);
  }

 private:
  struct Step {  // from a place onto a node or, read backwards, from a node into a place
    std::uint32_t node;
    double cost_m;
  };
  struct Arrival {
    double distance_m;
    std::optional<Step> by;  // nothing: along the one edge on which both stand
  };
  // At most two: a place inside an edge, and both its ends.
  std::vector<Step> steps(const ChannelPoint& place, Direction direction) const;
  std::optional<Arrival> arrive(const ChannelPoint& target) const;
  double at_node_m(std::uint32_t node) const { return stamp_of_[node] == stamp_ ? node_m_[node] : kNoPath; }
  bool offer(std::uint32_t node, double at_m, std::uint32_t via);

  const ChannelNetwork& network_;
  ChannelPoint start_;
  Direction direction_ = Direction::kAny;
  double max_m_ = 0;
  std::uint32_t stamp_ = 0;  // of the newest start: what carries an older one is void
  std::vector<std::uint32_t> stamp_of_, via_edge_;
  std::vector<double> node_m_;
  std::vector<std::uint32_t> nodes_;
  std::vector<std::pair<double, std::uint32_t>> heap_;
  std::vector<Step> exits_;
};

// A pair of places joined in the asked direction.
struct ChannelLink {
  std::uint32_t from = 0, to = 0;  // indices into the places given
  double distance_m = 0;
};

// Every pair with a way from `from` to `to` in the direction within max_m; by `from`, then nearest first, then by
// `to`. Costs what is walked from each of `from`: give the side from which less is walked (downstream there is the way
// to the mouth, upstream the whole country). `threads` 0: as many as the machine has cores; the answer is the same.
std::vector<ChannelLink> channel_links(const ChannelNetwork& network, std::span<const ChannelPoint> from,
                                       std::span<const ChannelPoint> to, Direction direction,
                                       double max_m = kNoPath, unsigned threads = 0);

}  // namespace brookmark::core
