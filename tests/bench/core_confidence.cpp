// Ten thousand samples of twenty counts, each drawn again a thousand times and scored: beside it the drawing alone, and
// the random words alone. BROOKMARK_BENCH_COUNTS=FILE writes the same counts for bootstrap_numpy.py.
#include <benchmark/benchmark.h>

#include <cstdlib>
#include <fstream>
#include <numeric>

#include "core/base/repeated_multinomial.hpp"
#include "core/scoring/confidence.hpp"
#include "core/scoring/redraw_internal.hpp"
#include "tests/bench/counted_survey.hpp"

namespace core = brookmark::core;

namespace {

constexpr std::uint32_t kDraws = 1000;

const core::Snapshot& survey() {
  static const core::Snapshot s = brookmark::bench::counted_survey(1000, 10, 20);
  return s;
}

// One row a sample and line of the method's table; a line without score holds the animals that do not score.
void write_counts(const char* file) {
  const core::Snapshot& s = survey();
  const core::Method& method = *core::find_method("family-biotic-index");
  const core::CompiledMethod compiled(s.taxa, method);
  std::ofstream out(file);
  out << "sample,count,score\n";
  for (std::size_t i = 0; i < s.samples.size(); ++i) {
    std::vector<std::int64_t> counts(method.units.size() + 1);
    for (std::size_t r = s.samples.record_begin[i]; r < s.samples.record_begin[i + 1]; ++r) {
      const std::uint16_t unit = compiled.unit_of_taxon[s.records.taxon[r].value()];
      counts[unit == core::kNoUnit ? method.units.size() : unit] += s.records.count_min[r];
    }
    for (std::size_t u = 0; u < counts.size(); ++u) {
      if (counts[u] == 0) continue;
      out << i << ',' << counts[u] << ',';
      if (u < method.units.size()) out << method.units[u].score;
      out << '\n';
    }
  }
}

void confidence(benchmark::State& state, const char* method_id) {
  const core::Method& method = *core::find_method(method_id);
  const core::Snapshot& s = survey();
  if (const char* file = std::getenv("BROOKMARK_BENCH_COUNTS")) write_counts(file);
  for (auto _ : state) {
    const core::ConfidenceTable table =
        core::confidence_of(s, method, {.draws = kDraws, .threads = static_cast<unsigned>(state.range(0))});
    benchmark::DoNotOptimize(table.metrics[0].data());
  }
  state.counters["samples"] = static_cast<double>(s.samples.size());
  state.counters["draws/s"] = benchmark::Counter(
      static_cast<double>(s.samples.size()) * kDraws * static_cast<double>(state.iterations()),
      benchmark::Counter::kIsRate);
}

// The same draws without scoring them.
void drawing_alone(benchmark::State& state, const char* method_id) {
  const core::Snapshot& s = survey();
  const core::CompiledMethod compiled(s.taxa, *core::find_method(method_id));
  for (auto _ : state)
    for (std::size_t i = 0; i < s.samples.size(); ++i) {
      core::SampleRedraw again(s, compiled, i);
      core::Random random(1, i);
      for (std::uint32_t d = 0; d < kDraws; ++d) again.draw(random);
      benchmark::DoNotOptimize(again.drawn().data());
    }
}

// Fifty random words for each of the ten million draws: about what one draw uses.
void random_words_alone(benchmark::State& state) {
  for (auto _ : state) {
    core::Random random(1, 2);
    std::uint32_t all = 0;
    for (std::uint64_t i = 0; i < 50ULL * kDraws * 10'000; ++i) all ^= random.next_32();
    benchmark::DoNotOptimize(all);
  }
}

}  // namespace

// The argument is the number of threads; 0 takes all cores.
BENCHMARK_CAPTURE(confidence, family_biotic_index, "family-biotic-index")
    ->Arg(1)
    ->Arg(0)
    ->UseRealTime()
    ->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(confidence, bmwp_and_aspt, "bmwp-a")
    ->Arg(1)
    ->Arg(0)
    ->UseRealTime()
    ->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(drawing_alone, family_biotic_index, "family-biotic-index")
    ->UseRealTime()
    ->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(drawing_alone, bmwp_and_aspt, "bmwp-a")->UseRealTime()->Unit(benchmark::kMillisecond);
BENCHMARK(random_words_alone)->UseRealTime()->Unit(benchmark::kMillisecond);
