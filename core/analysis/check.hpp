// Why: findings on the data of a survey, so that doubts are seen before they become scores. Nothing is
// changed.
#pragma once

#include <string>
#include <vector>

#include "core/base/issue.hpp"
#include "core/network/channels.hpp"
#include "core/survey/snapshot.hpp"

namespace brookmark::core {

struct Finding {
  Severity severity = Severity::kWarning;
  std::string what;   // short, stable: "site outside every catchment"
  std::string where;  // "site S07", "sample S07-2021-05"
  std::string text;   // a sentence
};

// Worst first. Looks at: unlisted names (with proposals), sites off every channel or outside every
// catchment, sites without samples, samples without records, blanks with animals, the same taxon twice in
// one sample, dates after `today`, measurements outside plausible limits, reaches joined to nothing.
std::vector<Finding> check_survey(const Snapshot& snapshot, const ChannelNetwork& network, Date today);

}  // namespace brookmark::core
