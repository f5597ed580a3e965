// Why: diversity speaks of taxa and their animals; a field sheet holds records. What of the one is the other is
// decided here, in one place, and everything left out is counted and said.
// Use: TaxonCounter counter(snapshot, TaxonLevel(snapshot.taxa));  counter.read(sample);  counter.counts()
//
// The rules (common practice, no source):
// * Records of one taxon are added up, whatever their life stages.
// * As named, a coarser name counts only where nothing finer within it is in the sample; otherwise its animals are
//   left out, for nobody knows to which of the finer taxa they belong. This is the rule of richness in score.hpp.
// * At a rank, each name counts as its parent of that rank; a listed name that has none (it is coarser) is left out.
//   An unlisted name without such a parent counts as itself: unlisted names are taxa.
// * Absences and records below kUsableCertainty count nowhere. A blank sample has no counts.
// * Counts are of the animals sorted, also where that was only a share of the catch: scaled-up numbers are no counts.
// * Where more than kMostLeftOut of the animals counted are left out under coarser names, there are no counts: what is
//   left is another community. Counted at a coarser rank they come together again.
// * A taxon that any usable record gives as a class or as "present" has no count, and then the sample has none.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "core/survey/snapshot.hpp"

namespace brookmark::core {

// Of the animals counted, as a share. Common practice, no source.
inline constexpr double kMostLeftOut = 0.1;

// For one snapshot: what each of its taxa counts as.
struct TaxonLevel {
  explicit TaxonLevel(const TaxonColumns& taxa, std::optional<Rank> rank = std::nullopt);

  std::optional<Rank> rank;            // empty: as named
  std::vector<TaxonIndex> counted_as;  // per taxon; none(): coarser than the rank
};

// Why there is no richness, or no number that rests on counts.
enum class CountsGap : std::uint8_t {
  kNone,
  kBlankSample,      // never counted
  kNothingRecorded,  // no record: it is not known whether anything was found
  kNothingFound,     // only absences
  kTooUncertain,     // only records too uncertain to use, with or without absences
  kTooCoarse,        // only names coarser than the rank
  kNotCounts,        // there is a richness; but some taxa have no count
  kTooManyLeftOut,   // there is a richness; but too many of the animals are under coarser names
  kTooManyAnimals,   // there is a richness; but the animals are more than a number holds (9.2e18)
};

// Reads one sample after another; holds all memory it needs, so that no sample allocates.
class TaxonCounter {
 public:
  // Both must outlive the counter.
  TaxonCounter(const Snapshot& snapshot, const TaxonLevel& level);

  void read(std::size_t sample);

  // Of the sample read last. The taxa that count, and their animals (0 where a taxon has no count), side by side,
  // in the order of the records.
  CountsGap gap() const { return gap_; }
  std::span<const TaxonIndex> taxa() const { return std::span(listed_).first(found_); }
  std::span<const std::int64_t> counts() const { return std::span(counts_).first(found_); }
  std::int64_t animals() const { return animals_; }
  // Names left out because something finer is in the sample (at a rank: because they are coarser), and the animals
  // counted under them; names of which only records too uncertain to use were found, or partly so.
  std::size_t coarser_names() const { return coarser_; }
  std::int64_t coarser_animals() const { return coarser_animals_; }
  std::size_t uncertain_records() const { return uncertain_; }

 private:
  struct TaxonState {
    std::uint32_t seen = 0, covered = 0, coarse = 0;  // stamps
    bool counted = true;
    std::int64_t animals = 0;
  };

  void leave_out_covered();

  const Snapshot& snapshot_;
  const TaxonLevel& level_;
  std::uint32_t stamp_ = 0;  // of the sample being read: older marks are void
  std::vector<TaxonState> states_;
  std::vector<TaxonIndex> listed_;
  std::vector<std::int64_t> counts_;
  CountsGap gap_ = CountsGap::kNothingRecorded;
  std::size_t found_ = 0, coarser_ = 0, uncertain_ = 0;
  std::int64_t animals_ = 0, coarser_animals_ = 0;
};

}  // namespace brookmark::core
