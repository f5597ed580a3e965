// A survey of 50,000 sites and 500,000 records: writing it as one edit, and reading it into a Snapshot.
#include <benchmark/benchmark.h>

#include <cstdlib>
#include <filesystem>
#include <string>

#include "core/store/survey_file.hpp"

namespace {

using namespace brookmark::core;

constexpr std::size_t kSites = 50'000;
constexpr std::size_t kRecordsPerSample = 10;  // one sample a site

// Taxa, sites, visits, samples and records of a survey on a grid in the open ocean.
EditBatch large_survey(const KeySource& key) {
  EditBatch batch{"bench", "a large survey", {}};
  for (int t = 0; t < 200; ++t)
    batch.edits.push_back(
        AddTaxon{{"own:t" + std::to_string(t), "taxon " + std::to_string(t), Rank::kFamily, "", false}});
  for (std::size_t i = 0; i < kSites; ++i) {
    Site site;
    site.key = key();
    site.code = "S" + std::to_string(i);
    site.kind = WaterKind::kStream;
    site.position = {-30 + 0.0001 * static_cast<double>(i % 250), 45 + 0.0001 * static_cast<double>(i / 250)};
    Visit visit;
    visit.key = key();
    visit.site_key = site.key;
    visit.start.date = Date{18000 + static_cast<std::int32_t>(i % 2000)};
    Sample sample;
    sample.key = key();
    sample.code = site.code + "-1";
    sample.visit_key = visit.key;
    const std::string sample_key = sample.key;
    batch.edits.push_back(AddSite{std::move(site)});
    batch.edits.push_back(AddVisit{std::move(visit)});
    batch.edits.push_back(AddSample{std::move(sample)});
    for (std::size_t r = 0; r < kRecordsPerSample; ++r) {
      const std::size_t t = (i * 7 + r * 13) % 200;
      Record record;
      record.key = key();
      record.sample_key = sample_key;
      record.verbatim_name = "taxon " + std::to_string(t);
      record.verbatim_quantity = "12";
      record.taxon_key = "own:t" + std::to_string(t);
      record.quantity = QuantityKind::kCount;
      record.count_min = record.count_max = 12;
      batch.edits.push_back(AddRecord{std::move(record)});
    }
  }
  return batch;
}

class LargeSurvey {
 public:
  LargeSurvey() : path_(std::filesystem::temp_directory_path() / "brookmark-bench.brook") {
    start_storage();
    std::filesystem::remove(path_);
    SurveyFile file = SurveyFile::create(path_, {.key = {}, .title = "bench", .description = {}});
    file.apply(large_survey(seeded_uuids(1)));
  }
  ~LargeSurvey() { std::filesystem::remove(path_); }
  const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

const LargeSurvey& large() {
  static const LargeSurvey survey;
  return survey;
}

void open_into_snapshot(benchmark::State& state) {
  const auto& path = large().path();
  for (auto _ : state) {
    const SurveyFile file = SurveyFile::open(path, Access::kRead);
    const Snapshot snapshot = file.read();
    if (snapshot.records.size() != kSites * kRecordsPerSample) state.SkipWithError("records are missing");
    benchmark::DoNotOptimize(snapshot.records.taxon.data());
  }
  state.counters["records/s"] = benchmark::Counter(static_cast<double>(kSites * kRecordsPerSample),
                                                   benchmark::Counter::kIsIterationInvariantRate);
}
BENCHMARK(open_into_snapshot)->Unit(benchmark::kMillisecond);

}  // namespace
