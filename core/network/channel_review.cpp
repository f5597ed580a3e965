#include "core/network/channel_review.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/network/channel_lines_internal.hpp"
#include "core/network/line_meetings_internal.hpp"

namespace brookmark::core {
namespace {

std::string metres(double m) {
  return format_fixed(m, 2) + " m";
}

class Review {
 public:
  Review(std::span<const Reach> reaches, const ChannelNetwork& network, const ReachLabel& label,
         double stub_m)
      : reaches_(reaches), network_(network), label_(label), stub_m_(stub_m), drawn_as_(reaches.size()) {
    std::iota(drawn_as_.begin(), drawn_as_.end(), std::size_t{0});
  }

  ChannelFindings run() {
    meetings();
    ends();
    ChannelFindings flow = review_flow(network_, drawn_as_, label_);
    std::move(flow.begin(), flow.end(), std::back_inserter(findings_));
    return std::move(findings_);
  }

 private:
  void add(Severity severity, ChannelFault fault, ReachIndex reach, LonLat position,
           std::optional<double> distance_m, std::string text) {
    ChannelFinding finding;
    finding.severity = severity;
    finding.fault = fault;
    finding.reach = reach;
    finding.position = position;
    finding.distance_m = distance_m;
    finding.text = std::move(text);
    findings_.push_back(std::move(finding));
  }

  void meetings() {
    const LocalFrame frame = frame_for(reaches_);
    ChannelFindings told_already;
    const std::vector<ChannelLine> lines = clean_lines(reaches_, frame, label_, told_already);
    for (const LineMeeting& m : line_meetings(lines, frame, network_.options().join_tolerance_m)) {
      const ReachIndex a = lines[m.a].reach, b = lines[m.b].reach;
      if (is_same_course(m, lines)) {
        if (drawn_as_[b.value()] != b.value()) continue;  // told of an earlier one
        drawn_as_[b.value()] = drawn_as_[a.value()];
        const Line& first = lines[m.a].points;
        const Line& second = lines[m.b].points;
        const bool turned = std::equal(first.rbegin(), first.rend(), second.begin(), second.end());
        const bool same = turned || first == second;
        add(Severity::kWarning, ChannelFault::kDrawnTwice, b, m.position, m.shared_m,
            "Its line is that of " + label_(a) + (same ? ", point for point" : ", with other points on it") +
                (turned ? ", drawn the other way round" : "") + ". Keep one of them.");
      } else if (m.shared_m > 0) {
        add(Severity::kWarning, ChannelFault::kOverlap, b, m.position, m.shared_m,
            label_(b) + " runs along " + label_(a) + " for " + metres(m.shared_m) +
                ", as if that part were drawn twice. Draw it once.");
      } else {
        add(Severity::kNote, ChannelFault::kCrossing, b, m.position, std::nullopt,
            label_(b) + " crosses " + label_(a) + " at " + place_words(m.position) +
                ", and neither ends there: a bridge or culvert, or a missing node. They are not joined.");
      }
    }
  }

  // Reaches that meet nothing, and short ones that only hang on to others.
  void ends() {
    if (reaches_.size() < 2) return;
    const RiverGraph& graph = network_.graph();
    const auto edges = network_.edges();
    struct Node {
      std::uint32_t first = kNone, edge_ends = 0;
      bool others = false;  // more than one reach
    };
    std::vector<Node> nodes(graph.node_count());
    const auto visit = [&](std::uint32_t node, std::uint32_t reach) {
      Node& n = nodes[node];
      ++n.edge_ends;
      n.others = n.others || (n.first != kNone && n.first != reach);
      if (n.first == kNone) n.first = reach;
    };
    struct Ends {
      std::uint32_t upper = kNone, lower = kNone, first_edge = kNone;
      double length_m = 0;
      bool meets = false;
    };
    std::vector<Ends> of_reach(reaches_.size());
    for (std::uint32_t e = 0; e < edges.size(); ++e) {
      const std::uint32_t reach =
          edges[e].kind == EdgeKind::kChannel ? static_cast<std::uint32_t>(edges[e].reach.value()) : kLake;
      visit(graph.edges()[e].from, reach);
      visit(graph.edges()[e].to, reach);
      if (reach == kLake) continue;
      Ends& ends = of_reach[reach];
      if (ends.upper == kNone) ends.upper = graph.edges()[e].from, ends.first_edge = e;
      ends.lower = graph.edges()[e].to;
      ends.length_m += graph.edges()[e].length_m;
    }
    for (std::uint32_t e = 0; e < edges.size(); ++e) {
      if (edges[e].kind != EdgeKind::kChannel) continue;
      for (const std::uint32_t node : {graph.edges()[e].from, graph.edges()[e].to})
        of_reach[edges[e].reach.value()].meets |= nodes[node].others;
    }
    for (std::size_t r = 0; r < reaches_.size(); ++r) {
      const Ends& ends = of_reach[r];
      if (ends.upper == kNone) continue;
      if (!ends.meets) {
        add(Severity::kWarning, ChannelFault::kAlone, ReachIndex(r), edges[ends.first_edge].line.front(),
            std::nullopt,
            "No other reach meets this one within " + format_number(network_.options().join_tolerance_m) +
                " m; draw it up to its neighbour if they meet.");
        continue;
      }
      // Free at one end; at the other two or more channel ends go on without it.
      const bool upper_free = nodes[ends.upper].edge_ends == 1, lower_free = nodes[ends.lower].edge_ends == 1;
      if (upper_free == lower_free || ends.length_m > stub_m_ || drawn_as_[r] != r) continue;
      if (nodes[upper_free ? ends.lower : ends.upper].edge_ends < 3) continue;
      add(Severity::kNote, ChannelFault::kStub, ReachIndex(r),
          upper_free ? reaches_[r].line.front() : reaches_[r].line.back(), ends.length_m,
          label_(ReachIndex(r)) + " is a dead end of " + metres(ends.length_m) +
              ": a real side arm, or a slip of the pen.");
    }
  }

  static constexpr std::uint32_t kNone = 0xFFFFFFFF, kLake = 0xFFFFFFFE;
  std::span<const Reach> reaches_;
  const ChannelNetwork& network_;
  const ReachLabel& label_;
  double stub_m_;
  std::vector<std::size_t> drawn_as_;
  ChannelFindings findings_;
};

}  // namespace

ChannelFindings review_channels(std::span<const Reach> reaches, const ChannelNetwork& network,
                                const ReachLabel& label, double stub_m) {
  if (!std::isfinite(stub_m) || stub_m < 0)
    throw Error(ErrorCode::kBadUse,
                "The length of a short dead end must be a number of metres, zero or more.");
  return Review(reaches, network, label, stub_m).run();
}

}  // namespace brookmark::core
