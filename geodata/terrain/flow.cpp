#include "geodata/terrain/flow.hpp"

#include <cmath>
#include <string>
#include <utility>

#include "geodata/terrain/accumulation_internal.hpp"
#include "geodata/terrain/depressions_internal.hpp"
#include "geodata/terrain/directions_internal.hpp"
#include "geodata/terrain/flats_internal.hpp"

namespace brookmark::geodata {

namespace {

void check(const Raster<float>& heights, std::span<const RowMetric> rows) {
  if (heights.size().rows != rows.size())
    throw Error(ErrorCode::kBadUse, "a grid of " + std::to_string(heights.size().rows) +
                                        " rows has the sizes of " + std::to_string(rows.size()));
  if (heights.size().cells() >= 0xFFFFFFFEU)
    throw Error(ErrorCode::kBadInput,
                "the terrain model has more than 4,294,967,293 cells; cut out the part that matters");
}

// On the finished surface; what has nothing lower around and does not let water out keeps kNothingLower.
void direct(const Raster<float>& heights, std::span<const RowMetric> rows, Raster<std::uint8_t>& direction,
            std::span<const Strip> strips, unsigned threads, const ProgressPart& progress) {
  for_each_strip(strips, threads, progress, [&](const Strip& strip) {
    for (std::size_t r = strip.first_row; r < strip.end_row; ++r) {
      std::uint8_t* out = direction.row(r);
      steepest_in_row(heights, r, rows[r], out);
      for (std::size_t c = 0; c < heights.size().cols; ++c) {
        if (out[c] != kNothingLower) continue;
        if (std::isnan(heights.at(r, c)))
          out[c] = kNoDirection;
        else if (touches_outside(heights, r, c))
          out[c] = kLeavesGrid;
      }
    }
  });
}

}  // namespace

FlowGrid route_flow(Raster<float> heights, std::span<const RowMetric> rows, const FlowOptions& options) {
  check(heights, rows);
  const ProgressPart all(options.progress, 0, 1);
  FlowGrid flow;
  flow.size = heights.size();
  flow.rows.assign(rows.begin(), rows.end());
  flow.height = std::move(heights);
  flow.direction = Raster<std::uint8_t>(flow.size);
  flow.upstream = Raster<std::uint32_t>(flow.size);  // holds labels, then flats, then the counts
  const std::vector<Strip> strips = strips_of(flow.size, options.cells_in_strip);
  {
    const Basins basins = find_basins(flow.height, rows, strips, flow.direction, flow.upstream,
                                      options.breach, options.threads, all.part(0, 0.45));
    flow.depressions = basins.count;
    flow.changed_cells = options.breach
                             ? breach(basins, flow.upstream, flow.direction, flow.height)
                             : fill(basins, flow.upstream, flow.height, options.threads, all.part(0.45, 0.5));
  }
  direct(flow.height, rows, flow.direction, strips, options.threads, all.part(0.5, 0.6));
  flow.flat_cells =
      resolve_flats(flow.height, flow.direction, flow.upstream, strips, options.threads, all.part(0.6, 0.8));
  flow.valid_cells = accumulate(flow.direction, flow.upstream, strips, options.threads, all.part(0.8, 1));
  all.tell(1);
  return flow;
}

Raster<float> fill_depressions(Raster<float> heights, std::span<const RowMetric> rows,
                               const FlowOptions& options) {
  check(heights, rows);
  const ProgressPart all(options.progress, 0, 1);
  Raster<std::uint8_t> direction(heights.size());
  Raster<std::uint32_t> label(heights.size());
  const Basins basins = find_basins(heights, rows, strips_of(heights.size(), options.cells_in_strip),
                                    direction, label, false, options.threads, all.part(0, 0.9));
  fill(basins, label, heights, options.threads, all.part(0.9, 1));
  return heights;
}

std::optional<CellIndex> FlowGrid::downstream(CellIndex cell) const {
  const std::uint8_t way = direction[cell];
  if (way >= 8) return std::nullopt;
  return static_cast<CellIndex>(static_cast<std::ptrdiff_t>(cell) +
                                kRowStep[way] * static_cast<std::ptrdiff_t>(size.cols) + kColStep[way]);
}

double FlowGrid::step_m(CellIndex cell) const {
  const std::uint8_t way = direction[cell];
  if (way >= 8) return 0;
  const RowMetric& row = rows[cell / size.cols];
  if (is_diagonal(way)) return std::hypot(row.width_m, row.height_m);
  return kRowStep[way] == 0 ? row.width_m : row.height_m;
}

}  // namespace brookmark::geodata
