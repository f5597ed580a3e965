// Why: the diversity of every sample of a survey in one pass, each number either there or missing for a reason that
// can be said.
// Use: DiversityTable t = diversity_of_samples(snapshot);  value_of(t, sample, DiversityMetric::kShannon).value
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/reference/reference.hpp"
#include "core/scoring/diversity.hpp"
#include "core/scoring/richness_estimate.hpp"
#include "core/scoring/taxon_counts.hpp"
#include "core/survey/period.hpp"
#include "core/survey/snapshot.hpp"

namespace brookmark::core {

struct DiversityOptions {
  std::optional<Rank> rank = {};  // count at this rank; empty: as named, see taxon_counts.hpp
  std::optional<std::int64_t> at_count =
      {};                             // animals to rarefy to; empty: those of the smallest usable sample
  std::optional<Period> period = {};  // other samples have no values and set no common number
  Chao1Form chao1 = Chao1Form::kBiasCorrected;
  unsigned threads = 0;  // 0: as many as the machine has cores, where there are samples enough; same result
};

// A sample smaller than this does not set the common number of the others, if any is as large: common practice, no
// source. A handful of animals would rarefy all samples to nothing.
inline constexpr std::int64_t kLeastRarefied = 10;

struct SampleDiversity {
  CountsGap gap = CountsGap::kNothingRecorded;
  bool outside = false;                     // of the period: not looked at
  std::int64_t richness = 0;                // distinct taxa; also without counts
  Diversity counts;                         // only without a gap
  double rarefied = 0, rarefied_error = 0;  // only where counts.animals reaches the common number
  std::uint32_t coarser_names = 0, uncertain_records = 0;  // left out
  std::int64_t coarser_animals = 0;
};

struct DiversityTable {
  DiversityOptions options;
  std::int64_t rarefied_n = 0;  // the common number; 0: no sample has two animals
  SampleIndex smallest;         // that set it; none() when it was given
  std::vector<SampleDiversity> samples;
};

// Throws Error(kBadUse) for an at_count below 1.
DiversityTable diversity_of_samples(const Snapshot& snapshot, const DiversityOptions& options = {});

enum class DiversityMetric : std::uint8_t {
  kRichness,
  kIndividuals,
  kShannon,
  kSimpson,
  kInverseSimpson,
  kPielou,
  kRarefied,
  kChao1,
  kChao1Error,
  kCoverage,
  kRarefiedError,
  kChao1Low,
  kChao1High,
  kMargalef,
  kBergerParker,
  kHill1,
  kHill2,
};
inline constexpr std::size_t kDiversityMetrics = 17;
const char* diversity_metric_name(
    DiversityMetric metric);  // "simpson", "chao1_se" ..., as the column is called
std::optional<DiversityMetric> parse_diversity_metric(std::string_view name);

// As diversity_metrics.csv says of its formula.
Confirmed diversity_metric_confirmed(DiversityMetric metric);

// Absent exactly where there is a reason, and never NaN.
std::optional<double> value_of(const DiversityTable& table, SampleIndex sample, DiversityMetric metric);
// Why the sample has no such number: half a sentence. Empty where it has one.
std::string missing_reason(const DiversityTable& table, SampleIndex sample, DiversityMetric metric);
// All that should be read beside the sample's row: what is missing and why, what was left out, what share was sorted.
std::string diversity_note(const Snapshot& snapshot, const DiversityTable& table, SampleIndex sample);

}  // namespace brookmark::core
