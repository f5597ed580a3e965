#include "core/design/clearance.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "core/analysis/outfalls.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"

namespace brookmark::core {

void check_clear(const ClearOptions& options) {
  for (const double m : {options.clear_m, options.mixing_m.value_or(0)})
    if (!std::isfinite(m) || m < 0)
      throw Error(ErrorCode::kBadUse, "distances must be numbers of metres, zero or more");
}

std::string unsaid_mixing(const Snapshot& snapshot, Date day, const ClearOptions& options) {
  const bool any = std::any_of(snapshot.outfalls.begin(), snapshot.outfalls.end(),
                               [&](const Outfall& outfall) { return in_use(outfall, day); });
  if (options.mixing_m || !any) return {};
  return "no mixing distance was said: spots keep " + format_fixed(options.clear_m, 0) +
         " m below outfalls, for which no single published figure exists";
}

Clearance::Clearance(const Snapshot& snapshot, const ChannelNetwork& network, Date day,
                     const ClearOptions& options)
    : network_(network) {
  check_clear(options);
  const RiverGraph& graph = network.graph();
  std::vector<std::uint32_t> ends(graph.node_count(), 0);
  for (const GraphEdge& edge : graph.edges()) ++ends[edge.from], ++ends[edge.to];
  for (std::uint32_t e = 0; e < graph.edges().size() && options.clear_m > 0; ++e) {
    const GraphEdge& edge = graph.edges()[e];
    if (ends[edge.from] > 2) keep(e, 0, true, true, options.clear_m, Barrier::kConfluence);
    if (ends[edge.to] > 2) keep(e, edge.length_m, false, false, options.clear_m, Barrier::kConfluence);
  }
  const double mixing_m = options.mixing_m.value_or(options.clear_m);
  for (const Outfall& outfall : snapshot.outfalls) {
    if (!in_use(outfall, day)) continue;
    const auto point = network.snap(outfall.position);
    if (!point) continue;
    keep(point->edge, point->along_m, true, true, mixing_m, Barrier::kUnmixed);
    // Where water runs either way, both sides are below it.
    const bool either = graph.is_two_way(point->edge);
    keep(point->edge, point->along_m, false, either, either ? mixing_m : options.clear_m,
         either ? Barrier::kUnmixed : Barrier::kOutfall);
  }
  std::stable_sort(kept_.begin(), kept_.end(),
                   [](const Kept& a, const Kept& b) { return a.part.edge < b.part.edge; });
}

// `forward`: as the edge is drawn; `down`: with the flow.
void Clearance::keep(std::uint32_t edge, double from_m, bool forward, bool down, double metres,
                     Barrier barrier) {
  const GraphEdge& known = network_.graph().edges()[edge];
  const double room_m = forward ? known.length_m - from_m : from_m;
  const double far_m = std::min(metres, room_m);
  kept_.push_back({{edge, forward ? from_m : from_m - far_m, forward ? from_m + far_m : from_m}, barrier});
  if (metres > room_m) keep_beyond(forward ? known.to : known.from, down, metres - room_m, barrier);
}

void Clearance::keep_beyond(std::uint32_t node, bool down, double metres, Barrier barrier) {
  const RiverGraph& graph = network_.graph();
  std::map<std::uint32_t, double> left_m{{node, metres}};  // the most with which a node was reached
  for (std::vector<std::uint32_t> open{node}; !open.empty();) {
    const std::uint32_t n = open.back();
    open.pop_back();
    const double at_n_m = left_m[n];
    for (const std::uint32_t e : down ? graph.edges_out(n) : graph.edges_in(n)) {
      const double length_m = graph.edges()[e].length_m, far_m = std::min(at_n_m, length_m);
      const bool forward = graph.edges()[e].from == n;
      kept_.push_back({{e, forward ? 0 : length_m - far_m, forward ? far_m : length_m}, barrier});
      if (at_n_m <= length_m) continue;
      double& beyond_m = left_m[graph.far_end(e, n)];
      if (at_n_m - length_m <= beyond_m) continue;
      beyond_m = at_n_m - length_m;
      open.push_back(graph.far_end(e, n));
    }
  }
}

Barrier Clearance::at(std::uint32_t edge, double along_m) const {
  const auto first = std::lower_bound(kept_.begin(), kept_.end(), edge,
                                      [](const Kept& k, std::uint32_t e) { return k.part.edge < e; });
  Barrier found = Barrier::kNone;
  for (auto kept = first; kept != kept_.end() && kept->part.edge == edge; ++kept)
    if (kept->part.from_m < along_m && along_m < kept->part.to_m &&
        (found == Barrier::kNone || kept->barrier < found))
      found = kept->barrier;
  return found;
}

}  // namespace brookmark::core
