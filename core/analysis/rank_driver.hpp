// Why: a rank without its reason sends a surveyor to the wrong end of the catchment. In words: which site or stretch a
// catchment's place in the order rests on, and where the quality falls there.
// Use: rank_driver(survey, CatchmentIndex(0), CatchmentRule::kWorst)
#pragma once

#include <span>
#include <string>

#include "core/analysis/drops.hpp"
#include "core/analysis/reach_assessment.hpp"

namespace brookmark::core {

struct RankedSurvey {
  const Snapshot& snapshot;
  const Assessment& assessment;  // with channel shares, for kLength
  const CatchmentNesting& nesting;
  const ReachAssessment& reaches;
  const CatchmentChannels& inside;
  std::span<const Drop> drops;  // as find_drops gives them, for the same day
};

// "Q04 is Seriously polluted (2025-10-04): worse than Q03 by 72, OUT-2 storm sewage, 117 m above Q04". A sentence
// without its full stop; says so where nothing is assessed, and where a fall is not a clear one (clear_fall.hpp).
std::string rank_driver(const RankedSurvey& survey, CatchmentIndex catchment, CatchmentRule rule);

}  // namespace brookmark::core
