// Why: live animals kept at home go back to their own water or are disposed of, and nowhere else. What is held, of
// which water, in which vessel, since when, and what has been held too long.
// Use: for (const HeldSample& h : held_samples(snapshot, waters, today, 2)) if (h.overdue) h.words
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "core/hygiene/survey_waters.hpp"

namespace brookmark::core {

// Days after which a live sample counts as held too long, unless somebody says otherwise: common practice, no source.
inline constexpr int kHoldDays = 2;

struct HeldSample {
  std::size_t row = 0;              // in snapshot.holdings
  std::optional<BodyIndex> origin;  // nothing where its site is not in the survey
  std::string vessel;               // its code; empty where it is not in the survey
  int days = 0;                     // held so far
  bool overdue = false;
  std::string words;  // "caddis larvae of Heron Pond in vessel V3 since 2025-05-03, 4 days: ..."
};

// Those held on the day, longest first. `limit_days` at least 0.
std::vector<HeldSample> held_samples(const Snapshot& snapshot, const SurveyWaters& waters, Date day,
                                     int limit_days = kHoldDays);

// Why a live sample must not be put back there; empty where the site lies on the water that it is from.
std::string why_not_return(const Snapshot& snapshot, const SurveyWaters& waters, const Holding& holding,
                           SiteIndex site);

}  // namespace brookmark::core
