#include "core/analysis/reach_assessment.hpp"

#include <algorithm>
#include <limits>
#include <optional>
#include <tuple>
#include <utility>

#include "core/analysis/outfalls.hpp"
#include "core/analysis/reach_runs_internal.hpp"

namespace brookmark::core {
namespace {

constexpr double kNothingM = 1e-9;  // a piece shorter than this is none

// What is known of the sites next above (or below) a node: nothing, one class, or more than one answer.
using Agreed = std::uint16_t;
constexpr Agreed kNobody = 0, kMixed = 256;

Agreed both(Agreed a, Agreed b) {
  if (a == kNobody) return b;
  if (b == kNobody || a == b) return a;
  return kMixed;
}

// The sites that speak on the day, one a place.
struct Stops {
  std::vector<ReachStop> stops;
  std::vector<ChannelPoint> points;  // of each
};

Stops find_stops(const Snapshot& snapshot, const Assessment& assessment, const ChannelNetwork& network) {
  Stops found;
  const bool classes = !assessment.metric_info().bands.empty();
  for (std::size_t i = 0; i < assessment.sites.size(); ++i) {
    const SiteAssessment& site = assessment.sites[i];
    if (!site.sample.has_value() || !is_placed(snapshot.sites.position[i])) continue;
    const Date date = snapshot.samples.date[site.sample.value()];
    const bool collapse = !site.has_value;
    if (assessment.until().days - date.days > kSpeaksForDays) continue;
    if (!collapse && (!site.in_scope || (classes && site.class_rank == 0))) continue;
    const auto point =
        network.snap(snapshot.sites.position[i], snap_limit_m(snapshot.sites.kind[i], network.options()));
    if (!point) continue;
    found.stops.push_back({SiteIndex(i), date, site.class_rank, collapse});
    found.points.push_back(*point);
  }
  return found;
}

// Of several sites on one spot the one with the newest sample speaks, of equals the worse.
void merge_same_places(Stops& found, const FlowNeighbours& flow, std::vector<std::uint32_t>& stop_of_place) {
  for (std::uint32_t p = 0; p < found.stops.size(); ++p) {
    std::uint32_t& speaker = stop_of_place[flow.same_place(p)];
    const ReachStop &old = found.stops[speaker], &other = found.stops[p];
    if (std::tuple(other.date, other.collapse, other.class_rank) >
        std::tuple(old.date, old.collapse, old.class_rank))
      speaker = p;
  }
}

class Agreement {
 public:
  Agreement(const RiverGraph& graph, const std::vector<std::vector<Agreed>>& on_edge_up,
            const std::vector<std::vector<Agreed>>& on_edge_down, const std::vector<Agreed>& at_node_up,
            const std::vector<Agreed>& at_node_down)
      : graph_(graph),
        on_edge_up_(on_edge_up),
        on_edge_down_(on_edge_down),
        at_node_up_(at_node_up),
        at_node_down_(at_node_down),
        above_(graph.node_count(), kNobody),
        below_(graph.node_count(), kNobody) {
    settle();
  }

  // Of the sites next above the upper end of an edge, that end included; and next below its lower end.
  Agreed above_start(std::uint32_t edge) const {
    const std::uint32_t node = graph_.edges()[edge].from;
    return at_node_up_[node] != kNobody ? at_node_up_[node] : above_[node];
  }
  Agreed below_end(std::uint32_t edge) const {
    const std::uint32_t node = graph_.edges()[edge].to;
    return at_node_down_[node] != kNobody ? at_node_down_[node] : below_[node];
  }

 private:
  // Answers only grow from nobody to one class to mixed, so each node changes twice at most.
  void settle() {
    std::vector<std::uint32_t> open(graph_.node_count());
    for (std::uint32_t n = 0; n < open.size(); ++n) open[n] = n;
    while (!open.empty()) {
      const std::uint32_t node = open.back();
      open.pop_back();
      Agreed above = above_[node], below = below_[node];
      for (const std::uint32_t e : graph_.edges_in(node))
        above = both(above, graph_.is_two_way(e)     ? kMixed
                            : on_edge_up_[e].empty() ? above_start(e)
                                                     : on_edge_up_[e].back());
      for (const std::uint32_t e : graph_.edges_out(node))
        below = both(below, graph_.is_two_way(e)       ? kMixed
                            : on_edge_down_[e].empty() ? below_end(e)
                                                       : on_edge_down_[e].front());
      if (above != above_[node]) {
        above_[node] = above;
        for (const std::uint32_t e : graph_.edges_out(node)) open.push_back(graph_.far_end(e, node));
      }
      if (below != below_[node]) {
        below_[node] = below;
        for (const std::uint32_t e : graph_.edges_in(node)) open.push_back(graph_.far_end(e, node));
      }
    }
  }

  const RiverGraph& graph_;
  const std::vector<std::vector<Agreed>>&on_edge_up_, &on_edge_down_;
  const std::vector<Agreed>&at_node_up_, &at_node_down_;
  std::vector<Agreed> above_, below_;
};

}  // namespace

const char* reach_knowledge_name(ReachKnowledge knowledge) {
  switch (knowledge) {
    case ReachKnowledge::kMeasured:
      return "measured";
    case ReachKnowledge::kInferred:
      return "inferred";
    case ReachKnowledge::kUnknown:
      break;
  }
  return "unknown";
}

ReachAssessment assess_reaches(const Snapshot& snapshot, const Assessment& assessment,
                               const ChannelNetwork& network) {
  const RiverGraph& graph = network.graph();
  const bool classes = !assessment.metric_info().bands.empty();
  Stops found = find_stops(snapshot, assessment, network);
  const FlowNeighbours flow(network, found.points);
  std::vector<std::uint32_t> stop_of_place(found.stops.size());
  for (std::uint32_t p = 0; p < stop_of_place.size(); ++p) stop_of_place[p] = p;
  merge_same_places(found, flow, stop_of_place);

  // Places above which an outfall in use drains in, before any other place.
  std::vector<bool> below_outfall(found.stops.size(), false);
  std::vector<ChannelPoint> outfalls;
  for (const Outfall& outfall : snapshot.outfalls) {
    if (!in_use(outfall, assessment.until())) continue;
    if (const auto point = network.snap(outfall.position)) {
      outfalls.push_back(*point);
      for (const NextPlace& next : flow.below(*point)) below_outfall[next.place] = true;
    }
  }

  const ReachRuns runs(network);
  std::vector<RunMark> marks;
  for (std::uint32_t p = 0; p < found.stops.size(); ++p)
    if (flow.same_place(p) == p) runs.mark(found.points[p], p, marks);
  for (const ChannelPoint& outfall : outfalls) runs.mark(outfall, RunMark::kOutfall, marks);
  std::sort(marks.begin(), marks.end(), [](const RunMark& a, const RunMark& b) {
    return std::tie(a.run, a.at_m, a.place) < std::tie(b.run, b.at_m, b.place);
  });

  // What the sites on each edge and node say to those below them, and to those above.
  std::vector<std::vector<Agreed>> edge_up(graph.edges().size()), edge_down(graph.edges().size());
  std::vector<Agreed> node_up(graph.node_count(), kNobody), node_down(graph.node_count(), kNobody);
  std::vector<std::vector<double>> edge_at(graph.edges().size());
  for (const RunMark& mark : marks) {
    if (mark.place == RunMark::kOutfall) continue;
    const ReachStop& stop = found.stops[stop_of_place[mark.place]];
    const Agreed says = !classes || stop.collapse || stop.class_rank == 0 ? kMixed : stop.class_rank;
    const Agreed from_below = below_outfall[mark.place] ? kMixed : says;
    if (mark.node != RunMark::kNoNode) {
      node_up[mark.node] = says;
      node_down[mark.node] = from_below;
    } else {
      edge_up[mark.edge].push_back(says);
      edge_down[mark.edge].push_back(from_below);
      edge_at[mark.edge].push_back(mark.along_m);
    }
  }
  const Agreement agreement(graph, edge_up, edge_down, node_up, node_down);

  // Measured stretches of each run, cut up by edge.
  std::vector<std::vector<ReachPiece>> measured(graph.edges().size());
  for (std::size_t i = 0; i < marks.size(); ++i) {
    if (marks[i].place == RunMark::kOutfall) continue;
    const ReachStop& stop = found.stops[stop_of_place[marks[i].place]];
    if (stop.collapse) continue;
    double low = std::max(marks[i].at_m - kMeasuredReachM, 0.0);
    double high = std::min(marks[i].at_m + kMeasuredReachM, runs.length_m(marks[i].run));
    if (i > 0 && marks[i - 1].run == marks[i].run)
      low = std::max(low, marks[i - 1].place == RunMark::kOutfall ? marks[i - 1].at_m
                                                                  : (marks[i - 1].at_m + marks[i].at_m) / 2);
    if (i + 1 < marks.size() && marks[i + 1].run == marks[i].run)
      high =
          std::min(high, marks[i + 1].place == RunMark::kOutfall ? marks[i + 1].at_m
                                                                 : (marks[i + 1].at_m + marks[i].at_m) / 2);
    for (const EdgePart& part : runs.parts(marks[i].run, low, high))
      if (part.to_m - part.from_m > kNothingM)
        measured[part.edge].push_back({part, ReachKnowledge::kMeasured, stop.class_rank, stop.site});
  }

  ReachAssessment reaches;
  for (std::uint32_t e = 0; e < graph.edges().size(); ++e) {
    // Between measured pieces and sites: inferred or unknown.
    const auto fill = [&](double from_m, double to_m) {
      if (to_m - from_m <= kNothingM) return;
      const double middle_m = (from_m + to_m) / 2;
      const auto next = static_cast<std::size_t>(
          std::lower_bound(edge_at[e].begin(), edge_at[e].end(), middle_m) - edge_at[e].begin());
      const Agreed above = next > 0 ? edge_up[e][next - 1] : agreement.above_start(e);
      const Agreed below = next < edge_at[e].size() ? edge_down[e][next] : agreement.below_end(e);
      const bool inferred = !graph.is_two_way(e) && above == below && above != kNobody && above != kMixed;
      reaches.pieces.push_back({{e, from_m, to_m},
                                inferred ? ReachKnowledge::kInferred : ReachKnowledge::kUnknown,
                                inferred ? static_cast<std::uint8_t>(above) : std::uint8_t{0},
                                SiteIndex::none()});
    };
    const auto fill_between = [&](double from_m, double to_m) {
      for (const double at_m : edge_at[e]) {
        if (at_m <= from_m || at_m >= to_m) continue;
        fill(from_m, at_m);
        from_m = at_m;
      }
      fill(from_m, to_m);
    };
    double done_m = 0;
    std::sort(measured[e].begin(), measured[e].end(),
              [](const ReachPiece& a, const ReachPiece& b) { return a.part.from_m < b.part.from_m; });
    for (const ReachPiece& piece : measured[e]) {
      fill_between(done_m, piece.part.from_m);
      reaches.pieces.push_back(piece);
      done_m = piece.part.to_m;
    }
    fill_between(done_m, graph.edges()[e].length_m);
  }
  for (const ReachPiece& piece : reaches.pieces) {
    const double length_m = piece.part.to_m - piece.part.from_m;
    (piece.knowledge == ReachKnowledge::kMeasured   ? reaches.measured_m
     : piece.knowledge == ReachKnowledge::kInferred ? reaches.inferred_m
                                                    : reaches.unknown_m) += length_m;
  }
  return reaches;
}

}  // namespace brookmark::core
