#include <algorithm>
#include <array>
#include <cmath>
#include <tuple>
#include <utility>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/network/channel_lines_internal.hpp"
#include "core/network/channel_walk.hpp"

namespace brookmark::core {
namespace {

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

// What makes a way along the channel less than plain.
void mention_way(ChannelDistance& answer) {
  const auto add = [&](const std::string& text) { answer.note += (answer.note.empty() ? "" : "; ") + text; };
  if (answer.two_way_m > 0)
    add(format_fixed(answer.two_way_m, 0) +
        " m of the way is channel in which water runs either way, so this holds only while it runs that way");
  if (answer.lake_m > 0)
    add(format_fixed(answer.lake_m, 0) + " m of the way is a straight line through a lake");
}

// Places brought to the network; those on a channel are also numbered without gaps.
struct SnappedPlaces {
  std::vector<std::optional<ChannelPoint>> at;  // per place
  std::vector<ChannelPoint> points;             // of the places on a channel
  std::vector<std::uint32_t> place_of;          // per point

  void add(std::optional<ChannelPoint> point) {
    if (point) {
      place_of.push_back(static_cast<std::uint32_t>(at.size()));
      points.push_back(*point);
    }
    at.push_back(std::move(point));
  }
};

// A pair with a way along the channel.
struct Joined {
  std::uint32_t from = 0, target = 0;  // places
  Relation relation = Relation::kUpstream;
  double distance_m = 0;
};

class DistanceTable {
 public:
  DistanceTable(const ChannelNetwork& network, std::span<const LonLat> from, std::span<const double> limits_m,
                std::span<const LonLat> targets, const DistanceQuery& query)
      : network_(network), from_(from), limits_m_(limits_m), targets_(targets), query_(query) {
    for (std::size_t i = 0; i < from.size(); ++i) from_at_.add(network.snap(from[i], limits_m[i]));
    for (const LonLat target : targets) target_at_.add(network.snap(target));
  }

  std::vector<std::vector<ChannelDistance>> answers() {
    join();
    std::vector<std::vector<ChannelDistance>> lists(from_.size());
    std::size_t next = 0;
    for (std::uint32_t i = 0; i < from_.size(); ++i) {
      const std::size_t begin = next;
      while (next < joined_.size() && joined_[next].from == i) ++next;
      lists[i] = list_of(i, std::span(joined_).subspan(begin, next - begin));
    }
    draw_routes(lists);
    return lists;
  }

 private:
  bool limited() const { return query_.within_m || query_.nearest; }
  std::uint32_t component(const ChannelPoint& place) const {
    return network_.graph().component(network_.graph().edges()[place.edge].from);
  }

  // All pairs with a way, by starting place; of two ways the shorter, and of equal ones that from upstream.
  void join() {
    const double within_m = query_.within_m.value_or(kNoPath);
    // Where any way will do, one with the flow counts before one across it, also where it is too long to be listed.
    const double flow_within_m = query_.direction == Direction::kAny ? kNoPath : within_m;
    const auto add = [&](const SnappedPlaces& start, const SnappedPlaces& end, Direction direction,
                         Relation relation, double limit_m) {
      for (const ChannelLink& link : channel_links(network_, start.points, end.points, direction, limit_m)) {
        const std::uint32_t a = start.place_of[link.from], b = end.place_of[link.to];
        if (&start == &from_at_) {
          joined_.push_back({a, b, relation, link.distance_m});
        } else {
          joined_.push_back({b, a, relation, link.distance_m});
        }
      }
    };
    // What drains to a place is found by walking down from what may drain to it: upstream lies a whole country.
    if (query_.direction != Direction::kDownstream)
      add(target_at_, from_at_, Direction::kDownstream, Relation::kUpstream, flow_within_m);
    if (query_.direction != Direction::kUpstream)
      add(from_at_, target_at_, Direction::kDownstream, Relation::kDownstream, flow_within_m);
    if (query_.direction == Direction::kAny) {
      if (from_.size() <= targets_.size()) {
        add(from_at_, target_at_, Direction::kAny, Relation::kViaConfluence, within_m);
      } else {
        add(target_at_, from_at_, Direction::kAny, Relation::kViaConfluence, within_m);
      }
    }
    std::sort(joined_.begin(), joined_.end(), [](const Joined& a, const Joined& b) {
      return std::tie(a.from, a.target, a.relation) < std::tie(b.from, b.target, b.relation);
    });
    // With the flow comes before across it, however long; upstream before downstream unless that is shorter.
    std::size_t kept = 0;
    for (std::size_t i = 0; i < joined_.size(); ++i) {
      if (kept > 0 && joined_[kept - 1].from == joined_[i].from &&
          joined_[kept - 1].target == joined_[i].target) {
        if (joined_[i].relation == Relation::kDownstream &&
            joined_[i].distance_m < joined_[kept - 1].distance_m - kSamePlaceM)
          joined_[kept - 1] = joined_[i];
        continue;
      }
      joined_[kept++] = joined_[i];
    }
    joined_.resize(kept);
    std::erase_if(joined_, [&](const Joined& pair) { return pair.distance_m > within_m; });
  }

  // Relation and words; distance_m of a joined pair too. The routes come later.
  std::vector<ChannelDistance> list_of(std::uint32_t i, std::span<const Joined> joined) const {
    std::vector<ChannelDistance> list;
    const std::optional<ChannelPoint>& start = from_at_.at[i];
    const auto answer_for = [&](std::uint32_t t, Relation relation) {
      ChannelDistance answer;
      answer.target = t;
      answer.relation = relation;
      answer.straight_m = geodesic_m(from_[i], targets_[t]);
      if (start) answer.snap_m = start->snap_m;
      if (target_at_.at[t]) answer.target_snap_m = target_at_.at[t]->snap_m;
      return answer;
    };
    for (const Joined& pair : joined) {
      list.push_back(answer_for(pair.target, pair.relation));
      list.back().distance_m = pair.distance_m;
      mention_snaps(list.back());
    }
    std::stable_sort(list.begin(), list.end(), [](const ChannelDistance& a, const ChannelDistance& b) {
      return *a.distance_m < *b.distance_m;
    });
    if (query_.nearest && list.size() > *query_.nearest) list.resize(*query_.nearest);
    if (limited() && !list.empty()) return list;

    std::vector<ChannelDistance> without;
    std::size_t next = 0;
    for (std::uint32_t t = 0; t < targets_.size(); ++t) {
      if (next < joined.size() && joined[next].target == t) {
        ++next;
        continue;
      }
      const std::optional<ChannelPoint>& target = target_at_.at[t];
      ChannelDistance answer = answer_for(t, Relation::kOffChannel);
      if (!start || !target) {
        answer.note = off_channel_note(network_, limits_m_[i], start.has_value(), target.has_value(),
                                       answer.straight_m);
      } else if (component(*start) != component(*target)) {
        answer.relation = Relation::kUnconnected;
        answer.note = "no channel joins the two places; " + straight_text(answer.straight_m);
        mention_snaps(answer);
      } else {
        continue;  // it lies another way than asked, or farther
      }
      without.push_back(std::move(answer));
    }
    std::stable_sort(without.begin(), without.end(), [](const ChannelDistance& a, const ChannelDistance& b) {
      return a.straight_m < b.straight_m;
    });
    if (limited() && without.size() > 1) without.resize(1);
    list.insert(list.end(), std::make_move_iterator(without.begin()), std::make_move_iterator(without.end()));
    return list;
  }

  // Walks once more from each place from which a kept way starts, and draws.
  void draw_routes(std::vector<std::vector<ChannelDistance>>& lists) const {
    struct Wanted {
      bool from_target;  // walked from the target's side; the way is then turned round
      std::uint32_t start;
      Direction direction;
      double distance_m;
      std::uint32_t end;
      ChannelDistance* answer;
    };
    const bool any_from_start = from_.size() <= targets_.size();
    std::vector<Wanted> wanted;
    for (std::uint32_t i = 0; i < lists.size(); ++i) {
      for (ChannelDistance& answer : lists[i]) {
        if (!answer.distance_m) continue;
        const auto t = static_cast<std::uint32_t>(answer.target);
        const bool across = answer.relation == Relation::kViaConfluence;
        const bool from_target = across ? !any_from_start : answer.relation == Relation::kUpstream;
        wanted.push_back({from_target, from_target ? t : i, across ? Direction::kAny : Direction::kDownstream,
                          *answer.distance_m, from_target ? i : t, &answer});
      }
    }
    if (wanted.empty()) return;
    const auto walk_of = [](const Wanted& w) { return std::tuple(w.from_target, w.start, w.direction); };
    std::sort(wanted.begin(), wanted.end(), [&](const Wanted& a, const Wanted& b) {
      // The farthest first: its walk holds the others.
      return std::tuple(walk_of(a), -a.distance_m, a.end) < std::tuple(walk_of(b), -b.distance_m, b.end);
    });
    ChannelWalk walk(network_);
    for (std::size_t w = 0; w < wanted.size(); ++w) {
      const auto& [from_target, start, direction, distance_m, end, answer] = wanted[w];
      if (w == 0 || walk_of(wanted[w]) != walk_of(wanted[w - 1]))
        walk.start(*(from_target ? target_at_ : from_at_).at[start], direction, distance_m);
      auto route = walk.route(*(from_target ? from_at_ : target_at_).at[end]);
      if (from_target) std::reverse(route->path.begin(), route->path.end());
      answer->path = std::move(route->path);
      answer->reach_count = route->reach_count;
      answer->two_way_m = route->two_way_m;
      answer->lake_m = route->lake_m;
      mention_way(*answer);
    }
  }

  const ChannelNetwork& network_;
  const std::span<const LonLat> from_;
  const std::span<const double> limits_m_;
  const std::span<const LonLat> targets_;
  const DistanceQuery query_;
  SnappedPlaces from_at_, target_at_;
  std::vector<Joined> joined_;
};

}  // namespace

std::vector<std::vector<ChannelDistance>> distances_between(const ChannelNetwork& network,
                                                            std::span<const LonLat> from,
                                                            std::span<const double> limits_m,
                                                            std::span<const LonLat> targets,
                                                            const DistanceQuery& query) {
  if (limits_m.size() != from.size())
    throw Error(ErrorCode::kBadUse, "There must be one snapping limit for each starting place.");
  if (query.within_m && !(*query.within_m >= 0))
    throw Error(ErrorCode::kBadUse, "A distance to look within must be 0 m or more.");
  return DistanceTable(network, from, limits_m, targets, query).answers();
}

std::vector<ChannelDistance> distances_to(const ChannelNetwork& network, LonLat from,
                                          std::span<const LonLat> targets, Direction direction,
                                          std::optional<double> max_snap_m) {
  const double limit_m = max_snap_m.value_or(network.options().max_snap_m);
  return std::move(
      distances_between(network, std::span(&from, 1), std::span(&limit_m, 1), targets, {direction})[0]);
}

}  // namespace brookmark::core
