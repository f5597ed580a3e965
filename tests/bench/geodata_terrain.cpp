// Why: the figures for terrain, side by side with a plain priority-flood (one binary heap over all cells) in the
// same run. The terrain is a fractal one: heights by midpoint displacement, or read from nowhere else.
#include <benchmark/benchmark.h>

#include <cmath>
#include <cstdint>
#include <queue>
#include <random>
#include <vector>

#include "geodata/terrain/flow.hpp"

namespace {

namespace geodata = brookmark::geodata;
using geodata::CellIndex;
using geodata::GridSize;
using geodata::Raster;

constexpr std::uint32_t kSeed = 7;

// Diamond-square on the next power of two, cut to size; roughness 0.6 a halving, as rough as hill country.
Raster<float> fractal(std::uint32_t side) {
  std::uint32_t n = 1;
  while (n + 1 < side) n *= 2;
  const std::uint32_t w = n + 1;
  std::vector<float> z(std::size_t{w} * w, 0);
  std::mt19937 random(kSeed);
  std::uniform_real_distribution<float> noise(-1, 1);
  const auto at = [&](std::uint32_t r, std::uint32_t c) -> float& { return z[std::size_t{r} * w + c]; };
  float amplitude = 500;
  for (std::uint32_t step = n; step > 1; step /= 2, amplitude *= 0.6F) {
    const std::uint32_t half = step / 2;
    for (std::uint32_t r = half; r < w; r += step)
      for (std::uint32_t c = half; c < w; c += step)
        at(r, c) = (at(r - half, c - half) + at(r - half, c + half) + at(r + half, c - half) +
                    at(r + half, c + half)) /
                       4 +
                   amplitude * noise(random);
    for (std::uint32_t r = 0; r < w; r += half)
      for (std::uint32_t c = (r / half) % 2 == 0 ? half : 0; c < w; c += step) {
        float sum = 0;
        float count = 0;
        if (r >= half) sum += at(r - half, c), ++count;
        if (r + half < w) sum += at(r + half, c), ++count;
        if (c >= half) sum += at(r, c - half), ++count;
        if (c + half < w) sum += at(r, c + half), ++count;
        at(r, c) = sum / count + amplitude * noise(random);
      }
  }
  Raster<float> heights({side, side});
  for (std::uint32_t r = 0; r < side; ++r)
    for (std::uint32_t c = 0; c < side; ++c) heights.at(r, c) = at(r, c);
  return heights;
}

const Raster<float>& terrain(std::uint32_t side) {
  static Raster<float> made;
  if (made.size().rows != side) made = fractal(side);
  return made;
}

std::vector<geodata::RowMetric> ten_metres(std::uint32_t side) {
  return {side, {10, 10, 100}};
}

void route(benchmark::State& state, bool breach) {
  const auto side = static_cast<std::uint32_t>(state.range(0));
  const auto rows = ten_metres(side);
  for (auto _ : state) {
    state.PauseTiming();
    Raster<float> heights = terrain(side).copy();
    state.ResumeTiming();
    const geodata::FlowGrid flow = geodata::route_flow(
        std::move(heights), rows, {.breach = breach, .threads = static_cast<unsigned>(state.range(1))});
    state.counters["depressions"] = static_cast<double>(flow.depressions);
    state.counters["changed"] = static_cast<double>(flow.changed_cells);
    state.counters["flat"] = static_cast<double>(flow.flat_cells);
  }
}
BENCHMARK_CAPTURE(route, fill, false)
    ->ArgNames({"side", "threads"})
    ->Args({2000, 1})
    ->Args({2000, 2})
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();
BENCHMARK_CAPTURE(route, breach, true)
    ->ArgNames({"side", "threads"})
    ->Args({2000, 1})
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

// The textbook: a heap over all cells from the border inwards, neighbours raised to the cell they are met from.
void plain_priority_flood(benchmark::State& state) {
  const auto side = static_cast<std::uint32_t>(state.range(0));
  struct Item {
    float z;
    CellIndex cell;
    bool operator>(const Item& other) const { return z > other.z; }
  };
  for (auto _ : state) {
    state.PauseTiming();
    Raster<float> heights = terrain(side).copy();
    state.ResumeTiming();
    std::vector<std::uint8_t> closed(heights.size().cells(), 0);
    std::priority_queue<Item, std::vector<Item>, std::greater<>> open;
    const auto push = [&](std::size_t r, std::size_t c) {
      const CellIndex cell = r * side + c;
      if (closed[cell] != 0) return;
      closed[cell] = 1;
      open.push({heights[cell], cell});
    };
    for (std::size_t i = 0; i < side; ++i) push(0, i), push(side - 1, i), push(i, 0), push(i, side - 1);
    while (!open.empty()) {
      const Item top = open.top();
      open.pop();
      const std::size_t r = top.cell / side, c = top.cell % side;
      for (int k = 0; k < 8; ++k) {
        const std::size_t nr = r + static_cast<std::size_t>(geodata::kRowStep[k]);
        const std::size_t nc = c + static_cast<std::size_t>(geodata::kColStep[k]);
        if (nr >= side || nc >= side || closed[nr * side + nc] != 0) continue;
        heights.at(nr, nc) = std::max(heights.at(nr, nc), top.z);
        push(nr, nc);
      }
    }
    benchmark::DoNotOptimize(heights.cells().data());
  }
}
BENCHMARK(plain_priority_flood)->Arg(2000)->Unit(benchmark::kMillisecond);

}  // namespace
