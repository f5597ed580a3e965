// The diversity of a million samples of twenty records: every number of `brookmark diversity`, rarefied to a common
// number of animals with its standard error. diversity_vegan.R does the same work on a part of the same samples, which
// this program writes for it:
//   BROOKMARK_WRITE_COUNTS=/tmp/counts.csv build/release/tests/core_bench --benchmark_filter=diversity
//   Rscript tests/bench/diversity_vegan.R /tmp/counts.csv
#include <benchmark/benchmark.h>

#include <cstdlib>
#include <fstream>

#include "core/base/text.hpp"
#include "core/scoring/sample_diversity.hpp"
#include "tests/bench/counted_survey.hpp"

namespace core = brookmark::core;

namespace {

const core::Snapshot& survey() {
  static const core::Snapshot s = brookmark::bench::counted_survey(100'000, 10, 20);
  return s;
}

constexpr std::size_t kWritten = 5'000;  // samples; R takes minutes for more

// Counts as they are counted here, with what was found, so that both sides can be compared.
void write_counts(const core::Snapshot& s, const core::DiversityTable& table, const std::string& file) {
  std::ofstream out(file);
  out << "sample,taxon,count,rarefied_n,shannon,rarefied,rarefied_se,chao1,chao1_se\n";
  const core::TaxonLevel level(s.taxa);
  core::TaxonCounter counter(s, level);
  using M = core::DiversityMetric;
  for (std::size_t i = 0; i < kWritten; ++i) {
    counter.read(i);
    std::string values = "," + std::to_string(table.rarefied_n);
    for (const M metric : {M::kShannon, M::kRarefied, M::kRarefiedError, M::kChao1, M::kChao1Error}) {
      const auto value = core::value_of(table, core::SampleIndex(i), metric);
      values += "," + (value ? core::format_number(*value) : std::string());
    }
    for (std::size_t t = 0; t < counter.taxa().size(); ++t)
      out << i << ',' << counter.taxa()[t].value() << ',' << counter.counts()[t] << values << '\n';
  }
}

void diversity(benchmark::State& state) {
  const core::Snapshot& s = survey();
  core::DiversityOptions options;
  options.threads = static_cast<unsigned>(state.range(0));
  for (auto _ : state) {
    const core::DiversityTable table = core::diversity_of_samples(s, options);
    benchmark::DoNotOptimize(table.samples.data());
  }
  if (const char* file = std::getenv("BROOKMARK_WRITE_COUNTS"); file != nullptr && state.range(0) == 0)
    write_counts(s, core::diversity_of_samples(s, options), file);
  state.counters["samples/s"] =
      benchmark::Counter(static_cast<double>(s.samples.size() * static_cast<std::size_t>(state.iterations())),
                         benchmark::Counter::kIsRate);
  state.counters["samples"] = static_cast<double>(s.samples.size());
  state.counters["records"] = static_cast<double>(s.records.size());
}

// Looking up every number, as a table of all samples does.
void diversity_numbers(benchmark::State& state) {
  const core::Snapshot& s = survey();
  const core::DiversityTable table = core::diversity_of_samples(s);
  for (auto _ : state) {
    double sum = 0;
    for (std::size_t i = 0; i < s.samples.size(); ++i)
      for (std::size_t m = 0; m < core::kDiversityMetrics; ++m)
        sum += core::value_of(table, core::SampleIndex(i), static_cast<core::DiversityMetric>(m)).value_or(0);
    benchmark::DoNotOptimize(sum);
  }
}

}  // namespace

// The argument is the number of threads; 0 takes all cores.
BENCHMARK(diversity)->Arg(1)->Arg(0)->UseRealTime()->Unit(benchmark::kMillisecond);
BENCHMARK(diversity_numbers)->UseRealTime()->Unit(benchmark::kMillisecond);
