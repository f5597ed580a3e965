// Why: sites below several outfalls cannot be told apart by the nearest one alone. Exposure adds up what lies upstream,
// each outfall weaker the farther it is along the channel, so that it can be held against the score.
// Use: auto exposure = exposure_of_sites(snapshot, network, days, {});
//      auto relation = relate_exposure(exposure, assessment);
//
// exposure = sum over the outfalls upstream that were in use on the day of  strength x exp(-distance_m / decay_m)
// The strength is the surveyor's own; an outfall without one counts as 1. There is no published decay length that holds
// for all waters: the default is an assumption without a source, to be changed where something better is known. What an
// outfall does depends on much else (dilution, what it carries, when it runs); this figure only ranks sites.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/analysis/permutation.hpp"
#include "core/network/channels.hpp"
#include "core/scoring/assessment.hpp"

namespace brookmark::core {

struct ExposureOptions {
  double decay_m = 2000;                  // after so many metres 37 % is left; above 0
  std::optional<double> within_m;         // outfalls farther than this are left out; default: none
  static constexpr double kUnstated = 1;  // strength of an outfall that has none
};

struct SiteExposure {
  std::optional<double>
      exposure;              // 0: on a channel and below no outfall; empty: on no channel, or no position
  std::size_t outfalls = 0;  // that add to it
  std::size_t unstated = 0;  // of them without a strength
  std::optional<OutfallIndex> nearest;
  std::optional<double> nearest_m;
  std::string note;  // why it is empty
};

// `days` holds for each site the day to look at. Throws Error(kBadUse) unless there is one for each site, and for a
// decay length that is not above 0.
std::vector<SiteExposure> exposure_of_sites(const Snapshot& snapshot, const ChannelNetwork& network,
                                            std::span<const Date> days, const ExposureOptions& options);

// For each site the day of the sample behind its assessment, else the assessment's date: an outfall that was opened
// later had no part in it.
std::vector<Date> days_of_assessment(const Snapshot& snapshot, const Assessment& assessment);

struct ExposureRelation {
  std::size_t sites = 0;                // with both an exposure and a value in scope
  std::optional<SpearmanResult> ranks;  // of exposure against value; empty for fewer than three or all equal
};
// A rank correlation over sites: sites near each other are alike for many reasons, so a small p is a hint to look
// closer and no proof of a cause.
ExposureRelation relate_exposure(std::span<const SiteExposure> exposure, const Assessment& assessment,
                                 const PermutationOptions& options = {});

}  // namespace brookmark::core
