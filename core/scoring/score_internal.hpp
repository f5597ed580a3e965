// Why: scoring all samples and opening one into its parts must rest on the same sums.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "core/scoring/compiled_method_internal.hpp"
#include "core/scoring/score.hpp"

namespace brookmark::core {

inline constexpr std::uint16_t bit(ScopeReason reason) {
  return static_cast<std::uint16_t>(reason);
}

// Reasons that put a sample outside a method's scope; the others say why there is no value.
inline constexpr std::uint16_t kScopeReasons = static_cast<std::uint16_t>(
    bit(ScopeReason::kWaterKind) | bit(ScopeReason::kBelowMinimumCount) | bit(ScopeReason::kCountUnknown) |
    bit(ScopeReason::kSeason) | bit(ScopeReason::kBlankSample));

// Nothing that could be scored at all.
inline constexpr std::uint16_t kNothingToScore =
    static_cast<std::uint16_t>(bit(ScopeReason::kBlankSample) | bit(ScopeReason::kNothingFound) |
                               bit(ScopeReason::kNothingRecorded) | bit(ScopeReason::kTooUncertain));

// One record as the scorer reads it: a stored one, or one as it might have been.
struct Sighting {
  std::uint32_t taxon = 0;
  QuantityKind quantity = QuantityKind::kPresent;
  LifeStage stage = LifeStage::kUnknown;
  bool usable = true;
  bool drawn = false;  // of an abundance class: min = max is a number drawn within it, of the whole catch
  std::int64_t min = 1, max = RecordColumns::kOpen;
};

inline Sighting sighting_of(const RecordColumns& records, std::size_t r) {
  return {static_cast<std::uint32_t>(records.taxon[r].value()),
          records.quantity[r],
          records.stage[r],
          records.certainty[r] >= kUsableCertainty,
          false,
          records.count_min[r],
          records.count_max[r]};
}

// Nothing was there: looked for and not found, or counted as none.
inline bool is_absence(const Sighting& found) {
  return found.quantity == QuantityKind::kAbsent ||
         (found.quantity == QuantityKind::kCount && found.min <= 0);
}
inline bool is_absence(const RecordColumns& records, std::size_t r) {
  return is_absence(sighting_of(records, r));
}

// Looked for in the right water at the right time, and nothing that the method scores was there. A replicate
// alone does not decide that.
inline bool is_collapse(const SampleScore& score, SampleKind kind) {
  constexpr auto kNothingThere = bit(ScopeReason::kNothingFound) | bit(ScopeReason::kNoScoringTaxa);
  constexpr auto kElsewhere = bit(ScopeReason::kWaterKind) | bit(ScopeReason::kSeason);
  return kind == SampleKind::kRoutine && !score.has_value && (score.reasons & kNothingThere) != 0 &&
         (score.reasons & kElsewhere) == 0;
}

inline bool stage_fits(LifeStage wanted, LifeStage found) {
  return wanted == LifeStage::kUnknown || found == LifeStage::kUnknown || wanted == found;
}

inline bool is_usable(const RecordColumns& records, std::size_t r) {
  return records.certainty[r] >= kUsableCertainty;
}

// "spring, summer and autumn"
std::string listed(const std::vector<std::string>& names, const char* last);

inline std::int64_t add_capped(std::int64_t a, std::int64_t b) {
  return a > RecordColumns::kOpen - b ? RecordColumns::kOpen : a + b;
}

// Sums up one sample after another; holds all memory it needs, so that no sample allocates.
class SampleScorer {
 public:
  SampleScorer(const Snapshot& snapshot, const CompiledMethod& compiled);

  // Reads the sample's records; the scores below then speak of it.
  void read(std::size_t sample);
  // The same for the sample as it might have been, with these sightings in place of its records.
  void read(std::size_t sample, std::span<const Sighting> sightings);
  SampleScore score(std::size_t metric);

  struct UnitTotal {
    std::uint32_t stamp = 0;
    std::int64_t counted = 0;        // of the records with a count, as sorted
    std::int64_t low = 0, high = 0;  // smallest and greatest number that its other records may stand for
  };
  const UnitTotal& total(std::size_t unit) const { return units_[unit]; }
  // The abundance code of a unit in the whole catch: its count divided by the share that was sorted, to whole
  // animals, and the letters as they are, for they say how many there were.
  std::size_t code_of_unit(std::size_t unit) const;
  // A count of what was sorted, for the whole catch.
  std::int64_t whole_catch(std::int64_t counted) const;
  double share() const { return share_; }  // 1 where none was noted

 private:
  void begin(std::size_t sample);
  void take(const Sighting& found);
  void finish(std::size_t sample, bool any_record);
  std::uint16_t scope_of(std::size_t sample) const;
  void score_units(const Metric& metric, SampleScore& score) const;
  void score_richness(const SetPlan& plan, SampleScore& score);
  bool absences_cover(const SetPlan& plan);
  // Formulas over a set, apart from richness.
  void score_share(const Metric& metric, const SetPlan& plan, SampleScore& score);
  struct Share;
  void share_of_taxa(const SetPlan& plan, Share& share);
  void share_of_animals(const SetPlan& plan, Share& share) const;
  void share_of_commonest(const SetPlan& plan, Share& share);
  void mark_names_above(std::size_t taxon);
  std::uint16_t count_reason(const Metric& metric, const SampleScore& score) const;

  struct TaxonState {
    std::uint32_t seen = 0, taken = 0, doubted = 0, absent = 0;  // stamps
    std::uint8_t stages = 0, doubted_stages = 0;                 // in which it was seen: bits 1 << LifeStage
    std::uint8_t uncounted = 0;                                  // stages with a record that has no count
  };

  const Snapshot& snapshot_;
  const CompiledMethod& compiled_;
  bool sum_counts_;              // a weighted mean is wanted
  bool sum_animals_;             // animals per taxon are wanted
  std::uint32_t stamp_ = 0;      // of the sample being read: older marks are void
  std::uint32_t set_stamp_ = 0;  // of the set formula at work
  std::vector<UnitTotal> units_;
  std::vector<TaxonState> taxa_;
  std::vector<std::uint32_t> counted_, covered_;  // marks of a set formula, per taxon
  std::vector<std::uint32_t> absent_members_;     // marks of richness, per member of the set
  std::vector<double> animals_;                   // [taxon * kLifeStageCount + stage], of taxa seen
  std::vector<double> group_animals_;             // of a set formula, per taxon counted as
  std::vector<std::uint16_t> touched_units_;
  std::vector<std::uint32_t> touched_taxa_, doubted_taxa_, absent_taxa_;

  std::uint16_t reasons_ = 0;
  std::size_t present_ = 0, distinct_ = 0, taken_taxa_ = 0, unit_count_ = 0;
  std::size_t doubted_ = 0, absent_ = 0;  // distinct taxa of records too uncertain to use, and of absences
  std::int64_t known_count_ = 0;          // animals that count towards the minimum
  bool all_counted_ = true;               // those records, every one
  bool scoring_counted_ = true, doubt_scores_ = false;
  double share_ = 1;
  double weighted_sum_ = 0, weight_sum_ = 0;
};

}  // namespace brookmark::core
