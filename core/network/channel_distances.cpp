#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "core/base/text.hpp"
#include "core/network/channel_lines_internal.hpp"
#include "core/network/channels.hpp"

namespace brookmark::core {
namespace {

// A step out of a place onto a node (or, read backwards, from a node into a place).
struct Step {
  std::uint32_t node;
  double cost_m;
};

struct Route {
  double distance_m;
  Line path;
  std::uint32_t reach_count;
};

// Everything asked from one starting place: one search for each direction, made when first needed.
class Routes {
 public:
  Routes(const ChannelNetwork& network, const ChannelPoint& start) : network_(network), start_(start) {}

  std::uint32_t component(const ChannelPoint& place) const {
    return network_.graph().component(network_.graph().edges()[place.edge].from);
  }
  std::uint32_t start_component() const { return component(start_); }

  std::optional<Route> to(const ChannelPoint& target, Direction direction) {
    double best_m = kNoPath;
    std::size_t best_search = 0;
    Step best_entry{0, 0};
    const std::vector<Search>& searches = searches_for(direction);
    for (std::size_t s = 0; s < searches.size(); ++s) {
      for (const Step& entry : steps(target, opposite(direction))) {
        const double at_m =
            searches[s].exit.cost_m + searches[s].reached.distance_m[entry.node] + entry.cost_m;
        if (at_m < best_m) {
          best_m = at_m;
          best_search = s;
          best_entry = entry;
        }
      }
    }
    // Along the one edge on which both stand, when the target lies that way.
    if (start_.edge == target.edge && !node_at(start_) && !node_at(target)) {
      const double ahead_m = target.along_m - start_.along_m;
      const bool that_way =
          direction == Direction::kAny || (direction == Direction::kUpstream ? ahead_m <= 0 : ahead_m >= 0);
      if (that_way && std::abs(ahead_m) <= best_m) {
        Drawing drawing(network_);
        drawing.piece(start_.edge, start_.along_m, target.along_m);
        return drawing.route(std::abs(ahead_m), start_, target);
      }
    }
    if (best_m == kNoPath) return std::nullopt;
    return draw(searches[best_search], best_entry, target, best_m);
  }

 private:
  struct Search {
    Step exit;
    RiverGraph::Reached reached;
  };

  class Drawing {
   public:
    explicit Drawing(const ChannelNetwork& network) : network_(network) {}

    // The part of an edge from one place on it to another, either way.
    void piece(std::uint32_t edge, double begin_m, double end_m) {
      if (begin_m == end_m) return;
      reaches_.push_back(network_.edges()[edge].reach);
      Line part;
      append_part(network_, {edge, std::min(begin_m, end_m), std::max(begin_m, end_m)}, part);
      if (begin_m > end_m) std::reverse(part.begin(), part.end());
      path_.insert(path_.end(), part.begin(), part.end());
    }

    Route route(double distance_m, const ChannelPoint& start, const ChannelPoint& target) {
      path_.insert(path_.begin(), start.position);
      path_.push_back(target.position);
      path_.erase(std::unique(path_.begin(), path_.end()), path_.end());
      std::sort(reaches_.begin(), reaches_.end());
      const auto last = std::unique(reaches_.begin(), reaches_.end());
      const auto count = static_cast<std::uint32_t>(last - reaches_.begin());
      return {distance_m, std::move(path_), std::max(count, 1U)};  // one place stands on one reach
    }

   private:
    const ChannelNetwork& network_;
    Line path_;
    std::vector<ReachIndex> reaches_;
  };

  static Direction opposite(Direction direction) {
    if (direction == Direction::kAny) return Direction::kAny;
    return direction == Direction::kUpstream ? Direction::kDownstream : Direction::kUpstream;
  }

  // The node on which a place stands: within a centimetre of an end of its edge it is at that end, and so on
  // every channel that meets there.
  std::optional<std::uint32_t> node_at(const ChannelPoint& place) const {
    const GraphEdge& edge = network_.graph().edges()[place.edge];
    const double left_m = edge.length_m - place.along_m;
    if (std::min(place.along_m, left_m) > kSamePlaceM) return std::nullopt;
    return place.along_m <= left_m ? edge.from : edge.to;
  }

  // How one leaves a place in a direction.
  std::vector<Step> steps(const ChannelPoint& place, Direction direction) const {
    if (const auto node = node_at(place)) return {{*node, 0}};
    const GraphEdge& edge = network_.graph().edges()[place.edge];
    std::vector<Step> out;
    if (direction != Direction::kDownstream) out.push_back({edge.from, place.along_m});
    if (direction != Direction::kUpstream) out.push_back({edge.to, edge.length_m - place.along_m});
    return out;
  }

  const std::vector<Search>& searches_for(Direction direction) {
    std::vector<Search>& searches = searches_[static_cast<std::size_t>(direction)];
    if (searches.empty()) {
      for (const Step& exit : steps(start_, direction)) {
        searches.push_back({exit, network_.graph().from_node(exit.node, direction)});
      }
    }
    return searches;
  }

  // The part of a place's edge between it and a node of that edge; nothing for a place at the node.
  void end_piece(Drawing& drawing, const ChannelPoint& place, const Step& step, bool towards_node) const {
    if (node_at(place)) return;
    const GraphEdge& edge = network_.graph().edges()[place.edge];
    // A loop's edge has one node at both ends; the cost tells which way round.
    const bool down = edge.to == step.node && (edge.from != edge.to || step.cost_m != place.along_m);
    const double node_m = down ? edge.length_m : 0;
    if (towards_node) {
      drawing.piece(place.edge, place.along_m, node_m);
    } else {
      drawing.piece(place.edge, node_m, place.along_m);
    }
  }

  Route draw(const Search& search, const Step& entry, const ChannelPoint& target, double distance_m) const {
    const std::span<const GraphEdge> edges = network_.graph().edges();
    std::vector<std::pair<std::uint32_t, bool>> back;  // edge, and whether it is walked downstream
    for (std::uint32_t node = entry.node; node != search.exit.node;) {
      const std::uint32_t e = search.reached.via_edge[node];
      const bool down = edges[e].to == node;
      back.emplace_back(e, down);
      node = down ? edges[e].from : edges[e].to;
    }
    Drawing drawing(network_);
    end_piece(drawing, start_, search.exit, true);
    for (auto step = back.rbegin(); step != back.rend(); ++step) {
      const double length_m = edges[step->first].length_m;
      drawing.piece(step->first, step->second ? 0 : length_m, step->second ? length_m : 0);
    }
    end_piece(drawing, target, entry, false);
    return drawing.route(distance_m, start_, target);
  }

  const ChannelNetwork& network_;
  const ChannelPoint start_;
  std::array<std::vector<Search>, 3> searches_;
};

std::string straight_text(double straight_m) {
  return format_fixed(straight_m, 0) + " m in a straight line, which is not a distance along water";
}

std::string within(double limit_m, const char* place) {
  return "within " + format_number(limit_m) + " m of " + place;
}

std::string off_channel_note(const ChannelNetwork& network, double start_limit_m, bool start_is_on,
                             bool target_is_on, double straight_m) {
  if (network.edges().empty()) return "there are no channels to follow; " + straight_text(straight_m);
  const double target_limit_m = network.options().max_snap_m;
  std::string where;
  if (start_is_on) {
    where = within(target_limit_m, "the other place");
  } else if (target_is_on) {
    where = within(start_limit_m, "this place");
  } else if (start_limit_m == target_limit_m) {
    where = within(start_limit_m, "either place");
  } else {
    where = within(start_limit_m, "this place") + " nor " + within(target_limit_m, "the other place");
  }
  return "no channel " + where + "; " + straight_text(straight_m);
}

// What was moved far to reach the channel, put behind what the note says already.
void mention_snaps(ChannelDistance& answer) {
  const auto mention = [&](const char* place, const std::optional<double>& snap_m) {
    if (!snap_m || *snap_m <= kSnapToMentionM) return;
    answer.note += (answer.note.empty() ? "" : "; ") + std::string(place) + " was moved " +
                   format_fixed(*snap_m, 0) + " m to the channel";
  };
  mention("the place", answer.snap_m);
  mention("the other place", answer.target_snap_m);
}

// Fills relation, distance and path; false for a target that lies another way than asked.
bool relate(Routes& routes, const ChannelPoint& target, Direction direction, ChannelDistance& answer) {
  std::optional<Route> route;
  if (routes.component(target) != routes.start_component()) {
    answer.relation = Relation::kUnconnected;
    answer.note = "no channel joins the two places; " + straight_text(answer.straight_m);
    return true;
  }
  if (direction != Direction::kDownstream) {
    route = routes.to(target, Direction::kUpstream);
    answer.relation = Relation::kUpstream;
  }
  if (direction != Direction::kUpstream) {
    std::optional<Route> down = routes.to(target, Direction::kDownstream);
    if (down && (!route || down->distance_m < route->distance_m)) {
      route = std::move(down);
      answer.relation = Relation::kDownstream;
    }
  }
  if (!route && direction == Direction::kAny) {
    route = routes.to(target, Direction::kAny);
    answer.relation = Relation::kViaConfluence;
  }
  if (!route) return false;
  answer.distance_m = route->distance_m;
  answer.path = std::move(route->path);
  answer.reach_count = route->reach_count;
  return true;
}

}  // namespace

std::vector<ChannelDistance> distances_to(const ChannelNetwork& network, LonLat from,
                                          std::span<const LonLat> targets, Direction direction,
                                          std::optional<double> max_snap_m) {
  const double limit_m = max_snap_m.value_or(network.options().max_snap_m);
  const std::optional<ChannelPoint> start = network.snap(from, limit_m);
  std::optional<Routes> routes;
  if (start) routes.emplace(network, *start);
  std::vector<ChannelDistance> answers;
  for (std::size_t t = 0; t < targets.size(); ++t) {
    ChannelDistance answer;
    answer.target = t;
    answer.straight_m = geodesic_m(from, targets[t]);
    const std::optional<ChannelPoint> target = network.snap(targets[t]);
    if (start) answer.snap_m = start->snap_m;
    if (target) answer.target_snap_m = target->snap_m;
    if (!start || !target) {
      answer.relation = Relation::kOffChannel;
      answer.note =
          off_channel_note(network, limit_m, start.has_value(), target.has_value(), answer.straight_m);
    } else if (!relate(*routes, *target, direction, answer)) {
      continue;
    } else {
      mention_snaps(answer);
    }
    answers.push_back(std::move(answer));
  }
  std::stable_sort(answers.begin(), answers.end(), [](const ChannelDistance& a, const ChannelDistance& b) {
    if (a.distance_m.has_value() != b.distance_m.has_value()) return a.distance_m.has_value();
    return a.distance_m ? *a.distance_m < *b.distance_m : a.straight_m < b.straight_m;
  });
  return answers;
}

}  // namespace brookmark::core
