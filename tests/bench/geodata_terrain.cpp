// Why: the figures for terrain, side by side with a plain priority-flood (one binary heap over all cells) in the
// same run. The terrain is a fractal one, made by midpoint displacement.
// BROOKMARK_BENCH_DEM=FILE.flt writes the terrain of BROOKMARK_BENCH_SIDE cells a side (2000) for other programs, with
// the .hdr that goes with it; BROOKMARK_BENCH_GROWTH=1 adds runs of 1 to 400 million cells with their memory.
#include <benchmark/benchmark.h>

#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <fstream>
#include <queue>
#include <random>
#include <string>
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
    ->MeasureProcessCPUTime()
    ->UseRealTime();
BENCHMARK_CAPTURE(route, breach, true)
    ->ArgNames({"side", "threads"})
    ->Args({2000, 1})
    ->Unit(benchmark::kMillisecond)
    ->MeasureProcessCPUTime()
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

// The most memory this process has held since the last call with `reset`, bytes.
double peak_memory(bool reset) {
  if (reset) std::ofstream("/proc/self/clear_refs") << 5;
  std::ifstream status("/proc/self/status");
  for (std::string word; status >> word;)
    if (word == "VmHWM:") {
      double kibibytes = 0;
      status >> kibibytes;
      return kibibytes * 1024;
    }
  return 0;
}

// Each terrain is made, routed once in place, and forgotten; its own heights count.
void growth(benchmark::State& state) {
  const auto side = static_cast<std::uint32_t>(state.range(0));
  for (auto _ : state) {
    state.PauseTiming();
    Raster<float> heights = fractal(side);
    const std::size_t heights_cells = heights.size().cells();
    const double before = peak_memory(true) - 4.0 * static_cast<double>(heights_cells);
    state.ResumeTiming();
    const geodata::FlowGrid flow = geodata::route_flow(std::move(heights), ten_metres(side),
                                                       {.threads = static_cast<unsigned>(state.range(1))});
    state.PauseTiming();
    const double peak = peak_memory(false);
    state.counters["GiB"] = peak / (1U << 30U);
    state.counters["bytes_a_cell"] = (peak - before) / static_cast<double>(heights_cells);
    state.ResumeTiming();
  }
}

void write_terrain(const std::string& file, std::uint32_t side) {
  const Raster<float> heights = fractal(side);
  std::ofstream(file, std::ios::binary)
      .write(reinterpret_cast<const char*>(heights.row(0)),
             static_cast<std::streamsize>(4 * heights.size().cells()));
  std::ofstream(file.substr(0, file.rfind('.')) + ".hdr")
      << "ncols " << side << "\nnrows " << side << "\nxllcorner 500000\nyllcorner 4000000\ncellsize 10\n"
      << "NODATA_value -9999\nbyteorder LSBFIRST\n";
}

// Before main, as Google Benchmark's own registration.
[[maybe_unused]] const bool registered = [] {
  const char* side = std::getenv("BROOKMARK_BENCH_SIDE");
  if (const char* file = std::getenv("BROOKMARK_BENCH_DEM"); file != nullptr)
    write_terrain(file, side == nullptr ? 2000 : static_cast<std::uint32_t>(std::atoi(side)));
  if (std::getenv("BROOKMARK_BENCH_GROWTH") == nullptr) return false;
  for (const std::int64_t cells_a_side : {1000, 2000, 4000, 8000, 20000})
    for (const std::int64_t threads : {1, 2})
      benchmark::RegisterBenchmark("growth", growth)
          ->ArgNames({"side", "threads"})
          ->Args({cells_a_side, threads})
          ->Iterations(1)
          ->Unit(benchmark::kMillisecond)
          ->MeasureProcessCPUTime()
          ->UseRealTime();
  return true;
}();

}  // namespace
