#include <algorithm>
#include <cmath>
#include <vector>

#include "core/base/text.hpp"
#include "core/network/block_tree_internal.hpp"
#include "core/network/mend_internal.hpp"

// Heights alone mislead where the ground is rough or a line lies beside its valley; the network alone does not know
// its outlet. So the outlet of joined channels is taken from the heights, the way towards it from the network,
// and a line is turned where its own heights agree.

namespace brookmark::core {
namespace {

class DownTheGround {
 public:
  explicit DownTheGround(Mend& mend)
      : mend_(mend), least_m_(mend.options.least_climb_m), reaches_(mend.reaches()) {
    ChannelOptions options;
    options.join_tolerance_m = mend.options.tolerance_m;
    network_ = build_channels(reaches_, options);
  }

  void run() {
    const BlockTree tree(graph());
    read_heights();
    find_outlets(tree);
    judge_bridges(tree);
    judge_blocks(tree);
    list_edges();
    for (std::size_t line = 0; line < reaches_.size(); ++line)
      turned_[line] = rises(line) && wished(line) == Wished::kTurned ? 1 : 0;
    turn_level_lines(tree);
    for (std::size_t line = 0; line < reaches_.size(); ++line) settle(line, tree);
  }

 private:
  using Height = std::optional<double>;
  enum class Wish : std::uint8_t { kOpen, kAsDrawn, kTurned };
  enum class Wished : std::uint8_t { kOpen, kAsDrawn, kTurned, kInPart };

  const RiverGraph& graph() const { return network_.graph(); }
  const GraphEdge& edge(std::uint32_t e) const { return graph().edges()[e]; }

  Height height(LonLat place) const {
    const Height h = mend_.options.height_at(place);
    return h && std::isfinite(*h) ? h : std::nullopt;
  }

  void read_heights() {
    node_m_.assign(graph().node_count(), std::nullopt);
    place_.assign(graph().node_count(), kUnplaced);
    degree_.assign(graph().node_count(), 0);
    for (std::uint32_t e = 0; e < graph().edges().size(); ++e) {
      place_[edge(e).from] = network_.edges()[e].line.front();
      place_[edge(e).to] = network_.edges()[e].line.back();
      ++degree_[edge(e).from], ++degree_[edge(e).to];
    }
    for (std::uint32_t n = 0; n < graph().node_count(); ++n)
      if (degree_[n] > 0) node_m_[n] = height(place_[n]);
    first_m_.assign(reaches_.size(), std::nullopt);
    last_m_.assign(reaches_.size(), std::nullopt);
    for (std::size_t line = 0; line < reaches_.size(); ++line) {
      if (mend_.lines[line].stored || reaches_[line].line.size() < 2) continue;
      first_m_[line] = height(reaches_[line].line.front());
      last_m_[line] = height(reaches_[line].line.back());
    }
    turned_.assign(reaches_.size(), 0);
  }

  Height climb(std::size_t line) const {
    if (!first_m_[line] || !last_m_[line]) return std::nullopt;
    return *last_m_[line] - *first_m_[line];
  }
  bool rises(std::size_t line) const { return climb(line) && *climb(line) > least_m_; }
  bool is_level(std::size_t line) const { return climb(line) && std::abs(*climb(line)) <= least_m_; }

  // The lowest dead end of each tree; of two at one height that which is one as drawn.
  void find_outlets(const BlockTree& tree) {
    const std::size_t blocks = tree.block_nodes.size();
    outlet_.assign(blocks, kNoItem);
    all_known_.assign(blocks, 1);
    const auto key = [&](std::uint32_t n) { return std::pair(*node_m_[n], !graph().edges_out(n).empty()); };
    for (std::uint32_t n = 0; n < graph().node_count(); ++n) {
      if (degree_[n] != 1) continue;
      const std::uint32_t root = tree.tree[tree.block[n]];
      if (!node_m_[n])
        all_known_[root] = 0;
      else if (outlet_[root] == kNoItem || key(n) < key(outlet_[root]))
        outlet_[root] = n;
    }
    // Outwards from the outlets, and how many ends that may be the outlet as well lie in each block or beyond it.
    outwards_.clear();
    towards_.assign(blocks, kNoItem);
    rival_.assign(blocks, 0);
    falls_.assign(blocks, 0);
    std::vector<std::uint8_t> seen(blocks, 0);
    for (std::uint32_t root = 0; root < blocks; ++root) {
      if (tree.tree[root] != root || outlet_[root] == kNoItem) continue;
      std::size_t at = outwards_.size();
      const std::uint32_t start = tree.block[outlet_[root]];
      outwards_.push_back(start);
      seen[start] = falls_[start] = 1;
      for (; at < outwards_.size(); ++at) {
        const std::uint32_t here = outwards_[at];
        for (const std::uint32_t node : tree.block_nodes[here])
          tree.each_edge(node, [&](std::uint32_t e) {
            const std::uint32_t upper = graph().far_end(e, node), block = tree.block[upper];
            if (tree.bridge[e] == 0 || seen[block] != 0) return;
            seen[block] = 1;
            towards_[block] = e;
            const bool climbs_out =
                !node_m_[upper] || !node_m_[node] || *node_m_[node] - *node_m_[upper] > least_m_;
            falls_[block] = falls_[here] != 0 && !climbs_out ? 1 : 0;
            outwards_.push_back(block);
          });
      }
    }
    for (std::uint32_t n = 0; n < graph().node_count(); ++n) {
      if (degree_[n] != 1 || !node_m_[n]) continue;
      const std::uint32_t best = outlet_[tree.tree[tree.block[n]]];
      if (n != best && *node_m_[n] <= *node_m_[best] + least_m_) rival_[tree.block[n]] = 1;
    }
    for (std::size_t i = outwards_.size(); i-- > 0;) {
      const std::uint32_t b = outwards_[i];
      if (towards_[b] == kNoItem || rival_[b] == 0) continue;
      const GraphEdge& way = edge(towards_[b]);
      rival_[tree.block[way.from] == b ? tree.block[way.to] : tree.block[way.from]] = 1;
    }
  }

  void judge_bridges(const BlockTree& tree) {
    wish_.assign(graph().edges().size(), Wish::kOpen);
    for (const std::uint32_t b : outwards_) {
      const std::uint32_t e = towards_[b];
      if (e == kNoItem || !tree.counts(e) || rival_[b] != 0) continue;
      wish_[e] = tree.block[edge(e).from] == b ? Wish::kAsDrawn : Wish::kTurned;
    }
  }

  // Within a braid: to where it is nearer to the outlet, measured along the channel either way.
  void judge_blocks(const BlockTree& tree) {
    std::vector<std::uint8_t> marks(graph().node_count(), 0);
    for (const std::uint32_t node : outlet_)
      if (node != kNoItem) marks[node] = 1;
    const std::vector<double> away_m = graph().nearest(marks, Direction::kAny);
    for (std::uint32_t e = 0; e < graph().edges().size(); ++e) {
      const double from_m = away_m[edge(e).from], to_m = away_m[edge(e).to];
      if (tree.bridge[e] != 0 || !tree.counts(e) || rival_[tree.block[edge(e).from]] != 0 || from_m == to_m)
        continue;
      wish_[e] = from_m < to_m ? Wish::kTurned : Wish::kAsDrawn;
    }
  }

  void list_edges() {
    edges_of_.assign(reaches_.size(), {});
    for (std::uint32_t e = 0; e < graph().edges().size(); ++e)
      edges_of_[network_.edges()[e].reach.value()].push_back(e);
  }

  Wished wished(std::size_t line) const {
    std::size_t turned = 0, as_drawn = 0;
    for (const std::uint32_t e : edges_of_[line]) {
      turned += wish_[e] == Wish::kTurned ? 1 : 0;
      as_drawn += wish_[e] == Wish::kAsDrawn ? 1 : 0;
    }
    if (turned == 0) return as_drawn > 0 ? Wished::kAsDrawn : Wished::kOpen;
    return turned == edges_of_[line].size() ? Wished::kTurned : Wished::kInPart;
  }

  // Whether an edge brings water to a node, after what was turned.
  bool arrives(std::uint32_t e, std::uint32_t node) const {
    const bool turned = turned_[network_.edges()[e].reach.value()] != 0;
    return !graph().is_two_way(e) && (turned ? edge(e).from : edge(e).to) == node;
  }

  // From the headwaters down, so that what is turned above counts.
  void turn_level_lines(const BlockTree& tree) {
    for (std::size_t i = outwards_.size(); i-- > 0;) {
      const std::uint32_t b = outwards_[i], e = towards_[b];
      if (e == kNoItem || wish_[e] != Wish::kTurned || falls_[b] == 0 || all_known_[tree.tree[b]] == 0)
        continue;
      const std::size_t line = network_.edges()[e].reach.value();
      if (!is_level(line) || edges_of_[line].size() != 1) continue;
      const std::uint32_t end = edge(e).to;
      bool stuck = degree_[end] > 1;
      tree.each_edge(end, [&](std::uint32_t other) { stuck = stuck && arrives(other, end); });
      turned_[line] = stuck ? 1 : 0;
    }
  }

  void settle(std::size_t line, const BlockTree& tree) {
    if (mend_.lines[line].stored || reaches_[line].line.size() < 2 || reaches_[line].two_way) return;
    const LonLat first = reaches_[line].line.front();
    const std::string label = mend_.label(line);
    if (!climb(line)) {
      mend_.saw(Severity::kNote, line, ChannelFault::kHeightUnknown, first, std::nullopt,
                "The terrain has no height at an end of " + label + "; its direction stays as drawn.");
      return;
    }
    const bool level = is_level(line), asked = wished(line) == Wished::kTurned;
    const bool open = level && wished(line) == Wished::kOpen;
    if (turned_[line] == 0 && !rises(line) && !(level && asked) && !open) return;
    std::string why =
        label +
        (level ? " hardly falls either way"
               : " climbs " + format_fixed(*climb(line), 1) + " m from its first point to its last") +
        " (" + format_fixed(*first_m_[line], 1) + " to " + format_fixed(*last_m_[line], 1) + " m)";
    const double long_m = length_m(reaches_[line].line);
    if (asked)
      why += " and leads away from the lowest end of these channels, at " +
             place_words(place_[outlet_[tree.tree[tree.block[edge(edges_of_[line].front()).from]]]]);
    if (turned_[line] != 0) {
      if (level) why += "; what comes down to it has no other way out";
      mend_.turn(line);
      mend_.did(line, ChannelFault::kAgainstFlow, first, long_m, why + ".", "its line is turned round");
      return;
    }
    switch (wished(line)) {
      case Wished::kTurned:
        break;
      case Wished::kAsDrawn:
        why += ", but the channels it is joined to lead this way to their lowest end";
        break;
      case Wished::kOpen:
        why += ", but it is not clear at which end these channels run out";
        break;
      case Wished::kInPart:
        why += ", but only a part of it leads away from the lowest end of these channels";
        break;
    }
    mend_.saw(level ? Severity::kNote : Severity::kWarning, line,
              open ? ChannelFault::kHeightUnknown : ChannelFault::kAgainstFlow, first, long_m,
              why + "; it was left as drawn.");
  }

  Mend& mend_;
  const double least_m_;
  const std::vector<Reach> reaches_;
  ChannelNetwork network_;
  std::vector<Height> node_m_, first_m_, last_m_;  // by node; by line
  std::vector<LonLat> place_;                      // by node
  std::vector<std::uint32_t> degree_;              // by node
  std::vector<std::uint32_t> outlet_;              // by root of a tree: a node
  std::vector<std::uint8_t> all_known_;            // by root: every dead end has a height
  std::vector<std::uint32_t> outwards_,
      towards_;                      // blocks from the outlets up; by block: bridge to the outlet
  std::vector<std::uint8_t> rival_;  // by block: an end in it or beyond may be the outlet as well
  std::vector<std::uint8_t> falls_;  // by block: no bridge on the way to the outlet climbs
  std::vector<Wish> wish_;           // by edge
  std::vector<std::vector<std::uint32_t>> edges_of_;  // by line
  std::vector<std::uint8_t> turned_;                  // by line
};

}  // namespace

void turn_by_heights(Mend& mend) {
  DownTheGround(mend).run();
}

}  // namespace brookmark::core
