#include <algorithm>
#include <cmath>
#include <vector>

#include "core/base/text.hpp"
#include "core/network/block_tree_internal.hpp"
#include "core/network/mend_internal.hpp"

// On the tree of blocks the bridges must all lead towards the outlet; the metres that lead away are what an
// outlet costs. Every dead end may be the outlet; where none of them is one as drawn, so may a place where
// channels run together.

namespace brookmark::core {
namespace {

class Majority {
 public:
  explicit Majority(Mend& mend) : mend_(mend), reaches_(mend.reaches()) {
    ChannelOptions options;
    options.join_tolerance_m = mend.options.tolerance_m;
    network_ = build_channels(reaches_, options);
    tree_.emplace(network_.graph());
  }

  // True when a line was turned.
  bool run() {
    choose_outlets();
    judge_bridges();
    judge_blocks();
    tell_undecided();
    return turn_lines();
  }

 private:
  const RiverGraph& graph() const { return network_.graph(); }
  void choose_outlets() {
    const std::size_t count = tree_->block_nodes.size();
    // What it costs to have the outlet in a block: first for the root of each tree, then step by step away.
    cost_m_.assign(count, 0);
    std::vector<double> total_m(count, 0);
    for (const std::uint32_t b : tree_->order) {
      if (tree_->towards[b] == kNoItem) continue;
      total_m[tree_->tree[b]] += tree_->weight(tree_->towards[b]);
      if (!tree_->leads_to_parent(b)) cost_m_[tree_->tree[b]] += tree_->weight(tree_->towards[b]);
    }
    for (const std::uint32_t b : tree_->order) {
      if (tree_->towards[b] == kNoItem) continue;
      const double w = tree_->weight(tree_->towards[b]);
      cost_m_[b] = cost_m_[tree_->parent(b)] + (tree_->leads_to_parent(b) ? w : -w);
    }
    total_m_ = std::move(total_m);
    std::vector<std::uint32_t> degree(graph().node_count(), 0);
    for (const GraphEdge& e : graph().edges()) ++degree[e.from], ++degree[e.to];
    std::vector<std::uint8_t> has_end_outlet(count, 0);
    // The end of a two-way canal may be the outlet too.
    const auto is_sink = [&](std::uint32_t n) {
      const auto out = graph().edges_out(n);
      return degree[n] > 0 && (out.empty() || (degree[n] == 1 && graph().is_two_way(out.front())));
    };
    for (std::uint32_t n = 0; n < graph().node_count(); ++n)
      if (degree[n] == 1 && is_sink(n)) has_end_outlet[tree_->tree[tree_->block[n]]] = 1;
    best_.assign(count, kNoItem);
    std::vector<std::uint32_t> candidates;
    for (std::uint32_t n = 0; n < graph().node_count(); ++n) {
      const std::uint32_t tree = tree_->tree[tree_->block[n]];
      if (degree[n] != 1 && (has_end_outlet[tree] != 0 || !is_sink(n))) continue;
      candidates.push_back(n);
      std::uint32_t& best = best_[tree];
      const auto key = [&](std::uint32_t node) {
        return std::pair(cost_m_[tree_->block[node]], !is_sink(node));
      };
      if (best == kNoItem || key(n) < key(best)) best = n;
    }
    second_.assign(count, kNoItem);
    for (const std::uint32_t n : candidates) {
      const std::uint32_t tree = tree_->tree[tree_->block[n]];
      const auto cost_m = [&](std::uint32_t node) { return cost_m_[tree_->block[node]]; };
      if (n != best_[tree] && (second_[tree] == kNoItem || cost_m(n) < cost_m(second_[tree])))
        second_[tree] = n;
    }
    plausible_below_.assign(count, 0);
    plausible_.assign(count, 0);
    for (const std::uint32_t n : candidates) {
      const std::uint32_t tree = tree_->tree[tree_->block[n]];
      const double best_m = cost_m_[tree_->block[best_[tree]]];
      const bool clearly_worse =
          cost_m_[tree_->block[n]] > best_m && cost_m_[tree_->block[n]] >= kClearMajority * best_m;
      if (n == best_[tree] || !clearly_worse) ++plausible_below_[tree_->block[n]], ++plausible_[tree];
    }
    sides_.assign(count, 0);
    for (std::size_t b = 0; b < count; ++b) sides_[b] += plausible_below_[b] > 0 ? 1 : 0;
    for (std::size_t i = tree_->order.size(); i-- > 0;)
      if (const std::uint32_t b = tree_->order[i]; tree_->towards[b] != kNoItem) {
        plausible_below_[tree_->parent(b)] += plausible_below_[b];
        sides_[tree_->parent(b)] += plausible_below_[b] > 0 ? 1 : 0;
        sides_[b] += plausible_[tree_->tree[b]] > plausible_below_[b] ? 1 : 0;
      }
  }

  void want(std::uint32_t e, bool turned) { wish_[e] = turned ? -1 : 1; }

  void judge_bridges() {
    wish_.assign(graph().edges().size(), 0);
    for (const std::uint32_t b : tree_->order) {
      if (tree_->towards[b] == kNoItem || !tree_->counts(tree_->towards[b]) ||
          best_[tree_->tree[b]] == kNoItem)
        continue;
      // All outlets that may be lie on one side of it.
      if (plausible_below_[b] == 0) want(tree_->towards[b], !tree_->leads_to_parent(b));
      if (plausible_below_[b] == plausible_[tree_->tree[b]])
        want(tree_->towards[b], tree_->leads_to_parent(b));
    }
  }

  // Inside a block lines stay as drawn, unless they are part of a circle or lie where water cannot get out:
  // those lead to where it is nearer to the outlet, measured along the channel either way.
  void judge_blocks() {
    std::vector<std::uint8_t> marks(graph().node_count(), 0);
    for (const std::uint32_t node : best_)
      if (node != kNoItem) marks[node] = 1;
    const std::vector<double> away_m = graph().nearest(marks, Direction::kAny);
    std::vector<GraphEdge> one_way;
    for (std::uint32_t e = 0; e < graph().edges().size(); ++e)
      if (tree_->counts(e)) one_way.push_back(graph().edges()[e]);
    const RiverGraph flow(graph().node_count(), std::move(one_way));
    // From every block's exit, which is its node nearest to the outlet, against the flow.
    std::vector<std::uint8_t> drains(graph().node_count(), 0);
    std::vector<std::uint32_t> open;
    for (const auto& nodes : tree_->block_nodes) {
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
        if (tree_->bridge[e] != 0 || drains[above] != 0) continue;
        drains[above] = 1;
        open.push_back(above);
      }
    }
    for (std::uint32_t e = 0; e < graph().edges().size(); ++e) {
      const GraphEdge& edge = graph().edges()[e];
      if (tree_->bridge[e] != 0 || !tree_->counts(e) || edge.from == edge.to || away_m[edge.from] == kNoPath)
        continue;
      if (sides_[tree_->block[edge.from]] > 1) continue;
      const bool in_circle = flow.group(edge.from) == flow.group(edge.to);
      const bool stuck = drains[edge.from] == 0 || drains[edge.to] == 0;
      if ((in_circle || stuck) && away_m[edge.from] != away_m[edge.to])
        want(e, away_m[edge.from] < away_m[edge.to]);
    }
  }

  // Outlets that are about as likely.
  void tell_undecided() {
    std::vector<std::uint32_t> line(best_.size(), kNoItem);
    for (std::uint32_t e = 0; e < graph().edges().size(); ++e) {
      const std::size_t reach = network_.edges()[e].reach.value();
      std::uint32_t& first = line[tree_->tree[tree_->block[graph().edges()[e].from]]];
      if (!mend_.lines[reach].stored) first = std::min(first, static_cast<std::uint32_t>(reach));
    }
    for (std::uint32_t root = 0; root < best_.size(); ++root) {
      if (plausible_[root] < 2 || line[root] == kNoItem) continue;
      const auto words = [&](std::uint32_t node) {
        return place_words(node_place(node)) + " (" + format_fixed(cost_m_[tree_->block[node]], 0) +
               " m would be turned)";
      };
      mend_.saw(Severity::kWarning, line[root], ChannelFault::kAgainstFlow, node_place(best_[root]),
                cost_m_[tree_->block[best_[root]]],
                "The channels joined to " + mend_.label(line[root]) + " run out at " + words(best_[root]) +
                    " or at " + words(second_[root]) +
                    "; neither is clearly the likelier, so what lies between them was left as drawn.");
    }
  }

  bool turn_lines() {
    struct Vote {
      double for_m = 0, other_m = 0;
      std::uint32_t edge = kNoItem;
    };
    std::vector<Vote> votes(mend_.lines.size());
    for (std::uint32_t e = 0; e < graph().edges().size(); ++e) {
      Vote& vote = votes[network_.edges()[e].reach.value()];
      (wish_[e] < 0 ? vote.for_m : vote.other_m) += graph().edges()[e].length_m;
      if (wish_[e] < 0 && vote.edge == kNoItem) vote.edge = e;
    }
    bool turned = false;
    for (std::size_t line = 0; line < votes.size(); ++line) {
      const Vote& vote = votes[line];
      if (vote.edge == kNoItem) continue;
      const std::uint32_t tree = tree_->tree[tree_->block[graph().edges()[vote.edge].from]];
      const LonLat outlet = node_place(best_[tree]);
      const double total_m = total_m_[tree], against_m = cost_m_[tree_->block[best_[tree]]];
      std::string why = mend_.label(line) + " leads away from the outlet at " + place_words(outlet);
      if (tree_->bridge[vote.edge] == 0)
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
  std::optional<BlockTree> tree_;
  std::vector<double> cost_m_, total_m_;      // by block; by root
  std::vector<std::uint32_t> best_, second_;  // by root: the two likeliest outlets, nodes
  std::vector<std::uint32_t> sides_;  // by block: ways out of it, itself included, with outlets that may be
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

}  // namespace brookmark::core
