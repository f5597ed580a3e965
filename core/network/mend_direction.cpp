#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "core/base/text.hpp"
#include "core/network/channels.hpp"
#include "core/network/mend_internal.hpp"

// The majority is asked on the tree that is left when every set of channels with more than one way between
// them (a braid, a block) is taken as one place. Its single channels (bridges) must all lead towards the
// outlet; the metres that lead away are what an outlet costs. Every dead end may be the outlet; where none of
// them is one as drawn, so may a place where channels run together.

namespace brookmark::core {
namespace {

constexpr std::uint32_t kNone = std::numeric_limits<std::uint32_t>::max();

class Majority {
 public:
  explicit Majority(Mend& mend) : mend_(mend), reaches_(mend.reaches()) {
    ChannelOptions options;
    options.join_tolerance_m = mend.options.tolerance_m;
    network_ = build_channels(reaches_, options);
  }

  // True when a line was turned.
  bool run() {
    find_bridges();
    label_blocks();
    order_blocks();
    choose_outlets();
    judge_bridges();
    judge_blocks();
    return turn_lines();
  }

 private:
  const RiverGraph& graph() const { return network_.graph(); }
  bool counts(std::uint32_t e) const { return !graph().is_two_way(e); }

  template <class F>
  void each_edge(std::uint32_t node, F&& f) const {
    for (const std::uint32_t e : graph().edges_out(node)) f(e);
    for (const std::uint32_t e : graph().edges_in(node))
      if (!graph().is_two_way(e) && graph().edges()[e].from != node) f(e);
  }

  // Tarjan 1974, Information Processing Letters 2:160-161, with a stack of its own.
  void find_bridges() {
    const std::uint32_t count = graph().node_count();
    bridge_.assign(graph().edges().size(), 0);
    std::vector<std::uint32_t> seen_as(count, kNone), lowest(count, 0), through(count, kNone);
    std::vector<std::vector<std::uint32_t>::size_type> next(count, 0);
    std::vector<std::uint32_t> begin(count + 1, 0), list;
    for (std::uint32_t n = 0; n < count; ++n) {
      each_edge(n, [&](std::uint32_t e) { list.push_back(e); });
      begin[n + 1] = static_cast<std::uint32_t>(list.size());
    }
    std::uint32_t seen = 0;
    std::vector<std::uint32_t> path;
    for (std::uint32_t root = 0; root < count; ++root) {
      if (seen_as[root] != kNone) continue;
      seen_as[root] = lowest[root] = seen++;
      path.push_back(root);
      while (!path.empty()) {
        const std::uint32_t node = path.back();
        if (next[node] < begin[node + 1] - begin[node]) {
          const std::uint32_t e = list[begin[node] + next[node]++];
          if (e == through[node]) continue;
          const std::uint32_t other = graph().far_end(e, node);
          if (seen_as[other] == kNone) {
            seen_as[other] = lowest[other] = seen++;
            through[other] = e;
            path.push_back(other);
          } else {
            lowest[node] = std::min(lowest[node], seen_as[other]);
          }
          continue;
        }
        path.pop_back();
        if (through[node] == kNone) continue;
        const std::uint32_t above = graph().far_end(through[node], node);
        lowest[above] = std::min(lowest[above], lowest[node]);
        if (lowest[node] == seen_as[node]) bridge_[through[node]] = 1;
      }
    }
  }

  void label_blocks() {
    const std::uint32_t count = graph().node_count();
    block_.assign(count, kNone);
    block_nodes_.clear();
    std::vector<std::uint32_t> open;
    for (std::uint32_t root = 0; root < count; ++root) {
      if (block_[root] != kNone) continue;
      const auto block = static_cast<std::uint32_t>(block_nodes_.size());
      block_nodes_.emplace_back();
      block_[root] = block;
      open.push_back(root);
      while (!open.empty()) {
        const std::uint32_t node = open.back();
        open.pop_back();
        block_nodes_[block].push_back(node);
        each_edge(node, [&](std::uint32_t e) {
          const std::uint32_t other = graph().far_end(e, node);
          if (bridge_[e] != 0 || block_[other] != kNone) return;
          block_[other] = block;
          open.push_back(other);
        });
      }
    }
  }

  // Blocks of each tree from any one of them outwards, with the bridge towards it.
  void order_blocks() {
    const std::size_t count = block_nodes_.size();
    towards_.assign(count, kNone);
    tree_.assign(count, kNone);
    order_.clear();
    for (std::uint32_t root = 0; root < count; ++root) {
      if (tree_[root] != kNone) continue;
      tree_[root] = root;
      std::size_t at = order_.size();
      order_.push_back(root);
      for (; at < order_.size(); ++at) {
        const std::uint32_t block = order_[at];
        for (const std::uint32_t node : block_nodes_[block]) {
          each_edge(node, [&](std::uint32_t e) {
            const std::uint32_t other = block_[graph().far_end(e, node)];
            if (bridge_[e] == 0 || tree_[other] != kNone) return;
            tree_[other] = root;
            towards_[other] = e;
            order_.push_back(other);
          });
        }
      }
    }
  }

  std::uint32_t parent(std::uint32_t block) const {
    const GraphEdge& e = graph().edges()[towards_[block]];
    return block_[e.from] == block ? block_[e.to] : block_[e.from];
  }
  bool leads_to_parent(std::uint32_t block) const {
    return block_[graph().edges()[towards_[block]].from] == block;
  }
  double weight(std::uint32_t e) const { return counts(e) ? graph().edges()[e].length_m : 0; }

  void choose_outlets() {
    const std::size_t count = block_nodes_.size();
    // What it costs to have the outlet in a block: first for the root of each tree, then step by step away.
    cost_m_.assign(count, 0);
    std::vector<double> total_m(count, 0);
    for (const std::uint32_t b : order_) {
      if (towards_[b] == kNone) continue;
      total_m[tree_[b]] += weight(towards_[b]);
      if (!leads_to_parent(b)) cost_m_[tree_[b]] += weight(towards_[b]);
    }
    for (const std::uint32_t b : order_) {
      if (towards_[b] == kNone) continue;
      const double w = weight(towards_[b]);
      cost_m_[b] = cost_m_[parent(b)] + (leads_to_parent(b) ? w : -w);
    }
    total_m_ = std::move(total_m);
    std::vector<std::uint32_t> degree(graph().node_count(), 0);
    for (const GraphEdge& e : graph().edges()) ++degree[e.from], ++degree[e.to];
    std::vector<std::uint8_t> has_end_outlet(count, 0);
    const auto is_sink = [&](std::uint32_t n) { return graph().edges_out(n).empty() && degree[n] > 0; };
    for (std::uint32_t n = 0; n < graph().node_count(); ++n)
      if (degree[n] == 1 && is_sink(n)) has_end_outlet[tree_[block_[n]]] = 1;
    best_.assign(count, kNone);
    std::vector<std::uint32_t> candidates;
    for (std::uint32_t n = 0; n < graph().node_count(); ++n) {
      const std::uint32_t tree = tree_[block_[n]];
      if (degree[n] != 1 && (has_end_outlet[tree] != 0 || !is_sink(n))) continue;
      candidates.push_back(n);
      std::uint32_t& best = best_[tree];
      const auto key = [&](std::uint32_t node) { return std::pair(cost_m_[block_[node]], !is_sink(node)); };
      if (best == kNone || key(n) < key(best)) best = n;
    }
    plausible_below_.assign(count, 0);
    plausible_.assign(count, 0);
    for (const std::uint32_t n : candidates) {
      const std::uint32_t tree = tree_[block_[n]];
      const double best_m = cost_m_[block_[best_[tree]]];
      const bool clearly_worse = cost_m_[block_[n]] > best_m && cost_m_[block_[n]] >= kClearMajority * best_m;
      if (n == best_[tree] || !clearly_worse) ++plausible_below_[block_[n]], ++plausible_[tree];
    }
    for (std::size_t i = order_.size(); i-- > 0;)
      if (towards_[order_[i]] != kNone) plausible_below_[parent(order_[i])] += plausible_below_[order_[i]];
  }

  void want(std::uint32_t e, bool turned) { wish_[e] = turned ? -1 : 1; }

  void judge_bridges() {
    wish_.assign(graph().edges().size(), 0);
    for (const std::uint32_t b : order_) {
      if (towards_[b] == kNone || !counts(towards_[b]) || best_[tree_[b]] == kNone) continue;
      // All outlets that may be lie on one side of it.
      if (plausible_below_[b] == 0) want(towards_[b], !leads_to_parent(b));
      if (plausible_below_[b] == plausible_[tree_[b]]) want(towards_[b], leads_to_parent(b));
    }
  }

  // Inside a block lines stay as drawn, unless they are part of a circle or lie where water cannot get out:
  // those lead to where it is nearer to the outlet, measured along the channel either way.
  void judge_blocks() {
    std::vector<std::uint8_t> marks(graph().node_count(), 0);
    for (const std::uint32_t node : best_)
      if (node != kNone) marks[node] = 1;
    const std::vector<double> away_m = graph().nearest(marks, Direction::kAny);
    std::vector<GraphEdge> one_way;
    for (std::uint32_t e = 0; e < graph().edges().size(); ++e)
      if (counts(e)) one_way.push_back(graph().edges()[e]);
    const RiverGraph flow(graph().node_count(), std::move(one_way));
    // From every block's exit, which is its node nearest to the outlet, against the flow.
    std::vector<std::uint8_t> drains(graph().node_count(), 0);
    std::vector<std::uint32_t> open;
    for (const auto& nodes : block_nodes_) {
      const std::uint32_t exit =
          *std::min_element(nodes.begin(), nodes.end(), [&](std::uint32_t a, std::uint32_t b) {
            return std::pair(away_m[a], a) < std::pair(away_m[b], b);
          });
      drains[exit] = 1;
      open.push_back(exit);
    }
    while (!open.empty()) {
      const std::uint32_t node = open.back();
      open.pop_back();
      for (const std::uint32_t e : graph().edges_in(node)) {
        const std::uint32_t above = graph().far_end(e, node);
        if (bridge_[e] != 0 || drains[above] != 0) continue;
        drains[above] = 1;
        open.push_back(above);
      }
    }
    for (std::uint32_t e = 0; e < graph().edges().size(); ++e) {
      const GraphEdge& edge = graph().edges()[e];
      if (bridge_[e] != 0 || !counts(e) || edge.from == edge.to || away_m[edge.from] == kNoPath) continue;
      const bool in_circle = flow.group(edge.from) == flow.group(edge.to);
      const bool stuck = drains[edge.from] == 0 || drains[edge.to] == 0;
      if ((in_circle || stuck) && away_m[edge.from] != away_m[edge.to])
        want(e, away_m[edge.from] < away_m[edge.to]);
    }
  }

  bool turn_lines() {
    struct Vote {
      double for_m = 0, other_m = 0;
      std::uint32_t edge = kNone;
    };
    std::vector<Vote> votes(mend_.lines.size());
    for (std::uint32_t e = 0; e < graph().edges().size(); ++e) {
      Vote& vote = votes[network_.edges()[e].reach.value()];
      (wish_[e] < 0 ? vote.for_m : vote.other_m) += graph().edges()[e].length_m;
      if (wish_[e] < 0 && vote.edge == kNone) vote.edge = e;
    }
    bool turned = false;
    for (std::size_t line = 0; line < votes.size(); ++line) {
      const Vote& vote = votes[line];
      if (vote.edge == kNone) continue;
      const std::uint32_t tree = tree_[block_[graph().edges()[vote.edge].from]];
      const LonLat outlet = node_place(best_[tree]);
      const double total_m = total_m_[tree], against_m = cost_m_[block_[best_[tree]]];
      std::string why = mend_.label(line) + " leads away from the outlet at " + place_words(outlet);
      if (bridge_[vote.edge] == 0)
        why = mend_.label(line) + " makes water run in a circle, or keeps it from the outlet at " +
              place_words(outlet);
      if (total_m > 0)
        why += ", towards which " + format_fixed(100 * (1 - against_m / total_m), 0) +
               " % of the length of these channels leads";
      const LonLat at = mend_.lines[line].reach.line.front();
      if (mend_.lines[line].stored) {
        continue;  // the survey's own check tells what is doubtful in it
      } else if (vote.other_m > 0) {
        mend_.saw(Severity::kWarning, line, ChannelFault::kAgainstFlow, at, vote.for_m,
                  why + ", over " + format_fixed(vote.for_m, 2) + " m of it only; it was left as drawn.");
      } else {
        mend_.turn(line);
        mend_.did(line, ChannelFault::kAgainstFlow, at, vote.for_m, why + ".", "its line is turned round");
        turned = true;
      }
    }
    return turned;
  }

  LonLat node_place(std::uint32_t node) const {
    const auto in = graph().edges_in(node);
    const std::uint32_t e = in.empty() ? graph().edges_out(node).front() : in.front();
    const Line& line = network_.edges()[e].line;
    return graph().edges()[e].to == node ? line.back() : line.front();
  }

  Mend& mend_;
  const std::vector<Reach> reaches_;
  ChannelNetwork network_;
  std::vector<std::uint8_t> bridge_;
  std::vector<std::uint32_t> block_;                        // by node
  std::vector<std::vector<std::uint32_t>> block_nodes_;     // by block
  std::vector<std::uint32_t> order_, towards_, tree_;       // blocks; by block: bridge to the root, root
  std::vector<double> cost_m_, total_m_;                    // by block; by root
  std::vector<std::uint32_t> best_;                         // by root: the likeliest outlet, a node
  std::vector<std::uint32_t> plausible_below_, plausible_;  // by block, by root: outlets that may be
  std::vector<std::int8_t> wish_;                           // by edge: -1 turned, 1 as drawn, 0 open
};

}  // namespace

void turn_by_majority(Mend& mend) {
  // What is settled in one round makes the next one clearer.
  constexpr int kMostRounds = 16;
  const std::size_t before = mend.findings.size();
  for (int round = 0; round < kMostRounds; ++round) {
    // Lines left as drawn are told by the last round alone.
    const auto is_left = [](const ChannelFinding& f) {
      return f.fault == ChannelFault::kAgainstFlow && !f.done;
    };
    mend.findings.erase(std::remove_if(mend.findings.begin() + static_cast<std::ptrdiff_t>(before),
                                       mend.findings.end(), is_left),
                        mend.findings.end());
    if (!Majority(mend).run()) return;
  }
}

void turn_by_heights(Mend& mend) {
  for (std::size_t line = 0; line < mend.lines.size(); ++line) {
    const Reach& reach = mend.lines[line].reach;
    if (mend.lines[line].stored || reach.line.size() < 2) continue;
    const LonLat first = reach.line.front(), last = reach.line.back();
    const std::optional<double> from_m = mend.options.height_at(first), to_m = mend.options.height_at(last);
    if (!from_m || !to_m || !std::isfinite(*from_m) || !std::isfinite(*to_m)) {
      mend.saw(
          Severity::kNote, line, ChannelFault::kHeightUnknown, first, std::nullopt,
          "The terrain has no height at an end of " + mend.label(line) + "; its direction stays as drawn.");
      continue;
    }
    const double climb_m = *to_m - *from_m;
    if (climb_m <= mend.options.least_climb_m) continue;
    mend.turn(line);
    mend.did(line, ChannelFault::kAgainstFlow, first, length_m(reach.line),
             mend.label(line) + " climbs " + format_fixed(climb_m, 1) +
                 " m from its first point to its last (" + format_fixed(*from_m, 1) + " to " +
                 format_fixed(*to_m, 1) + " m).",
             "its line is turned round");
  }
}

}  // namespace brookmark::core
