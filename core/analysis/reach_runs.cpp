#include <algorithm>

#include "core/analysis/reach_runs_internal.hpp"
#include "core/network/channel_lines_internal.hpp"

namespace brookmark::core {
namespace {
constexpr std::uint32_t kNoRun = std::numeric_limits<std::uint32_t>::max();
}

ReachRuns::ReachRuns(const ChannelNetwork& network)
    : network_(network),
      run_of_edge_(network.graph().edges().size(), kNoRun),
      start_m_(network.graph().edges().size(), 0),
      begin_{0} {
  const auto edges = network.graph().edges();
  for (std::uint32_t e = 0; e < edges.size(); ++e)
    if (!passes(edges[e].from)) follow(e);
  // Rings that nothing joins: cut where they are listed first.
  for (std::uint32_t e = 0; e < edges.size(); ++e)
    if (run_of_edge_[e] == kNoRun) follow(e);
}

bool ReachRuns::passes(std::uint32_t node) const {
  return network_.graph().edges_in(node).size() == 1 && network_.graph().edges_out(node).size() == 1;
}

void ReachRuns::follow(std::uint32_t edge) {
  const RiverGraph& graph = network_.graph();
  double length_m = 0;
  for (const auto run = static_cast<std::uint32_t>(length_m_.size()); run_of_edge_[edge] == kNoRun;) {
    run_of_edge_[edge] = run;
    start_m_[edge] = length_m;
    edges_.push_back(edge);
    length_m += graph.edges()[edge].length_m;
    const std::uint32_t node = graph.edges()[edge].to;
    if (!passes(node)) break;
    edge = graph.edges_out(node).front();
  }
  length_m_.push_back(length_m);
  begin_.push_back(static_cast<std::uint32_t>(edges_.size()));
}

std::vector<EdgePart> ReachRuns::parts(std::uint32_t run, double from_m, double to_m) const {
  const auto begin = edges_.begin() + begin_[run], end = edges_.begin() + begin_[run + 1];
  auto edge =
      std::upper_bound(begin, end, from_m, [&](double m, std::uint32_t e) { return m < start_m_[e]; });
  if (edge != begin) --edge;
  std::vector<EdgePart> parts;
  for (; edge != end && start_m_[*edge] < to_m; ++edge) {
    const double start_m = start_m_[*edge], length_m = network_.graph().edges()[*edge].length_m;
    const EdgePart part{*edge, std::clamp(from_m - start_m, 0.0, length_m),
                        std::clamp(to_m - start_m, 0.0, length_m)};
    if (part.from_m < part.to_m) parts.push_back(part);
  }
  return parts;
}

void ReachRuns::mark(const ChannelPoint& point, std::uint32_t place, std::vector<RunMark>& marks) const {
  const RiverGraph& graph = network_.graph();
  const GraphEdge& edge = graph.edges()[point.edge];
  const double left_m = edge.length_m - point.along_m;
  const auto add = [&](std::uint32_t e, double along_m, std::uint32_t node) {
    marks.push_back({run_of_edge_[e], start_m_[e] + along_m, place, e, along_m, node});
  };
  if (std::min(point.along_m, left_m) > kSamePlaceM) {
    add(point.edge, point.along_m, RunMark::kNoNode);
    return;
  }
  const std::uint32_t node = point.along_m <= left_m ? edge.from : edge.to;
  if (passes(node)) {
    add(point.edge, point.along_m, node);
  } else if (!graph.edges_out(node).empty()) {
    for (const std::uint32_t e : graph.edges_out(node))
      add(e, graph.edges()[e].from == node ? 0 : graph.edges()[e].length_m, node);
  } else {
    for (const std::uint32_t e : graph.edges_in(node)) add(e, graph.edges()[e].length_m, node);
  }
}

}  // namespace brookmark::core
