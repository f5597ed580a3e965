// Why: a fall that drawing the animals again may undo must not be told as worse, whoever tells it. The one rule by which a
// pair of samples is clearly worse below: that of add_confidence (drops.hpp).
// Use: if (is_clear_fall(snapshot, *method, metric, *drop.newest())) ...
#pragma once

#include "core/analysis/drops.hpp"

namespace brookmark::core {

// Where a class is lost, or the one below only is a collapse, nothing is drawn.
bool is_clear_fall(const Snapshot& snapshot, const Method& method, std::size_t metric, const SamplePair& pair,
                   const ConfidenceOptions& options = {});

// Of a worse value that is no clear fall; what every sentence on it says.
inline constexpr const char* kNotClear = "not clearly different";

}  // namespace brookmark::core
