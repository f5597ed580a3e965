#include <algorithm>
#include <map>
#include <optional>
#include <set>
#include <tuple>

#include "core/base/text.hpp"
#include "core/network/channel_review.hpp"

// A reach drawn against the flow cannot be seen on its own, but the water betrays it: it would run together
// where nothing leads on, out at more than one end, or round in a circle. Reaches drawn twice count once.
namespace brookmark::core {

namespace {

// "R1", "R1 and R2", "R1, R2 and R3"; of more than six the first ones "and 7 more".
std::string listed(const std::vector<std::string>& words) {
  constexpr std::size_t kMost = 6;
  const std::size_t shown = std::min(words.size(), kMost);
  std::string text;
  for (std::size_t i = 0; i < shown; ++i)
    text += (i == 0 ? "" : i + 1 == shown && shown == words.size() ? " and " : ", ") + words[i];
  if (shown < words.size()) text += " and " + std::to_string(words.size() - shown) + " more";
  return text;
}

constexpr const char* kTurn = " Is one of them drawn against the flow? If so, turn its line round.";

struct Node {
  std::set<std::size_t> in, out;  // reaches
};

class Flows {
 public:
  Flows(const ChannelNetwork& network, std::span<const std::size_t> drawn_as, const ReachLabel& label)
      : network_(network), label_(label), graph_(network.graph()), nodes_(graph_.node_count()) {
    const auto channel_edges = network.edges();
    for (std::size_t e = 0; e < channel_edges.size(); ++e) {
      const std::size_t reach = channel_edges[e].reach.value();
      if (drawn_as[reach] != reach) continue;
      edges_.push_back(e);
      if (graph_.is_two_way(static_cast<std::uint32_t>(e))) {
        // Water leaves and arrives at both of its ends.
        for (const std::uint32_t node : {from(e), to(e)})
          nodes_[node].in.insert(reach), nodes_[node].out.insert(reach);
      }
      nodes_[from(e)].out.insert(reach);
      nodes_[to(e)].in.insert(reach);
      // The edges of a reach follow each other downstream; where it is led on through a lake is no part of it.
      if (channel_edges[e].kind != EdgeKind::kChannel) continue;
      ends_.emplace(reach, std::pair(from(e), from(e))).first->second.second = to(e);
    }
    for (std::uint32_t n = 0; n < nodes_.size(); ++n)
      if (!nodes_[n].in.empty() && nodes_[n].out.empty()) outlets_[graph_.component(n)].push_back(n);
  }

  ChannelFindings run() {
    for (const auto& [component, outlets] : outlets_)
      if (outlets.size() > 1) many_outlets(outlets);
    circles();
    return std::move(findings_);
  }

 private:
  std::uint32_t from(std::size_t edge) const { return graph_.edges()[edge].from; }
  std::uint32_t to(std::size_t edge) const { return graph_.edges()[edge].to; }

  LonLat at(std::uint32_t node) const {
    const auto in = graph_.edges_in(node);
    const std::uint32_t e = in.empty() ? graph_.edges_out(node).front() : in.front();
    const Line& line = network_.edges()[e].line;
    return graph_.edges()[e].to == node ? line.back() : line.front();
  }
  std::string place(std::uint32_t node) const {
    return format_fixed(at(node).lon, 5) + ", " + format_fixed(at(node).lat, 5);
  }
  std::vector<std::string> names(const std::set<std::size_t>& reaches) const {
    std::vector<std::string> text;
    for (const std::size_t reach : reaches) text.push_back(label_(ReachIndex(reach)));
    return text;
  }
  void find(ChannelFault fault, std::size_t reach, std::uint32_t node, std::string text) {
    ChannelFinding finding;
    finding.severity = Severity::kWarning;
    finding.fault = fault;
    finding.reach = ReachIndex(reach);
    finding.position = at(node);
    finding.text = std::move(text);
    findings_.push_back(std::move(finding));
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
        find(ChannelFault::kAgainstFlow, *reach, node,
             "At its upper end every reach leads away, and at its lower end (" + place(node) +
                 ") every reach arrives. Is it drawn against the flow? If so, turn its line round.");
      } else {
        find(ChannelFault::kHeadToHead, *in.begin(), node,
             listed(names(in)) + " end at " + place(node) +
                 " and none leads on, though these channels have another outlet." + kTurn);
      }
    }
    if (open.size() < 2) return;
    std::vector<std::string> ends;
    for (const std::uint32_t node : open)
      ends.push_back(label_(ReachIndex(*nodes_[node].in.begin())) + " at " + place(node));
    find(ChannelFault::kManyOutlets, *nodes_[open.front()].in.begin(), open.front(),
         "Channels that are joined run out at " + std::to_string(open.size()) + " ends: " + listed(ends) +
             "." + kTurn);
  }

  // What is left when all that water can run through once is taken away, from the sources down and from the
  // outlets up, lies on a circle or between two.
  void circles() {
    std::vector<bool> left(graph_.edges().size(), false);
    std::vector<std::size_t> fed(nodes_.size(), 0), drained(nodes_.size(), 0);
    for (const std::size_t e : edges_) {
      if (graph_.is_two_way(static_cast<std::uint32_t>(e))) continue;
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
    std::map<std::uint32_t, std::pair<std::uint32_t, std::set<std::size_t>>> circles;  // by component
    for (const std::size_t e : edges_) {
      if (!left[e]) continue;
      auto& [node, reaches] =
          circles.try_emplace(graph_.component(from(e)), from(e), std::set<std::size_t>()).first->second;
      reaches.insert(network_.edges()[e].reach.value());
    }
    for (const auto& [component, circle] : circles)
      find(ChannelFault::kCircle, *circle.second.begin(), circle.first,
           "As drawn, water would run in a circle through " + listed(names(circle.second)) + "." +
               (circle.second.size() == 1 ? " Is part of it drawn against the flow?" : kTurn));
  }

  const ChannelNetwork& network_;
  const ReachLabel& label_;
  const RiverGraph& graph_;
  std::vector<Node> nodes_;
  std::vector<std::size_t> edges_;  // of the network, without reaches drawn again
  std::map<std::size_t, std::pair<std::uint32_t, std::uint32_t>> ends_;  // of a reach: upper and lower node
  std::map<std::uint32_t, std::vector<std::uint32_t>> outlets_;          // by component
  ChannelFindings findings_;
};

}  // namespace

ChannelFindings review_flow(const ChannelNetwork& network, std::span<const std::size_t> drawn_as,
                            const ReachLabel& label) {
  return Flows(network, drawn_as, label).run();
}

}  // namespace brookmark::core
