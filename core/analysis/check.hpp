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

// Worst first. Looks at:
// * names: unlisted ones, with proposals; those with a place under a listed name in one note;
// * samples: without records, blanks with animals, the same taxon twice, one group alone recorded, only unlisted names;
// * counts: above 100,000 in one record, more than ten times any other count of the taxon, rounded guesses;
// * animals outside their kind of water (kinds_of_water.csv);
// * replicates of a visit that are little alike, or two classes apart;
// * classes: two bands off for one visit, in any method that comes with the program;
// * visits and measurements: dates after `today`, values outside the limits of common practice;
// * sites: without a position, far from the others, off every channel, outside every catchment, without
//   samples, retired or not sampled lately;
// * catchments that overlap in part;
// * reaches, as building and reviewing their network found them (network/channel_findings.hpp): ends joined
//   over a gap, joined to nothing, drawn twice, overlapping, crossing without a node, short dead ends, and
//   where the water betrays that one is drawn against the flow.
std::vector<Finding> check_survey(const Snapshot& snapshot, const ChannelNetwork& network, Date today);

}  // namespace brookmark::core
