#include "core/network/channel_walk.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <utility>

#include "core/network/channel_lines_internal.hpp"

namespace brookmark::core {
namespace {

Direction opposite(Direction direction) {
  if (direction == Direction::kAny) return Direction::kAny;
  return direction == Direction::kUpstream ? Direction::kDownstream : Direction::kUpstream;
}

// Puts the pieces of a way together.
class Drawing {
 public:
  explicit Drawing(const ChannelNetwork& network) : network_(network) {}

  // The part of an edge from one place on it to another, either way.
  void piece(std::uint32_t edge, double begin_m, double end_m) {
    if (begin_m == end_m) return;
    reaches_.push_back(network_.edges()[edge].reach);
    if (network_.graph().is_two_way(edge)) two_way_m_ += std::abs(end_m - begin_m);
    if (network_.edges()[edge].kind == EdgeKind::kThroughLake) lake_m_ += std::abs(end_m - begin_m);
    Line part;
    append_part(network_, {edge, std::min(begin_m, end_m), std::max(begin_m, end_m)}, part);
    if (begin_m > end_m) std::reverse(part.begin(), part.end());
    path_.insert(path_.end(), part.begin(), part.end());
  }

  ChannelRoute route(double distance_m, const ChannelPoint& start, const ChannelPoint& target) {
    path_.insert(path_.begin(), start.position);
    path_.push_back(target.position);
    path_.erase(std::unique(path_.begin(), path_.end()), path_.end());
    std::erase_if(reaches_, [](ReachIndex reach) { return !reach.has_value(); });
    std::sort(reaches_.begin(), reaches_.end());
    const auto last = std::unique(reaches_.begin(), reaches_.end());
    const auto count = static_cast<std::uint32_t>(last - reaches_.begin());
    // One place stands on one reach.
    return {distance_m, std::move(path_), std::max(count, 1U), two_way_m_, lake_m_};
  }

 private:
  const ChannelNetwork& network_;
  Line path_;
  std::vector<ReachIndex> reaches_;
  double two_way_m_ = 0, lake_m_ = 0;
};

}  // namespace

std::optional<std::uint32_t> node_at(const ChannelNetwork& network, const ChannelPoint& place) {
  const GraphEdge& edge = network.graph().edges()[place.edge];
  const double left_m = edge.length_m - place.along_m;
  if (std::min(place.along_m, left_m) > kSamePlaceM) return std::nullopt;
  return place.along_m <= left_m ? edge.from : edge.to;
}

ChannelWalk::ChannelWalk(const ChannelNetwork& network)
    : network_(network),
      stamp_of_(network.graph().node_count()),
      via_edge_(network.graph().node_count()),
      node_m_(network.graph().node_count()) {}

std::vector<ChannelWalk::Step> ChannelWalk::steps(const ChannelPoint& place, Direction direction) const {
  if (const auto node = node_at(network_, place)) return {{*node, 0}};
  const GraphEdge& edge = network_.graph().edges()[place.edge];
  const bool both = direction == Direction::kAny || network_.graph().is_two_way(place.edge);
  std::vector<Step> out;
  if (both || direction == Direction::kUpstream) out.push_back({edge.from, place.along_m});
  if (both || direction == Direction::kDownstream) out.push_back({edge.to, edge.length_m - place.along_m});
  return out;
}

bool ChannelWalk::offer(std::uint32_t node, double at_m, std::uint32_t via) {
  if (at_m > max_m_ || at_m >= at_node_m(node)) return false;
  stamp_of_[node] = stamp_;
  node_m_[node] = at_m;
  via_edge_[node] = via;
  heap_.emplace_back(at_m, node);
  std::push_heap(heap_.begin(), heap_.end(), std::greater<>());
  return true;
}

void ChannelWalk::start(const ChannelPoint& place, Direction direction, double max_m) {
  if (++stamp_ == 0) {  // after four thousand million starts the marks would mean the same again
    std::fill(stamp_of_.begin(), stamp_of_.end(), 0);
    stamp_ = 1;
  }
  start_ = place;
  direction_ = direction;
  max_m_ = max_m;
  nodes_.clear();
  heap_.clear();
  exits_ = steps(place, direction);
  for (const Step& exit : exits_) offer(exit.node, exit.cost_m, RiverGraph::kNoEdge);
  const std::span<const GraphEdge> edges = network_.graph().edges();
  while (!heap_.empty()) {
    const auto [at_m, node] = heap_.front();
    std::pop_heap(heap_.begin(), heap_.end(), std::greater<>());
    heap_.pop_back();
    if (at_m != node_m_[node]) continue;  // a shorter way was found meanwhile
    nodes_.push_back(node);
    each_edge_from(node, [&](std::uint32_t e) {
      offer(network_.graph().far_end(e, node), at_m + edges[e].length_m, e);
    });
  }
}

std::optional<ChannelWalk::Arrival> ChannelWalk::arrive(const ChannelPoint& target) const {
  Arrival best{kNoPath, std::nullopt};
  for (const Step& entry : steps(target, opposite(direction_))) {
    const double at_m = at_node_m(entry.node) + entry.cost_m;
    if (at_m < best.distance_m) best = {at_m, entry};
  }
  // Along the one edge on which both stand, when the target lies that way.
  if (start_.edge == target.edge && !node_at(network_, start_) && !node_at(network_, target)) {
    const double ahead_m = target.along_m - start_.along_m;
    const bool that_way = direction_ == Direction::kAny || network_.graph().is_two_way(target.edge) ||
                          (direction_ == Direction::kUpstream ? ahead_m <= 0 : ahead_m >= 0);
    if (that_way && std::abs(ahead_m) <= best.distance_m) best = {std::abs(ahead_m), std::nullopt};
  }
  if (best.distance_m == kNoPath || best.distance_m > max_m_) return std::nullopt;
  return best;
}

std::optional<double> ChannelWalk::distance_m(const ChannelPoint& target) const {
  const auto arrival = arrive(target);
  if (!arrival) return std::nullopt;
  return arrival->distance_m;
}

std::optional<ChannelRoute> ChannelWalk::route(const ChannelPoint& target) const {
  const auto arrival = arrive(target);
  if (!arrival) return std::nullopt;
  Drawing drawing(network_);
  if (!arrival->by) {
    drawing.piece(start_.edge, start_.along_m, target.along_m);
    return drawing.route(arrival->distance_m, start_, target);
  }
  const std::span<const GraphEdge> edges = network_.graph().edges();
  // The part of a place's edge between it and a node of that edge; nothing for a place at the node.
  const auto end_piece = [&](const ChannelPoint& place, const Step& step, bool towards_node) {
    if (node_at(network_, place)) return;
    const GraphEdge& edge = edges[place.edge];
    // A loop's edge has one node at both ends; the cost tells which way round.
    const bool down = edge.to == step.node && (edge.from != edge.to || step.cost_m != place.along_m);
    const double node_m = down ? edge.length_m : 0;
    if (towards_node) {
      drawing.piece(place.edge, place.along_m, node_m);
    } else {
      drawing.piece(place.edge, node_m, place.along_m);
    }
  };
  std::vector<std::pair<std::uint32_t, std::uint32_t>> back;  // edge, and the node that it was walked to
  std::uint32_t node = arrival->by->node;
  for (; via_edge_[node] != RiverGraph::kNoEdge; node = network_.graph().far_end(via_edge_[node], node))
    back.emplace_back(via_edge_[node], node);
  const auto exit = std::find_if(exits_.begin(), exits_.end(), [&](const Step& step) {
    return step.node == node && step.cost_m == node_m_[node];
  });
  end_piece(start_, *exit, true);
  for (auto step = back.rbegin(); step != back.rend(); ++step) {
    const GraphEdge& edge = edges[step->first];
    const bool down = edge.to == step->second;
    drawing.piece(step->first, down ? 0 : edge.length_m, down ? edge.length_m : 0);
  }
  end_piece(target, *arrival->by, false);
  return drawing.route(arrival->distance_m, start_, target);
}

}  // namespace brookmark::core
