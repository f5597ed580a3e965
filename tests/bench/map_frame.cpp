// One frame of the map with 100,000 sites at 1280 x 800, drawn off screen, and their recolouring after
// another day.
#include <benchmark/benchmark.h>
#include <ctime>

#include "tests/viewer/window/sample_survey.hpp"
#include "viewer/platform/off_screen_view.hpp"

namespace brookmark::viewer {
namespace {

constexpr std::size_t kSites = 100'000;

const Model& model() {
  static const Model kModel(make_session(test::many_sites(kSites, 60'000)));
  return kModel;
}

double thread_seconds() {
  timespec t{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &t);
  return static_cast<double>(t.tv_sec) + static_cast<double>(t.tv_nsec) * 1e-9;
}

// Wall time includes the drawing itself (software or hardware); `own_ms` is the processor time of the frame's
// own thread.
void one_frame(benchmark::State& state) {
  OffScreenView view(model(), 1280, 800);
  if (state.range(0) > 1) view.stage().apply(ZoomCentre{static_cast<double>(state.range(0))});
  view.picture();
  double own = 0;
  for (auto _ : state) {
    const double begin = thread_seconds();
    view.frame(nullptr);
    view.render();
    own += thread_seconds() - begin;
    view.finish();
  }
  state.counters["own_ms"] = 1000 * own / static_cast<double>(state.iterations());
}
BENCHMARK(one_frame)->ArgName("zoom")->Arg(1)->Arg(8)->Arg(60)->Unit(benchmark::kMillisecond)->UseRealTime();

// Another day: the assessment of all sites, their marks, and the buffer sent anew, without the drawing.
void another_day(benchmark::State& state) {
  const auto days = model().sampling_dates();
  std::size_t turn = 0;
  for (auto _ : state) {
    const auto* assessment = model().assessment({0, 0}, days[++turn % days.size()]);
    benchmark::DoNotOptimize(site_marks(*assessment, model().snapshot(), assessment->until()));
  }
}
BENCHMARK(another_day)->Unit(benchmark::kMillisecond);

void frame_after_another_day(benchmark::State& state) {
  OffScreenView view(model(), 1280, 800);
  view.picture();
  const auto days = model().sampling_dates();
  std::size_t turn = 0;
  for (auto _ : state) {
    view.stage().apply(SetDate{days[++turn % days.size()]});
    view.frame(nullptr);
    view.render();
    view.finish();
  }
}
BENCHMARK(frame_after_another_day)->Unit(benchmark::kMillisecond)->UseRealTime();

void open_map(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(MapScene(model()));
}
BENCHMARK(open_map)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace brookmark::viewer
