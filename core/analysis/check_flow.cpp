#include <algorithm>
#include <map>
#include <optional>
#include <set>
#include <tuple>

#include "core/analysis/check_internal.hpp"
#include "core/base/text.hpp"

// A reach drawn against the flow cannot be seen on its own, but the water betrays it: it would run together
// where nothing leads on, out at more than one end, or round in a circle. Reaches drawn twice count once.
namespace brookmark::core {

namespace {

constexpr std::size_t kNamesShown = 6;
constexpr const char* kTurn = " Is one of them drawn against the flow? If so, turn its line round.";

struct Node {
  std::set<std::size_t> in, out;  // reaches
};

class Flows {
 public:
  explicit Flows(Check& check) : check_(check), graph_(check.network.graph()), nodes_(graph_.node_count()) {
    const std::vector<std::size_t> as = drawn_as(check.survey.reaches);
    const auto channel_edges = check.network.edges();
    for (std::size_t e = 0; e < channel_edges.size(); ++e) {
      const std::size_t reach = channel_edges[e].reach.value();
      if (as[reach] != reach) continue;
      edges_.push_back(e);
      nodes_[from(e)].out.insert(reach);
      nodes_[to(e)].in.insert(reach);
      // The edges of a reach follow each other downstream.
      ends_.emplace(reach, std::pair(from(e), from(e))).first->second.second = to(e);
    }
    for (std::uint32_t n = 0; n < nodes_.size(); ++n)
      if (!nodes_[n].in.empty() && nodes_[n].out.empty()) outlets_[graph_.component(n)].push_back(n);
  }

  void run() {
    for (const auto& [component, outlets] : outlets_)
      if (outlets.size() > 1) many_outlets(outlets);
    circles();
  }

 private:
  std::uint32_t from(std::size_t edge) const { return graph_.edges()[edge].from; }
  std::uint32_t to(std::size_t edge) const { return graph_.edges()[edge].to; }

  std::string place(std::uint32_t node) const {
    const auto in = graph_.edges_in(node);
    const Line& line = check_.network.edges()[in.empty() ? graph_.edges_out(node).front() : in.front()].line;
    const LonLat at = in.empty() ? line.front() : line.back();
    return format_fixed(at.lon, 5) + ", " + format_fixed(at.lat, 5);
  }
  std::vector<std::string> names(const std::set<std::size_t>& reaches) const {
    std::vector<std::string> text;
    for (const std::size_t reach : reaches) text.push_back(check_.reach(reach));
    return text;
  }
  void find(const char* what, std::size_t reach, std::string text) {
    check_.find(Severity::kWarning, what, check_.reach(reach), std::move(text));
  }

  // The reach into this node that comes from where nothing arrives and more than one reach leaves: turned
  // round, it would mend both ends at once.
  std::optional<std::size_t> wrong_at_both_ends(std::uint32_t node) const {
    for (const std::size_t reach : nodes_[node].in) {
      const auto& [upper, lower] = ends_.at(reach);
      if (lower == node && nodes_[upper].in.empty() && nodes_[upper].out.size() > 1) return reach;
    }
    return std::nullopt;
  }

  void many_outlets(const std::vector<std::uint32_t>& outlets) {
    std::vector<std::uint32_t> open;  // where one reach ends, as at an outlet
    for (const std::uint32_t node : outlets) {
      const std::set<std::size_t>& in = nodes_[node].in;
      if (in.size() < 2) {
        open.push_back(node);
      } else if (const auto reach = wrong_at_both_ends(node)) {
        find("drawn against the flow?", *reach,
             "At its upper end every reach leads away, and at its lower end (" + place(node) +
                 ") every reach arrives. Is it drawn against the flow? If so, turn its line round.");
      } else {
        find("reaches meet head to head", *in.begin(),
             listed(names(in), kNamesShown) + " end at " + place(node) +
                 " and none leads on, though these channels have another outlet." + kTurn);
      }
    }
    if (open.size() < 2) return;
    std::vector<std::string> ends;
    for (const std::uint32_t node : open)
      ends.push_back(check_.reach(*nodes_[node].in.begin()) + " at " + place(node));
    find("more than one outlet", *nodes_[open.front()].in.begin(),
         "Channels that are joined run out at " + std::to_string(open.size()) +
             " ends: " + listed(ends, kNamesShown) + "." + kTurn);
  }

  // What is left when all that water can run through once is taken away, from the sources down and from the
  // outlets up, lies on a circle or between two.
  void circles() {
    std::vector<bool> left(graph_.edges().size(), false);
    std::vector<std::size_t> fed(nodes_.size(), 0), drained(nodes_.size(), 0);
    for (const std::size_t e : edges_) {
      left[e] = true;
      ++fed[to(e)];
      ++drained[from(e)];
    }
    std::vector<std::uint32_t> dry;
    const auto take = [&](std::uint32_t e) {
      if (!left[e]) return;
      left[e] = false;
      if (--fed[to(e)] == 0) dry.push_back(to(e));
      if (--drained[from(e)] == 0) dry.push_back(from(e));
    };
    for (std::uint32_t n = 0; n < nodes_.size(); ++n)
      if (fed[n] == 0 || drained[n] == 0) dry.push_back(n);
    while (!dry.empty()) {
      const std::uint32_t n = dry.back();
      dry.pop_back();
      for (const std::uint32_t e : graph_.edges_out(n))
        if (fed[n] == 0) take(e);
      for (const std::uint32_t e : graph_.edges_in(n))
        if (drained[n] == 0) take(e);
    }
    std::map<std::uint32_t, std::set<std::size_t>> reaches;  // by component
    for (const std::size_t e : edges_)
      if (left[e]) reaches[graph_.component(from(e))].insert(check_.network.edges()[e].reach.value());
    for (const auto& [component, circle] : reaches)
      find("water runs in a circle", *circle.begin(),
           "As drawn, water would run in a circle through " + listed(names(circle), kNamesShown) + "." +
               (circle.size() == 1 ? " Is part of it drawn against the flow?" : kTurn));
  }

  Check& check_;
  const RiverGraph& graph_;
  std::vector<Node> nodes_;
  std::vector<std::size_t> edges_;  // of the network, without reaches drawn again
  std::map<std::size_t, std::pair<std::uint32_t, std::uint32_t>> ends_;  // of a reach: upper and lower node
  std::map<std::uint32_t, std::vector<std::uint32_t>> outlets_;          // by component
};

}  // namespace

void check_flow(Check& check) {
  Flows(check).run();
}

}  // namespace brookmark::core
