// The whole map at once: 100,000 sites, 1,000,000 points of watercourse in 20,000 reaches, 5,000 catchments with names, at
// 1280 x 800, drawn off screen; and what it takes to gather sites and to thin lines.
#include <benchmark/benchmark.h>

#include <chrono>
#include <cmath>
#include <ctime>
#include <string>

#include "tests/viewer/window/sample_survey.hpp"
#include "viewer/map/gathered_sites.hpp"
#include "viewer/platform/off_screen_view.hpp"

namespace brookmark::viewer {
namespace {

constexpr double kSide_m = 100'000;
constexpr int kWarmUp = 20;  // frames after the first picture

core::Snapshot large_survey() {
  core::Snapshot s = test::many_sites(100'000, kSide_m);
  std::uint64_t state = 7;
  const auto random = [&state] {
    state = state * 6364136223846793005ULL + 1442695040888963407ULL;
    return static_cast<double>(state >> 11) / 9007199254740992.0;
  };
  for (int reach = 0; reach < 20'000; ++reach) {
    double x = (random() - 0.5) * kSide_m, y = (random() - 0.5) * kSide_m, way = random() * 6.28;
    core::Line line;
    for (int i = 0; i < 50; ++i) {
      line.push_back(test::ocean(x, y));
      way += (random() - 0.5) * 0.8;
      x += 12 * std::cos(way), y += 12 * std::sin(way);
    }
    s.reaches.push_back({"reach-" + std::to_string(reach), "Brook " + std::to_string(reach), line});
  }
  constexpr int kAcross = 71;  // 71 * 71 = 5,041 catchments of 40 points
  const double cell = kSide_m / kAcross;
  for (int row = 0; row < kAcross; ++row)
    for (int column = 0; column < kAcross; ++column) {
      core::Line ring;
      for (int i = 0; i <= 40; ++i) {
        const double a = 2 * 3.14159265358979 * (i % 40) / 40, r = cell * (0.42 + 0.06 * std::sin(5 * a));
        ring.push_back(test::ocean((column + 0.5) * cell - kSide_m / 2 + r * std::cos(a),
                                   (row + 0.5) * cell - kSide_m / 2 + r * std::sin(a)));
      }
      const std::string number = std::to_string(row * kAcross + column);
      s.catchments.push_back({"catchment-" + number, "C" + number, "Valley " + number, {{{ring}}}});
    }
  return s;
}

const Model& large() {
  static const Model kModel(make_session(large_survey()));
  return kModel;
}

double thread_seconds() {
  timespec t{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &t);
  return static_cast<double>(t.tv_sec) + static_cast<double>(t.tv_nsec) * 1e-9;
}

// `own_ms`: processor time of the frame's own thread; on software OpenGL that thread also shades the vertices. `long_ones`:
// frames of more than 100 ms from begin to the end of the drawing.
void frames(benchmark::State& state, OffScreenView& view, const Action& each) {
  view.picture();
  for (int i = 0; i < kWarmUp; ++i) {
    view.frame(nullptr);
    view.render();
    view.finish();
  }
  double own = 0, panels = 0, worst = 0, worst_wall = 0, long_ones = 0;
  for (auto _ : state) {
    const auto start = std::chrono::steady_clock::now();
    const double begin = thread_seconds();
    view.stage().apply(each);
    view.frame(nullptr);
    const double drawn = thread_seconds();
    view.render();
    const double end = thread_seconds();
    own += end - begin;
    panels += drawn - begin;
    worst = std::max(worst, end - begin);
    view.finish();
    const double wall = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
    worst_wall = std::max(worst_wall, wall);
    if (wall > 0.1) ++long_ones;
  }
  const auto count = static_cast<double>(state.iterations());
  state.counters["own_ms"] = 1000 * own / count;
  state.counters["panels_ms"] = 1000 * panels / count;
  state.counters["own_worst_ms"] = 1000 * worst;
  state.counters["worst_ms"] = 1000 * worst_wall;
  state.counters["long_ones"] = long_ones;
}

void whole_map(benchmark::State& state) {
  OffScreenView view(large(), 1280, 800);
  if (state.range(0) > 1) view.stage().apply(ZoomCentre{static_cast<double>(state.range(0))});
  frames(state, view, Pan{state.range(0) > 1 ? 4.0 : 0.0, 0});
}
BENCHMARK(whole_map)
    ->ArgName("zoom")
    ->Arg(1)
    ->Arg(4)
    ->Arg(16)
    ->Arg(60)
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

void whole_map_without(benchmark::State& state) {
  OffScreenView view(large(), 1280, 800);
  for (const Layer layer : {Layer::kSites, Layer::kChannels, Layer::kCatchments})
    if (layer != static_cast<Layer>(state.range(0))) view.stage().apply(ShowLayer{layer, false});
  frames(state, view, Pan{0, 0});
}
BENCHMARK(whole_map_without)
    ->ArgName("only_layer")
    ->Arg(static_cast<int>(Layer::kSites))
    ->Arg(static_cast<int>(Layer::kChannels))
    ->Arg(static_cast<int>(Layer::kCatchments))
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

// Coming nearer by small steps: new grades of detail, and sites gathered anew at every half octave.
void zooming(benchmark::State& state) {
  OffScreenView view(large(), 1280, 800);
  frames(state, view, ZoomCentre{1.03});
}
BENCHMARK(zooming)->Iterations(120)->Unit(benchmark::kMillisecond)->UseRealTime();

void gather_sites(benchmark::State& state) {
  const double metres = static_cast<double>(state.range(0));
  for (auto _ : state)
    benchmark::DoNotOptimize(SiteClusters(large().site_places(), kNear_ems * 16 * metres,
                                          kGathered_ems * 16 * metres, kCovered_ems * 16 * metres));
}
BENCHMARK(gather_sites)
    ->ArgName("metres_per_pixel")
    ->Arg(1)
    ->Arg(10)
    ->Arg(130)
    ->Unit(benchmark::kMillisecond);

void open_large_map(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(MapScene(large()));
}
BENCHMARK(open_large_map)->Unit(benchmark::kMillisecond);

void fill_areas(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(catchment_areas(large()));
}
BENCHMARK(fill_areas)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace brookmark::viewer
