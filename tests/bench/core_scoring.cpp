// A million samples of twenty records scored in one pass, and a hundred thousand sites assessed as a time
// slider moves.
#include <benchmark/benchmark.h>

#include <random>
#include <string>

#include "core/scoring/assessment.hpp"
#include "core/taxa/checklist.hpp"

namespace core = brookmark::core;

namespace {

// Every site has ten samples, every sample twenty counted records of names drawn from the whole checklist.
core::Snapshot make_survey(std::size_t sites, std::size_t samples_per_site, std::size_t records_per_sample) {
  core::Snapshot s;
  std::vector<std::string> names;
  for (const core::ChecklistEntry& entry : core::checklist().entries()) {
    s.taxa.name.append(entry.name);
    s.taxa.key.append("checklist:" + entry.name);
    s.taxa.rank.push_back(entry.rank);
    core::TaxonIndex parent;
    for (std::size_t i = 0; i < names.size(); ++i)
      if (names[i] == entry.parent) parent = core::TaxonIndex(i);
    s.taxa.parent.push_back(parent);
    s.taxa.listed.push_back(true);
    names.push_back(entry.name);
  }
  s.sites.kind.assign(sites, core::WaterKind::kStream);
  s.sites.position.assign(sites, {-1.0, 52.0});
  const std::size_t samples = sites * samples_per_site, records = samples * records_per_sample;
  std::mt19937 random(20240503);
  s.samples.record_begin.push_back(0);
  for (std::size_t i = 0; i < samples; ++i) {
    s.samples.site.emplace_back(i / samples_per_site);
    s.samples.date.push_back(
        {static_cast<std::int32_t>(18000 + 180 * (i % samples_per_site) + random() % 30)});
    s.samples.kind.push_back(core::SampleKind::kRoutine);
    s.samples.subsample_share.emplace_back();
    s.samples.record_begin.push_back((i + 1) * records_per_sample);
  }
  s.records.quantity.assign(records, core::QuantityKind::kCount);
  s.records.stage.assign(records, core::LifeStage::kUnknown);
  s.records.certainty.assign(records, 1.0F);
  s.records.taxon.reserve(records);
  s.records.count_min.reserve(records);
  for (std::size_t r = 0; r < records; ++r) {
    s.records.taxon.emplace_back(random() % names.size());
    s.records.count_min.push_back(1 + static_cast<std::int64_t>(random() % 40));
  }
  s.records.count_max = s.records.count_min;
  return s;
}

const core::Snapshot& survey() {
  static const core::Snapshot s = make_survey(100'000, 10, 20);
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
    const core::Assessment a = core::assess(s, table, 0, nesting, {18000 + day});
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
