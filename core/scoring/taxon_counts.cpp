#include "core/scoring/taxon_counts.hpp"

#include "core/scoring/score_internal.hpp"

namespace brookmark::core {

TaxonLevel::TaxonLevel(const TaxonColumns& taxa, std::optional<Rank> at_rank) : rank(at_rank) {
  counted_as.reserve(taxa.size());
  for (std::size_t t = 0; t < taxa.size(); ++t) {
    TaxonIndex as(t);
    if (rank) {
      while (as.has_value() && !(taxa.listed[as.value()] && taxa.rank[as.value()] == *rank))
        as = taxa.parent[as.value()];
      if (!as.has_value() && !taxa.listed[t]) as = TaxonIndex(t);
    }
    counted_as.push_back(as);
  }
}

TaxonCounter::TaxonCounter(const Snapshot& snapshot, const TaxonLevel& level)
    : snapshot_(snapshot),
      level_(level),
      states_(snapshot.taxa.size()),
      listed_(snapshot.taxa.size()),
      counts_(snapshot.taxa.size()) {}

void TaxonCounter::read(std::size_t sample) {
  ++stamp_;
  gap_ = CountsGap::kNone;
  found_ = coarser_ = uncertain_ = 0;
  animals_ = coarser_animals_ = 0;
  if (snapshot_.samples.kind[sample] == SampleKind::kBlank) {
    gap_ = CountsGap::kBlankSample;
    return;
  }
  const RecordColumns& records = snapshot_.records;
  const std::size_t begin = snapshot_.samples.record_begin[sample];
  const std::size_t end = snapshot_.samples.record_begin[sample + 1];
  bool absent = false, unsure = false, found = false;
  for (std::size_t r = begin; r < end; ++r) {
    if (!is_usable(records, r)) {
      unsure = true;
      if (!is_absence(records, r)) ++uncertain_;
      continue;
    }
    if (is_absence(records, r)) {
      absent = true;
      continue;
    }
    found = true;
    const bool counted = records.quantity[r] == QuantityKind::kCount;
    const TaxonIndex as = level_.counted_as[records.taxon[r].value()];
    TaxonState& state = states_[as.has_value() ? as.value() : records.taxon[r].value()];
    if (!as.has_value()) {
      if (state.coarse != stamp_) ++coarser_;
      state.coarse = stamp_;
      if (counted) coarser_animals_ = add_capped(coarser_animals_, records.count_min[r]);
      continue;
    }
    if (state.seen != stamp_) {
      state.seen = stamp_;
      state.counted = true;
      state.animals = 0;
      listed_[found_++] = as;
    }
    if (counted)
      state.animals = add_capped(state.animals, records.count_min[r]);
    else
      state.counted = false;
  }
  if (begin == end)
    gap_ = CountsGap::kNothingRecorded;
  else if (!found)
    gap_ = unsure || !absent ? CountsGap::kTooUncertain : CountsGap::kNothingFound;
  else if (found_ == 0)
    gap_ = CountsGap::kTooCoarse;
  if (found_ == 0) return;

  if (!level_.rank) leave_out_covered();
  for (std::size_t i = 0; i < found_; ++i) {
    const TaxonState& state = states_[listed_[i].value()];
    counts_[i] = state.counted ? state.animals : 0;
    if (!state.counted) gap_ = CountsGap::kNotCounts;
    animals_ = add_capped(animals_, counts_[i]);
  }
  if (gap_ != CountsGap::kNone) return;
  const auto left_out = static_cast<double>(coarser_animals_);
  if (animals_ == RecordColumns::kOpen)
    gap_ = CountsGap::kTooManyAnimals;
  else if (left_out > kMostLeftOut * (left_out + static_cast<double>(animals_)))
    gap_ = CountsGap::kTooManyLeftOut;
}

// Every name above a finer one in the sample.
void TaxonCounter::leave_out_covered() {
  const std::vector<TaxonIndex>& parent = snapshot_.taxa.parent;
  for (std::size_t i = 0; i < found_; ++i)
    for (TaxonIndex up = parent[listed_[i].value()]; up.has_value() && states_[up.value()].covered != stamp_;
         up = parent[up.value()])
      states_[up.value()].covered = stamp_;
  std::size_t kept = 0;
  for (std::size_t i = 0; i < found_; ++i) {
    const TaxonState& state = states_[listed_[i].value()];
    if (state.covered != stamp_) {
      listed_[kept++] = listed_[i];
      continue;
    }
    ++coarser_;
    coarser_animals_ = add_capped(coarser_animals_, state.animals);
  }
  found_ = kept;
}

}  // namespace brookmark::core
