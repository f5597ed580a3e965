// Why: one pass turns every sample of a Snapshot into values and classes, and any one of them can be opened
// into its parts. No front end computes a score of its own.
// Use: ScoreTable t = score_samples(snapshot, method);  t.metrics[0][sample.value()].class_rank
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/scoring/method.hpp"
#include "core/survey/snapshot.hpp"

namespace brookmark::core {

// A record of which the surveyor was less sure than this does not count, in nothing: common practice, no
// source. A record without a certainty counts, and so does one that only carries a doubt such as "cf.".
inline constexpr float kUsableCertainty = 0.5F;

// Why a value is missing or a sample is out of the method's scope. A sample may have several.
enum class ScopeReason : std::uint16_t {
  kWaterKind = 1,  // the method is for running (or still) water and this is not, or is not known to be
  // Both speak of the animals that the method's table scores (of all, where it has no table), as sorted.
  kBelowMinimumCount = 2,  // fewer of them than the method asks for
  kCountUnknown = 4,       // the method asks for a minimum count and not all of them were counted
  kSeason = 8,             // a season the method excludes
  kBlankSample = 16,       // a blank: never scored
  kNothingFound = 32,      // only absences: no value (looked for, found nothing). A richness over a set of
                           // which every part was looked for and absent is 0, and has no such reason.
  kNoScoringTaxa = 64,     // records, but none that the method scores: a mean has no value
  kNeedsCounts = 128,      // the formula needs counts and some scoring records have none: no value
  kNeedsAbundance =
      256,  // the formula needs abundance codes and some scoring records give none that fits: no value
  kNothingRecorded = 512,  // no record: it is not known whether anything was found: no value
  kTooUncertain = 1024,    // what might score is below kUsableCertainty: no value
  // A share that has a value: some names are too coarse to say whether they belong, and are left out on both sides.
  kSomeLeftOut = 2048,
};
// "outside the method's scope: ...", "no value: ..." or "note: ..." for each reason, joined with "; ", those of
// scope first. Empty for 0. With the kind of water of the sample's site it can say what the water is.
std::string reasons_text(std::uint16_t reasons, const Method& method);
std::string reasons_text(std::uint16_t reasons, const Method& method, WaterKind kind);

struct SampleScore {
  double value = 0;  // only when has_value
  bool has_value = false;
  bool in_scope = true;
  std::uint8_t class_rank = 0;      // 1 = best; 0 = no class
  std::uint16_t reasons = 0;        // bits of ScopeReason
  std::uint16_t scoring_taxa = 0;   // scoring units (or, for richness, taxa) that count
  std::uint16_t unscored_taxa = 0;  // distinct taxa named that do not, those too uncertain to use included
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
  Confirmed confirmed = Confirmed::kMemory;  // the weakest of the value and of the way the name came to it
  std::string source;                        // citation and table or page of the value
};
std::vector<RecordPart> explain_sample(const Snapshot& snapshot, const Method& method, const Metric& metric,
                                       SampleIndex sample);

}  // namespace brookmark::core
