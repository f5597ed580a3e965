// Why: the figures for the river graph, side by side with the least that a machine can do: one plain loop
// over a parent array. The random tree is written as CSV for tree_scipy.py when BROOKMARK_BENCH_TREE names a
// file.
#include <benchmark/benchmark.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <fstream>
#include <random>
#include <string>
#include <utility>
#include <vector>

#include "core/network/channel_walk.hpp"
#include "core/network/river_graph.hpp"
#include "tests/bench/lattice_rivers.hpp"

namespace {

namespace core = brookmark::core;
using core::Direction;

constexpr std::uint32_t kNodes = 1'000'000;
constexpr std::uint32_t kOutfallEvery = 1'000;
constexpr std::uint32_t kSeed = 42;

// Node 0 is the mouth. Nine nodes in ten drain to the one before them, the others to any before them: streams
// of ten stretches on average that join one another anywhere, as in tests/reference/network/net_1k.csv.
struct Tree {
  std::vector<std::uint32_t> down;
  std::vector<double> length_m;
  std::vector<std::uint8_t> outfall;
};

Tree make_tree() {
  std::mt19937 random(kSeed);
  Tree tree{std::vector<std::uint32_t>(kNodes), std::vector<double>(kNodes),
            std::vector<std::uint8_t>(kNodes)};
  for (std::uint32_t i = 0; i < kNodes; ++i) {
    const auto any_before = static_cast<std::uint32_t>(random()) % std::max(i, 1U);
    tree.down[i] = i == 0 ? 0 : random() % 10 != 0 ? i - 1 : any_before;
    tree.length_m[i] = i == 0 ? 0 : static_cast<double>(10'000 + random() % 990'000) / 1000;
    tree.outfall[i] = random() % kOutfallEvery == 0;
  }
  if (const char* file = std::getenv("BROOKMARK_BENCH_TREE"); file != nullptr) {
    std::ofstream out(file);
    out << "node,down_node,length_m,outfall\n";
    for (std::uint32_t i = 0; i < kNodes; ++i) {
      out << i << ',';
      if (i > 0) out << tree.down[i];
      // Lengths are whole millimetres: written as such, without rounding.
      const auto mm = std::llround(tree.length_m[i] * 1000);
      const std::string thousandths = std::to_string(mm % 1000);
      out << ',' << mm / 1000 << '.' << std::string(3 - thousandths.size(), '0') << thousandths << ','
          << int{tree.outfall[i]} << '\n';
    }
  }
  return tree;
}

const Tree& tree() {
  static const Tree made = make_tree();
  return made;
}

// The same tree with its nodes in no order, as a file of reaches may bring them.
struct Shuffled {
  core::RiverGraph graph;
  std::vector<std::uint8_t> outfall;
};

core::RiverGraph graph_of(const std::vector<std::uint32_t>& label) {
  std::vector<core::GraphEdge> edges;
  for (std::uint32_t i = 1; i < kNodes; ++i) {
    edges.push_back({label[i], label[tree().down[i]], tree().length_m[i]});
  }
  return {kNodes, std::move(edges)};
}

std::vector<std::uint32_t> labels(bool shuffled) {
  std::vector<std::uint32_t> label(kNodes);
  for (std::uint32_t i = 0; i < kNodes; ++i) label[i] = i;
  if (shuffled) std::shuffle(label.begin(), label.end(), std::mt19937(kSeed));
  return label;
}

const core::RiverGraph& graph() {
  static const core::RiverGraph made = graph_of(labels(false));
  return made;
}

const Shuffled& shuffled() {
  static const Shuffled made = [] {
    const std::vector<std::uint32_t> label = labels(true);
    Shuffled s{graph_of(label), std::vector<std::uint8_t>(kNodes)};
    for (std::uint32_t i = 0; i < kNodes; ++i) s.outfall[label[i]] = tree().outfall[i];
    return s;
  }();
  return made;
}

// The floor: nothing but the parent array, which already lies in the order of the tree.
std::vector<double> plain_start(const std::vector<std::uint8_t>& outfall) {
  std::vector<double> d(kNodes);
  for (std::uint32_t i = 0; i < kNodes; ++i) d[i] = outfall[i] != 0 ? 0 : core::kNoPath;
  return d;
}

void plain_up(benchmark::State& state) {
  const auto& [down, length_m, outfall] = tree();
  for (auto _ : state) {
    std::vector<double> d = plain_start(outfall);
    for (std::uint32_t i = kNodes; i-- > 1;) d[down[i]] = std::min(d[down[i]], d[i] + length_m[i]);
    benchmark::DoNotOptimize(d.data());
  }
}
BENCHMARK(plain_up)->Unit(benchmark::kMillisecond);

void plain_down(benchmark::State& state) {
  const auto& [down, length_m, outfall] = tree();
  for (auto _ : state) {
    std::vector<double> d = plain_start(outfall);
    for (std::uint32_t i = 1; i < kNodes; ++i) d[i] = std::min(d[i], d[down[i]] + length_m[i]);
    benchmark::DoNotOptimize(d.data());
  }
}
BENCHMARK(plain_down)->Unit(benchmark::kMillisecond);

// For comparison with tree_scipy.py: nodes reached, and the sum of their distances.
void count_reached(benchmark::State& state, const std::vector<double>& distance_m) {
  double reached = 0;
  double sum_m = 0;
  for (const double d : distance_m) {
    if (d == core::kNoPath) continue;
    reached += 1;
    sum_m += d;
  }
  state.counters["reached"] = reached;
  state.counters["sum_m"] = sum_m;
}

void nearest(benchmark::State& state, Direction direction) {
  count_reached(state, graph().nearest(tree().outfall, direction));
  for (auto _ : state) benchmark::DoNotOptimize(graph().nearest(tree().outfall, direction).data());
}
BENCHMARK_CAPTURE(nearest, up, Direction::kUpstream)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(nearest, down, Direction::kDownstream)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(nearest, any, Direction::kAny)->Unit(benchmark::kMillisecond);

void nearest_shuffled(benchmark::State& state, Direction direction) {
  shuffled();
  for (auto _ : state)
    benchmark::DoNotOptimize(shuffled().graph.nearest(shuffled().outfall, direction).data());
}
BENCHMARK_CAPTURE(nearest_shuffled, up, Direction::kUpstream)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(nearest_shuffled, down, Direction::kDownstream)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(nearest_shuffled, any, Direction::kAny)->Unit(benchmark::kMillisecond);

void build_graph(benchmark::State& state) {
  std::vector<core::GraphEdge> edges(graph().edges().begin(), graph().edges().end());
  for (auto _ : state) benchmark::DoNotOptimize(core::RiverGraph(kNodes, edges).is_tree());
}
BENCHMARK(build_graph)->Unit(benchmark::kMillisecond);

void build_channels(benchmark::State& state) {
  const std::vector<core::Reach> reaches =
      brookmark::bench::lattice_reaches(static_cast<std::uint32_t>(state.range(0)));
  for (auto _ : state) benchmark::DoNotOptimize(core::build_channels(reaches).edges().size());
}
BENCHMARK(build_channels)
    ->Arg(10'000)
    ->Arg(100'000)
    ->Arg(1'000'000)
    ->Iterations(1)
    ->Unit(benchmark::kMillisecond);

std::vector<core::LonLat> places_on(const std::vector<core::Reach>& reaches, std::uint32_t count,
                                    std::uint32_t seed) {
  std::mt19937 random(seed);
  std::vector<core::LonLat> places;
  for (std::uint32_t i = 0; i < count; ++i) places.push_back(reaches[random() % reaches.size()].line[5]);
  return places;
}

void snap(benchmark::State& state) {
  const std::vector<core::Reach> reaches = brookmark::bench::lattice_reaches(100'000);
  const core::ChannelNetwork network = core::build_channels(reaches);
  const std::vector<core::LonLat> places = places_on(reaches, 10'000, 1);
  for (auto _ : state) {
    for (const core::LonLat& place : places)
      benchmark::DoNotOptimize(network.snap({place.lon + 0.0005, place.lat}));
  }
}
BENCHMARK(snap)->Unit(benchmark::kMillisecond);

// Every one of 1,000 sites to each of 50 outfalls on 10,000 reaches, in one pass, with the ways to draw.
void distances_from_1000_sites(benchmark::State& state, Direction direction) {
  const std::vector<core::Reach> reaches = brookmark::bench::lattice_reaches(10'000);
  const core::ChannelNetwork network = core::build_channels(reaches);
  const std::vector<core::LonLat> sites = places_on(reaches, 1'000, 2);
  const std::vector<core::LonLat> outfalls = places_on(reaches, 50, 3);
  const std::vector<double> limits(sites.size(), network.options().max_snap_m);
  for (auto _ : state)
    benchmark::DoNotOptimize(core::distances_between(network, sites, limits, outfalls, {direction}).size());
}
BENCHMARK_CAPTURE(distances_from_1000_sites, up, Direction::kUpstream)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(distances_from_1000_sites, any, Direction::kAny)->Unit(benchmark::kMillisecond);

// 10,000 sites and 1,000 outfalls on 1,000,000 reaches: all pairs joined by the flow within 50 km.
void all_sites_all_outfalls(benchmark::State& state) {
  static const std::vector<core::Reach> reaches = brookmark::bench::lattice_reaches(1'000'000);
  static const core::ChannelNetwork network = core::build_channels(reaches);
  const auto points = [&](std::uint32_t count, std::uint32_t seed) {
    std::vector<core::ChannelPoint> found;
    for (const core::LonLat& place : places_on(reaches, count, seed)) found.push_back(*network.snap(place));
    return found;
  };
  static const std::vector<core::ChannelPoint> sites = points(10'000, 2), outfalls = points(1'000, 3);
  std::size_t pairs = 0;
  for (auto _ : state)
    pairs = core::channel_links(network, outfalls, sites, Direction::kDownstream, 50'000,
                                static_cast<unsigned>(state.range(0)))
                .size();
  state.counters["pairs"] = static_cast<double>(pairs);
}
BENCHMARK(all_sites_all_outfalls)
    ->ArgName("threads")
    ->Arg(1)
    ->Arg(2)
    ->UseRealTime()
    ->Unit(benchmark::kMillisecond);

}  // namespace
