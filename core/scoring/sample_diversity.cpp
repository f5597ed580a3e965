#include "core/scoring/sample_diversity.hpp"

#include <algorithm>
#include <functional>
#include <thread>

#include "core/base/error.hpp"
#include "core/scoring/rarefaction.hpp"

namespace brookmark::core {

namespace {

// All memory that one thread needs.
struct Worker {
  Worker(const Snapshot& snapshot, const TaxonLevel& level) : counter(snapshot, level) {
    counts.resize(snapshot.taxa.size());
    groups.reserve(snapshot.taxa.size());
  }

  // The sample's groups of counts; valid until the next sample.
  void group() {
    const std::span<std::int64_t> found = std::span(counts).first(counter.counts().size());
    std::copy(counter.counts().begin(), counter.counts().end(), found.begin());
    group_counts(found, groups);
  }

  TaxonCounter counter;
  std::vector<std::int64_t> counts;
  std::vector<CountGroup> groups;
  Rarefier rarefier;
};

void rarefy(Worker& worker, std::int64_t n, SampleDiversity& sample) {
  const auto rarefied = worker.rarefier.rarefy(worker.groups, n);
  if (!rarefied) return;
  sample.rarefied = rarefied->taxa;
  sample.rarefied_error = rarefied->standard_error;
}

void measure(Worker& worker, std::size_t index, std::optional<std::int64_t> at_count,
             SampleDiversity& sample) {
  TaxonCounter& counter = worker.counter;
  counter.read(index);
  sample.gap = counter.gap();
  sample.richness = static_cast<std::int64_t>(counter.taxa().size());
  sample.coarser_names = static_cast<std::uint32_t>(counter.coarser_names());
  sample.coarser_animals = counter.coarser_animals();
  sample.uncertain_records = static_cast<std::uint32_t>(counter.uncertain_records());
  if (sample.gap != CountsGap::kNone) return;
  worker.group();
  sample.counts = diversity_of(worker.groups);
  if (at_count) rarefy(worker, *at_count, sample);
}

// The sample with the fewest animals that is large enough to set the common number.
SampleIndex smallest_usable(const std::vector<SampleDiversity>& samples) {
  for (const std::int64_t least : {kLeastRarefied, std::int64_t{2}}) {
    SampleIndex smallest;
    for (std::size_t i = 0; i < samples.size(); ++i) {
      const std::int64_t animals = samples[i].counts.animals;
      if (samples[i].gap == CountsGap::kNone && animals >= least &&
          (!smallest.has_value() || animals < samples[smallest.value()].counts.animals))
        smallest = SampleIndex(i);
    }
    if (smallest.has_value()) return smallest;
  }
  return SampleIndex::none();
}

}  // namespace

DiversityTable diversity_of_samples(const Snapshot& snapshot, const DiversityOptions& options) {
  if (options.at_count && *options.at_count < 1)
    throw Error(ErrorCode::kBadUse,
                "samples can be rarefied to 1 animal or more, not to " + std::to_string(*options.at_count));
  const std::size_t size = snapshot.samples.size();
  DiversityTable table;
  table.options = options;
  table.samples.resize(size);
  const TaxonLevel level(snapshot.taxa, options.rank);

  // A thread costs more than it brings below some ten thousand samples.
  constexpr std::size_t kSamplesPerThread = 10'000;
  const std::size_t wanted = options.threads != 0 ? options.threads : std::thread::hardware_concurrency();
  const std::size_t threads =
      std::clamp<std::size_t>(size / kSamplesPerThread, 1, std::max<std::size_t>(wanted, 1));
  // Made before the first thread starts: nothing in a thread allocates, so nothing in it can fail.
  std::vector<Worker> workers(threads, Worker(snapshot, level));
  for (Worker& worker : workers) worker.groups.reserve(snapshot.taxa.size());  // a copy has no room to spare
  const auto for_each_sample = [&](const auto& work) {
    const auto run = [&](Worker& worker, std::size_t begin, std::size_t end) {
      for (std::size_t i = begin; i < end; ++i) work(worker, i);
    };
    std::vector<std::jthread> helpers;
    for (std::size_t i = 1; i < threads; ++i)
      helpers.emplace_back(run, std::ref(workers[i]), size * i / threads, size * (i + 1) / threads);
    run(workers[0], 0, size / threads);
  };  // joined

  for_each_sample([&](Worker& worker, std::size_t i) {
    SampleDiversity& sample = table.samples[i];
    sample.outside = options.period && !in_period(*options.period, snapshot, SampleIndex(i));
    if (!sample.outside) measure(worker, i, options.at_count, sample);
  });
  if (options.at_count) {
    table.rarefied_n = *options.at_count;
    return table;
  }
  table.smallest = smallest_usable(table.samples);
  if (!table.smallest.has_value()) return table;
  table.rarefied_n = table.samples[table.smallest.value()].counts.animals;
  for_each_sample([&](Worker& worker, std::size_t i) {
    SampleDiversity& sample = table.samples[i];
    if (sample.gap != CountsGap::kNone || sample.counts.animals < table.rarefied_n) return;
    worker.counter.read(i);
    worker.group();
    rarefy(worker, table.rarefied_n, sample);
  });
  return table;
}

}  // namespace brookmark::core
