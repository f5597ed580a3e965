#include "core/network/stream_order.hpp"

#include <algorithm>
#include <limits>

namespace brookmark::core {
namespace {

constexpr std::uint32_t kNone = std::numeric_limits<std::uint32_t>::max();

// Walks the groups of nodes that water can run between, those upstream first. f(begin, end) in nodes_down().
template <class F>
void each_group(const RiverGraph& graph, F&& f) {
  const auto nodes = graph.nodes_down();
  for (std::size_t begin = 0, end = 0; begin < nodes.size(); begin = end) {
    end = begin + 1;
    while (end < nodes.size() && graph.group(nodes[end]) == graph.group(nodes[begin])) ++end;
    f(begin, end);
  }
}

bool is_within(const RiverGraph& graph, std::uint32_t edge) {
  return graph.group(graph.edges()[edge].from) == graph.group(graph.edges()[edge].to);
}

std::vector<std::uint8_t> orders_of(const RiverGraph& graph) {
  std::vector<std::uint8_t> order(graph.edges().size(), 1);
  std::vector<std::uint32_t> origin(graph.edges().size(),
                                    kNone);  // node where the stream of this order began
  const auto nodes = graph.nodes_down();
  each_group(graph, [&](std::size_t begin, std::size_t end) {
    std::uint8_t highest = 0;
    std::uint32_t from = kNone;
    bool meet = false;
    for (std::size_t i = begin; i < end; ++i) {
      for (const std::uint32_t e : graph.edges_in(nodes[i])) {
        if (is_within(graph, e) || order[e] < highest) continue;
        meet = order[e] == highest && (meet || origin[e] != from);
        highest = order[e];
        from = origin[e];
      }
    }
    if (highest == 0 || meet) {
      from = nodes[begin];
      if (highest < std::numeric_limits<std::uint8_t>::max()) ++highest;
    }
    for (std::size_t i = begin; i < end; ++i) {
      for (const std::uint32_t e : graph.edges_out(nodes[i])) order[e] = highest, origin[e] = from;
    }
  });
  return order;
}

// Upstream lengths. Where every node has one way down, sums are enough. Where a group has several, what lies
// above it arrives by several ways and must count once: such a group (a fork) is kept by name in a set, and the
// sets are added up with every fork counted once.
class UpstreamLengths {
 public:
  explicit UpstreamLengths(const RiverGraph& graph)
      : graph_(graph), above_(graph.node_count()), sets_(1), set_sum_(1, 0) {}

  std::vector<double> run() {
    const auto nodes = graph_.nodes_down();
    std::vector<double> upstream_m(graph_.edges().size(), 0);
    each_group(graph_, [&](std::size_t begin, std::size_t end) {
      const Above here = gather(begin, end);
      const double total_m = here.own_m + set_sum_[here.set];
      for (std::size_t i = begin; i < end; ++i) {
        for (const std::uint32_t e : graph_.edges_out(nodes[i]))
          upstream_m[e] = is_within(graph_, e) ? total_m : total_m + graph_.edges()[e].length_m;
      }
    });
    return upstream_m;
  }

 private:
  struct Above {
    double own_m = 0;       // channel above that is in no set
    std::uint32_t set = 0;  // forks above; 0: none
    std::uint32_t fork = kNone;
  };

  Above gather(std::size_t begin, std::size_t end) {
    const auto nodes = graph_.nodes_down();
    Above here;
    std::size_t leaving = 0;
    std::vector<std::uint32_t>& sets = sets_here_;
    std::vector<std::uint32_t>& forks = forks_here_;
    sets.clear(), forks.clear();
    for (std::size_t i = begin; i < end; ++i) {
      for (const std::uint32_t e : graph_.edges_in(nodes[i])) {
        const GraphEdge& edge = graph_.edges()[e];
        if (is_within(graph_, e)) {
          if (edge.to == nodes[i]) here.own_m += edge.length_m;  // once, also where it runs both ways
          continue;
        }
        const Above& from = above_[edge.from];
        here.own_m += edge.length_m;
        if (from.fork != kNone) {
          forks.push_back(from.fork);
        } else {
          here.own_m += from.own_m;
          if (from.set != 0) sets.push_back(from.set);
        }
      }
      for (const std::uint32_t e : graph_.edges_out(nodes[i])) leaving += is_within(graph_, e) ? 0 : 1;
    }
    here.set = united(sets, forks);
    if (leaving > 1) {
      here.fork = static_cast<std::uint32_t>(forks_.size());
      forks_.push_back({here.own_m, here.set});
    }
    for (std::size_t i = begin; i < end; ++i) above_[nodes[i]] = here;
    return here;
  }

  std::uint32_t united(std::vector<std::uint32_t>& sets, std::vector<std::uint32_t>& forks) {
    std::sort(sets.begin(), sets.end());
    sets.erase(std::unique(sets.begin(), sets.end()), sets.end());
    if (forks.empty() && sets.empty()) return 0;
    if (forks.empty() && sets.size() == 1) return sets.front();
    for (const std::uint32_t set : sets) forks.insert(forks.end(), sets_[set].begin(), sets_[set].end());
    std::sort(forks.begin(), forks.end());
    forks.erase(std::unique(forks.begin(), forks.end()), forks.end());
    sets_.push_back(forks);
    set_sum_.push_back(sum_of(forks));
    return static_cast<std::uint32_t>(sets_.size() - 1);
  }

  // Everything above these forks and above the forks above them, each once.
  double sum_of(const std::vector<std::uint32_t>& forks) {
    ++round_;
    seen_.resize(forks_.size(), 0);
    double sum_m = 0;
    std::vector<std::uint32_t> open;
    const auto visit = [&](std::uint32_t fork) {
      if (seen_[fork] == round_) return;
      seen_[fork] = round_;
      open.push_back(fork);
    };
    for (const std::uint32_t fork : forks) visit(fork);
    while (!open.empty()) {
      const Fork& fork = forks_[open.back()];
      open.pop_back();
      sum_m += fork.own_m;
      for (const std::uint32_t above : sets_[fork.set]) visit(above);
    }
    return sum_m;
  }

  struct Fork {
    double own_m;
    std::uint32_t set;
  };

  const RiverGraph& graph_;
  std::vector<Above> above_;  // by node
  std::vector<Fork> forks_;
  std::vector<std::vector<std::uint32_t>> sets_;  // of forks; set 0 is empty
  std::vector<double> set_sum_;
  std::vector<std::uint32_t> seen_;  // by fork: the round that met it last
  std::uint32_t round_ = 0;
  std::vector<std::uint32_t> sets_here_, forks_here_;
};

std::vector<double> mouths_of(const RiverGraph& graph) {
  std::vector<std::uint8_t> is_mouth(graph.node_count());
  for (std::uint32_t node = 0; node < graph.node_count(); ++node)
    is_mouth[node] = graph.edges_out(node).empty() ? 1 : 0;
  const std::vector<double> at_node_m = graph.nearest(is_mouth, Direction::kDownstream);
  std::vector<double> mouth_m(graph.edges().size());
  for (std::uint32_t e = 0; e < mouth_m.size(); ++e) {
    const GraphEdge& edge = graph.edges()[e];
    mouth_m[e] = at_node_m[edge.to];
    if (graph.is_two_way(e)) mouth_m[e] = std::min(mouth_m[e], at_node_m[edge.from]);
  }
  return mouth_m;
}

}  // namespace

StreamFigures stream_figures(const RiverGraph& graph) {
  return {orders_of(graph), UpstreamLengths(graph).run(), mouths_of(graph)};
}

}  // namespace brookmark::core
