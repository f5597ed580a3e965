// Why: one pass turns every sample of a Snapshot into values and classes, and any one of them can be opened
// into its parts. No front end computes a score of its own. Use: ScoreTable t = score_samples(snapshot,
// method);  t.metrics[0][sample.value()].class_rank
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/scoring/method.hpp"
#include "core/survey/snapshot.hpp"

namespace brookmark::core {

// Why a value is missing or a sample is out of the method's scope. A sample may have several.
enum class ScopeReason : std::uint16_t {
  kWaterKind = 1,  // the method is for running (or still) water and this is not, or is not known to be
  kBelowMinimumCount = 2,  // fewer animals than the method asks for
  kCountUnknown = 4,       // the method asks for a minimum count and the sample has no counts
  kSeason = 8,             // a season the method excludes
  kBlankSample = 16,       // a blank: never scored
  kNothingFound = 32,      // no record at all, or only absences: no value (looked for, found nothing)
  kNoScoringTaxa = 64,     // records, but none that the method scores: a mean has no value
  kNeedsCounts = 128,      // the formula needs counts and some scoring records have none: no value
  kNeedsAbundance =
      256,  // the formula needs abundance codes and some scoring records give none that fits: no value
};
// "outside the method's scope: ..." or "no value: ..." for each reason, joined with "; ". Empty for 0.
std::string reasons_text(std::uint16_t reasons, const Method& method);

struct SampleScore {
  double value = 0;  // only when has_value
  bool has_value = false;
  bool in_scope = true;
  std::uint8_t class_rank = 0;      // 1 = best; 0 = no class
  std::uint16_t reasons = 0;        // bits of ScopeReason
  std::uint16_t scoring_taxa = 0;   // scoring units (or, for richness, taxa) that count
  std::uint16_t unscored_taxa = 0;  // distinct taxa present that do not
};

struct ScoreTable {
  const Method* method = nullptr;                 // outlives the table
  std::vector<std::vector<SampleScore>> metrics;  // [metric][sample]
};

struct ScoreOptions {
  unsigned threads =
      0;  // 0: as many as the machine has cores, where there are samples enough; the result is the same
};

ScoreTable score_samples(const Snapshot& snapshot, const Method& method, const ScoreOptions& options = {});

// One record's part in one metric of one sample.
struct RecordPart {
  RecordIndex record;
  std::string unit;  // name of the scoring unit; empty when none
  std::string group;
  std::optional<double> value;   // the table's score, tolerance, or group weight
  std::optional<double> weight;  // what it is multiplied by: a count, or 1
  bool contributes = false;
  std::string why;  // for every record: "scores as Baetidae", "already counted through ...", "not in the
                    // method's table" ...
  Confirmed confirmed = Confirmed::kMemory;
  std::string source;  // citation and table or page of the value
};
std::vector<RecordPart> explain_sample(const Snapshot& snapshot, const Method& method, const Metric& metric,
                                       SampleIndex sample);

}  // namespace brookmark::core
