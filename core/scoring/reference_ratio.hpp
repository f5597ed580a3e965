// Why: twelve kinds may be poor for one water and all there can be for another. A sample is held against what
// undisturbed waters of its own type show in the same season: observed / expected.
// Use: RatioTable t = ratio_of_samples(snapshot, usable_values(scores, 0));  t.samples[i].ratio
//
// The rules (common practice, no source, unless said otherwise):
// * A site belongs to a type by the surveyor's words for it (letter case and accents do not matter), and is a
//   reference of that type where the surveyor marked it so.
// * The expected value is the median of the reference samples of that type in the same meteorological season, of any
//   year up to the date: routine samples with a value that is inside the method's scope. Of an even number it is the
//   mean of the middle two.
// * A site's own samples never count for what is expected of it: a reference site is held against the others.
// * Where all of them are of one site (kLeastReferenceSites), the ratio is given and its note says that they are: one
//   site is no type.
// * Below `least_samples` of them there is no expected value, and it is said how many are missing.
// * The classes of a ratio need limits, and those the user gives: no published limits come with the program, for they
//   hold for one metric, type and country only.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/scoring/ratio_classes.hpp"
#include "core/scoring/sample_diversity.hpp"
#include "core/scoring/score.hpp"
#include "core/survey/snapshot.hpp"

namespace brookmark::core {

// A value a sample; nothing where it has none or lies outside the method's scope.
using SampleValues = std::vector<std::optional<double>>;
SampleValues usable_values(const ScoreTable& scores, std::size_t metric);
SampleValues usable_values(const DiversityTable& table, DiversityMetric metric);

inline constexpr std::size_t kLeastReferenceSamples =
    3;  // the fewest whose median one of them cannot move at will

inline constexpr std::size_t kLeastReferenceSites = 2;  // below, the note of a ratio says so

struct RatioOptions {
  std::optional<Date> until = {};                      // later samples neither count nor get a ratio
  std::size_t least_samples = kLeastReferenceSamples;  // 1 or more
  std::optional<RatioClasses> classes = {};
  bool higher_is_better =
      true;  // of the metric. Where it is not, a ratio has no class: limits are made for the other way
};

enum class RatioGap : std::uint8_t {
  kNone,
  kAfterDate,
  kNoValue,  // the sample has no value inside the method's scope
  kNoType,   // its site has no type
  kTooFewReferences,
  kExpectedZero,  // nothing can be divided by 0
};

struct SampleRatio {
  RatioGap gap = RatioGap::kNoType;
  Season season = Season::kWinter;
  std::optional<double> observed, expected;
  std::optional<double> ratio;                             // exactly where gap is kNone
  std::size_t reference_samples = 0, reference_sites = 0;  // behind what is expected
  std::uint8_t class_rank = 0;                             // 1 = best; 0: no class
};

struct RatioTable {
  RatioOptions options;
  std::vector<SampleRatio> samples;
};

// Throws Error(kBadUse) where `values` does not have one entry a sample, or least_samples is 0.
RatioTable ratio_of_samples(const Snapshot& snapshot, const SampleValues& values,
                            const RatioOptions& options = {});

// Why a sample has no ratio, or a ratio no class, or that its reference samples are all of one site: half a sentence each,
// empty where nothing is missing.
std::string ratio_note(const Snapshot& snapshot, const RatioTable& table, SampleIndex sample);

}  // namespace brookmark::core
