// A million samples of twenty records scored in one pass, and a hundred thousand sites assessed as a time
// slider moves.
#include <benchmark/benchmark.h>

#include "core/scoring/assessment.hpp"
#include "tests/bench/counted_survey.hpp"

namespace core = brookmark::core;

namespace {

const core::Snapshot& survey() {
  static const core::Snapshot s = brookmark::bench::counted_survey(100'000, 10, 20);
  return s;
}

void score(benchmark::State& state, const char* method_id) {
  const core::Method& method = *core::find_method(method_id);
  const core::Snapshot& s = survey();
  for (auto _ : state) {
    const core::ScoreTable table =
        core::score_samples(s, method, {.threads = static_cast<unsigned>(state.range(0))});
    benchmark::DoNotOptimize(table.metrics[0].data());
  }
  state.counters["samples/s"] =
      benchmark::Counter(static_cast<double>(s.samples.size() * static_cast<std::size_t>(state.iterations())),
                         benchmark::Counter::kIsRate);
  state.counters["samples"] = static_cast<double>(s.samples.size());
  state.counters["records"] = static_cast<double>(s.records.size());
}

void assess_sites(benchmark::State& state, const char* method_id) {
  const core::Snapshot& s = survey();
  const core::ScoreTable table = core::score_samples(s, *core::find_method(method_id));
  core::CatchmentNesting nesting;  // a hundred sub-catchments within ten within one
  for (std::size_t c = 0; c < 111; ++c) {
    nesting.parent.push_back(c == 0    ? core::CatchmentIndex::none()
                             : c <= 10 ? core::CatchmentIndex(0)
                                       : core::CatchmentIndex(1 + (c - 11) / 10));
    nesting.area_m2.push_back(1);
  }
  for (std::size_t i = 0; i < s.sites.size(); ++i) nesting.site_smallest.emplace_back(11 + i % 100);
  std::int32_t day = 0;
  for (auto _ : state) {
    day = (day + 37) % 1900;
    const core::Assessment a = core::assess(s, table, 0, nesting, core::Date{18000 + day});
    benchmark::DoNotOptimize(a.sites.data());
  }
  state.counters["sites"] = static_cast<double>(s.sites.size());
}

}  // namespace

// The argument is the number of threads; 0 takes all cores.
BENCHMARK_CAPTURE(score, family_biotic_index, "family-biotic-index")
    ->Arg(1)
    ->Arg(0)
    ->UseRealTime()
    ->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(score, bmwp_and_aspt, "bmwp-a")
    ->Arg(1)
    ->Arg(0)
    ->UseRealTime()
    ->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(score, three_group_abundance, "three-group-abundance")
    ->Arg(1)
    ->Arg(0)
    ->UseRealTime()
    ->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(score, ept_richness, "ept-richness")
    ->Arg(1)
    ->Arg(0)
    ->UseRealTime()
    ->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(assess_sites, bmwp, "bmwp-a")->UseRealTime()->Unit(benchmark::kMillisecond);
