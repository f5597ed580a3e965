// Why: diversity and similarity say in the same words why a sample has no counts.
#pragma once

#include "core/scoring/taxon_counts.hpp"

namespace brookmark::core {

// Half a sentence; empty for kNone.
const char* gap_words(CountsGap gap);

// Whether the taxa found are known all the same.
inline bool gap_leaves_richness(CountsGap gap) {
  return gap == CountsGap::kNone || gap == CountsGap::kNotCounts || gap == CountsGap::kTooManyLeftOut ||
         gap == CountsGap::kTooManyAnimals;
}

}  // namespace brookmark::core
