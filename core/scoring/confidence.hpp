// Why: a class without a word on how sure it is promises more than a tray of animals can carry. For each sample and
// metric: an interval, the probability of each class, and what that rests on. What is covered and what not, with
// formulas and measured coverage, is told in CONFIDENCE.md beside this file.
// Use: ConfidenceTable c = confidence_of(snapshot, method, {.draws = 2000, .seed = 7});
//      if (c.metrics[0][s.value()].has_interval) ... .low, .high, .class_probability[rank - 1]
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "core/scoring/method.hpp"
#include "core/survey/snapshot.hpp"

namespace brookmark::core {

enum class ConfidenceBasis : std::uint8_t {
  kNone,        // nothing to draw: see the notes
  kCounts,      // the counted animals drawn again: counting error (and classes and doubtful names, if any)
  kReplicates,  // spread between the replicates of one visit
  kAbundanceClasses,  // no counts: numbers drawn within the limits of the abundance classes
  kNames,             // neither, but doubtful names: those alone are drawn
};
// "", "counts", "replicates", "abundance classes", "names"
const char* confidence_basis_name(ConfidenceBasis basis);

struct ConfidenceOptions {
  std::uint32_t draws = 1000;  // 1 to kMostDraws; a probability p is drawn to about sqrt(p (1 - p) / draws)
  std::uint64_t seed = 1;      // the same seed, survey and method: the same answer
  double level = 0.95;         // of the interval; more than 0, less than 1
  unsigned threads = 0;        // 0: as many as the machine has cores; the result is the same
};
inline constexpr std::uint32_t kMostDraws = 1'000'000;

// What a reader must know beside the numbers.
enum class ConfidenceNote : std::uint32_t {
  kBlankSample = 1,   // a blank is never scored
  kNoValue = 2,       // the method gives no value here, and drawing numbers does not help
  kPresenceOnly = 4,  // nothing is counted or classed: no class probability
  kSomePresence = 8,  // scoring records without a number stay in every draw: no class probability
  kOutOfScope = 16,   // the sample is outside the method's scope: no class probability
  kValueNeedsCounts =
      32,                // the sample has no value for want of counts; numbers within its classes give these
  kClassesDrawn = 64,    // some records are abundance classes: numbers were drawn within their limits
  kDoubtfulNames = 128,  // names less than certain fell back to their parents in some draws
  kDrawsWithoutValue = 256,  // in some draws the method gives no value: see draws_without_value
  kNoSpread = 512,           // every draw gives the same value: neither interval nor class probability
  kFewReplicates =
      1024,  // there are replicates, but fewer with a value, in scope alike, than kReplicatesNeeded
  kReplicatesAgree = 2048,  // replicates without any spread between them measure none
  kFewAnimals = 4096,       // fewer counted animals than kAnimalsNeeded: no class probability
  kAbsencesOnly = 8192,     // nothing was there to draw again
  kTaxaMissed =
      16384,  // each taxon counts once, and those that were there and missed are not seen: too narrow
  kNumbersIgnored = 32768,  // whatever numbers are drawn within the classes, the value stays: nothing to tell
  kHardlySpread = 65536,    // all draws but those beyond the interval give the same value: as kNoSpread
  kOnlyLoses = 131072,      // a sum or a richness, and no draw above the value: a one-sided interval
  kClassNotKept = 262144,  // of a sum or a richness most draws lie in another class: none is called likeliest
  kCapped = 524288,        // a share of draws above kMostOfTaxa was brought down to it
  kFewKinds = 1048576,     // fewer scoring kinds than kKindsNeeded: no class probability
  kDoubtInWords = 2097152,  // names with a doubt in words alone: see names_in_doubt
  kValueBeyond = 4194304,   // the sample's own value lies outside the interval of the replicates' mean
};

// Replicates that a spread is taken from: with two, Student's t at 95 % is 12.7 and says nothing. Common practice, no
// source.
inline constexpr std::size_t kReplicatesNeeded = 3;

// Counted animals that a class probability from counts asks for: with fewer, the interval was measured to be too
// narrow (CONFIDENCE.md, coverage). Common practice, no source.
inline constexpr std::int64_t kAnimalsNeeded = 30;

// Scoring kinds that a class probability from draws asks for: drawing one or two kinds again can hardly show anything
// but what was found. Common practice, no source.
inline constexpr std::uint16_t kKindsNeeded = 3;

// The most that a class probability is given as where each taxon counts once: what was missed is in no draw, and
// their intervals were measured to hold the truth far less often than promised (CONFIDENCE.md, coverage). Common practice,
// no source.
inline constexpr double kMostOfTaxa = 0.95;

struct SampleConfidence {
  ConfidenceBasis basis = ConfidenceBasis::kNone;
  bool has_interval = false;
  // Only when has_interval: where the index at this effort lies, in the metric's unit, low < high; whole steps of the
  // table for a sum or a richness. Of draws it holds the sample's value, which is its upper end with kOnlyLoses.
  double low = 0, high = 0;
  double mean = 0;  // only when has_interval: of the draws, or of the replicates
  // By rank - 1; the shares of all draws, so that with those without a value they add up to 1, apart from what kCapped
  // took. Empty: none is given.
  std::vector<double> class_probability;
  std::uint8_t likeliest_rank = 0;   // 0: none; of equal ones the worse
  std::uint32_t names_in_doubt = 0;  // records with a doubt in words alone that were taken as sure
  std::uint16_t replicates = 0;      // behind kReplicates
  std::uint32_t draws = 0, draws_without_value = 0;
  std::uint32_t notes = 0;  // bits of ConfidenceNote

  // 0 where none is given, or for rank 0.
  double probability_of(int rank) const {
    const auto at = static_cast<std::size_t>(rank - 1);
    return rank >= 1 && at < class_probability.size() ? class_probability[at] : 0;
  }
};
// What the numbers rest on and what is missing, as sentences parted by "; "; empty where nothing is to be said.
std::string confidence_text(const SampleConfidence& confidence);

struct ConfidenceTable {
  const Method* method = nullptr;  // outlives the table
  ConfidenceOptions options;
  std::vector<std::vector<SampleConfidence>> metrics;  // [metric][sample]
};

// Throws Error(kBadUse) for options outside their range.
ConfidenceTable confidence_of(const Snapshot& snapshot, const Method& method,
                              const ConfidenceOptions& options = {});
// The same for these samples alone, in their order: [metric][place in samples].
ConfidenceTable confidence_of(const Snapshot& snapshot, const Method& method,
                              std::span<const SampleIndex> samples, const ConfidenceOptions& options = {});

// One sample's metric value in every draw, for those who compare two samples: options.draws of them as they fell (of a
// sum or a richness none above the sample's value, since drawing again only loses taxa), NaN for a draw without a value; with replicates drawn from their Student distribution. Draws of two samples are
// independent. Empty where nothing was drawn; all (or nearly all) alike where confidence_of has no interval for
// want of spread, since the other sample may spread. Throws as above.
std::vector<double> draw_values(const Snapshot& snapshot, const Method& method, std::size_t metric,
                                SampleIndex sample, const ConfidenceOptions& options = {});
// For comparing samples: the same for many of them, in their order, but with the mean of draws from counts put to the
// sample's value, so that what two samples lose by being drawn again does not pass for a difference between them. Not for
// classes: such a draw can lie beyond a limit that no draw reached. Each stands beside what confidence_of says of it; about 8 kB a sample.
struct SampleDraws {
  SampleConfidence confidence;
  std::vector<double> values;
};
std::vector<SampleDraws> draws_of(const Snapshot& snapshot, const Method& method, std::size_t metric,
                                  std::span<const SampleIndex> samples,
                                  const ConfidenceOptions& options = {});

}  // namespace brookmark::core
