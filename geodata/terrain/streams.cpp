#include "geodata/terrain/streams.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace brookmark::geodata {

namespace {

bool is_channel(const FlowGrid& flow, CellIndex cell, std::uint32_t threshold) {
  return flow.upstream[cell] >= threshold;
}

int channels_into(const FlowGrid& flow, std::size_t r, std::size_t c, std::uint32_t threshold) {
  int count = 0;
  for (std::uint8_t k = 0; k < 8; ++k) {
    const std::size_t nr = r + static_cast<std::size_t>(kRowStep[k]);
    const std::size_t nc = c + static_cast<std::size_t>(kColStep[k]);
    if (nr >= flow.size.rows || nc >= flow.size.cols) continue;
    if (flow.direction.at(nr, nc) == opposite(k) && flow.upstream.at(nr, nc) >= threshold) ++count;
  }
  return count;
}

StreamReach walk_reach(const FlowGrid& flow, CellIndex start, std::uint32_t threshold) {
  StreamReach reach;
  reach.cells.push_back(start);
  reach.upstream_cells = flow.upstream[start];
  while (const auto next = flow.downstream(reach.cells.back())) {
    reach.length_m += flow.step_m(reach.cells.back());
    reach.upstream_cells = flow.upstream[reach.cells.back()];
    reach.cells.push_back(*next);
    if (channels_into(flow, *next / flow.size.cols, *next % flow.size.cols, threshold) > 1) return reach;
  }
  reach.upstream_cells = flow.upstream[reach.cells.back()];
  return reach;
}

}  // namespace

std::vector<StreamReach> trace_streams(const FlowGrid& flow, std::uint32_t threshold) {
  if (threshold == 0) throw Error(ErrorCode::kBadUse, "a channel needs a threshold of at least 1 cell");
  std::vector<StreamReach> reaches;
  for (std::size_t r = 0; r < flow.size.rows; ++r)
    for (std::size_t c = 0; c < flow.size.cols; ++c) {
      const CellIndex cell = r * flow.size.cols + c;
      if (!is_channel(flow, cell, threshold) || channels_into(flow, r, c, threshold) == 1) continue;
      StreamReach reach = walk_reach(flow, cell, threshold);
      if (reach.cells.size() > 1) reaches.push_back(std::move(reach));
    }
  // Reaches stand in the order of their first cells.
  for (StreamReach& reach : reaches) {
    const CellIndex end = reach.cells.back();
    const auto next = std::lower_bound(reaches.begin(), reaches.end(), end,
                                       [](const StreamReach& a, CellIndex b) { return a.cells.front() < b; });
    if (next != reaches.end() && next->cells.front() == end)
      reach.downstream = static_cast<std::size_t>(next - reaches.begin());
  }
  return reaches;
}

std::optional<SnappedOutlet> nearest_channel_cell(const FlowGrid& flow, const GridPlace& place,
                                                  core::PlanePoint point, std::uint32_t threshold,
                                                  double most_m) {
  const double row = place.row_at(point.y), col = place.col_at(point.x);
  const auto own_row = static_cast<std::ptrdiff_t>(std::floor(row));
  const auto own_col = static_cast<std::ptrdiff_t>(std::floor(col));
  const auto rows = static_cast<std::ptrdiff_t>(flow.size.rows),
             cols = static_cast<std::ptrdiff_t>(flow.size.cols);
  double least_step_m = std::numeric_limits<double>::infinity();
  for (const RowMetric& metric : flow.rows)
    least_step_m = std::min({least_step_m, metric.width_m, metric.height_m});

  std::optional<SnappedOutlet> best;
  const auto look = [&](std::ptrdiff_t r, std::ptrdiff_t c) {
    if (r < 0 || c < 0 || r >= rows || c >= cols) return;
    const auto cell = static_cast<CellIndex>(r * cols + c);
    if (!is_channel(flow, cell, threshold)) return;
    const RowMetric& metric = flow.rows[static_cast<std::size_t>(r)];
    const double distance_m = std::hypot((static_cast<double>(c) + 0.5 - col) * metric.width_m,
                                         (static_cast<double>(r) + 0.5 - row) * metric.height_m);
    const bool own = r == own_row && c == own_col;
    if ((own || distance_m <= most_m) && (!best || distance_m < best->distance_m)) best = {cell, distance_m};
  };
  // Squares around the point; a cell of the n-th is at least n - 0.5 cells away.
  for (std::ptrdiff_t n = 0; n <= std::max(rows, cols); ++n) {
    const double least_m = (static_cast<double>(n) - 0.5) * least_step_m;
    if (least_m > most_m || (best && least_m > best->distance_m)) break;
    for (std::ptrdiff_t c = own_col - n; c <= own_col + n; ++c) look(own_row - n, c);
    for (std::ptrdiff_t r = own_row - n + 1; r < own_row + n; ++r) look(r, own_col - n), look(r, own_col + n);
    if (n > 0)
      for (std::ptrdiff_t c = own_col - n; c <= own_col + n; ++c) look(own_row + n, c);
  }
  return best;
}

FlowPath overland_path(const FlowGrid& flow, CellIndex from, std::uint32_t threshold) {
  FlowPath path;
  if (flow.direction[from] == kNoDirection) return path;
  path.cells.push_back(from);
  while (!is_channel(flow, path.cells.back(), threshold)) {
    const auto next = flow.downstream(path.cells.back());
    if (!next) return path;
    path.length_m += flow.step_m(path.cells.back());
    path.cells.push_back(*next);
  }
  path.reaches_channel = true;
  return path;
}

}  // namespace brookmark::geodata
