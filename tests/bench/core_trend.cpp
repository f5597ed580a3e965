// Ten thousand series of a hundred values: Mann-Kendall with ties, with and without the slope and its interval; and the
// permutation test of a survey's usual dozen pairs. tests/bench/trend_scipy.py does the first two with SciPy.
#include <benchmark/benchmark.h>

#include <numeric>
#include <random>
#include <vector>

#include "core/analysis/permutation.hpp"
#include "core/analysis/trend.hpp"

namespace core = brookmark::core;

namespace {

constexpr std::size_t kSeries = 10'000, kValues = 100;

struct Many {
  std::vector<double> times, values;  // [series][value], one after the other
};

// Whole numbers below 100, so that there are ties, with a slow rise.
const Many& many() {
  static const Many made = [] {
    Many out;
    std::mt19937 random(20240503);
    out.times.resize(kValues);
    std::iota(out.times.begin(), out.times.end(), 1901.0);
    for (std::size_t i = 0; i < kSeries * kValues; ++i)
      out.values.push_back(static_cast<double>(random() % 100 + (i % kValues) / 10));
    return out;
  }();
  return made;
}

void trends(benchmark::State& state, bool with_slope) {
  const Many& all = many();
  core::TrendOptions options;
  options.with_slope = with_slope;
  double sum = 0;
  for (auto _ : state)
    for (std::size_t s = 0; s < kSeries; ++s) {
      const auto test =
          core::mann_kendall(all.times, std::span(all.values).subspan(s * kValues, kValues), options);
      sum += test.z + test.slope.value_or(0);
    }
  benchmark::DoNotOptimize(sum);
  state.counters["series/s"] =
      benchmark::Counter(static_cast<double>(kSeries * static_cast<std::size_t>(state.iterations())),
                         benchmark::Counter::kIsRate);
}

// S of one long series, beside the count over all pairs.
void long_s(benchmark::State& state) {
  std::vector<double> values(static_cast<std::size_t>(state.range(0)));
  std::mt19937 random(1);
  for (double& v : values) v = static_cast<double>(random() % 1000);
  for (auto _ : state) benchmark::DoNotOptimize(core::kendall_s(values));
}
void long_s_by_pairs(benchmark::State& state) {
  std::vector<double> values(static_cast<std::size_t>(state.range(0)));
  std::mt19937 random(1);
  for (double& v : values) v = static_cast<double>(random() % 1000);
  for (auto _ : state) {
    std::int64_t s = 0;
    for (std::size_t i = 0; i < values.size(); ++i)
      for (std::size_t j = i + 1; j < values.size(); ++j)
        s += (values[j] > values[i]) - (values[j] < values[i]);
    benchmark::DoNotOptimize(s);
  }
}

void permute(benchmark::State& state) {
  std::vector<double> before(static_cast<std::size_t>(state.range(0))),
      after(static_cast<std::size_t>(state.range(1)));
  std::mt19937 random(2);
  for (double& v : before) v = static_cast<double>(random() % 100);
  for (double& v : after) v = static_cast<double>(random() % 100) - 30;
  for (auto _ : state) benchmark::DoNotOptimize(core::permute_groups(before, after).p);
}

}  // namespace

BENCHMARK_CAPTURE(trends, test_slope_interval, true)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(trends, test_alone, false)->Unit(benchmark::kMillisecond);
BENCHMARK(long_s)->Arg(10'000)->Unit(benchmark::kMicrosecond);
BENCHMARK(long_s_by_pairs)->Arg(10'000)->Unit(benchmark::kMicrosecond);
BENCHMARK(permute)->Args({6, 8})->Args({9, 15})->Unit(benchmark::kMillisecond);
