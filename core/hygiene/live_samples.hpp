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
  std::string site;  // the code of the site that it is from; empty where that is not in the survey
  std::string what;  // "live sample" where nobody noted it
  int days = 0;      // held so far
  bool overdue = false;
  std::string words;  // "caddis larvae of Heron Pond in V3 since 3 May 2025, 4 days: ..."
};

// Those held on the day, longest first. `limit_days` at least 0.
std::vector<HeldSample> held_samples(const Snapshot& snapshot, const SurveyWaters& waters, Date day,
                                     int limit_days = kHoldDays);

// Why a live sample must not be put back there; empty where the site lies on the water that it is from.
std::string why_not_return(const Snapshot& snapshot, const SurveyWaters& waters, const Holding& holding,
                           SiteIndex site);

// How a live sample ends: what is recorded, and what is said.
struct LiveSampleEnd {
  Holding holding;            // with its end
  std::optional<KitUse> use;  // of the vessel, in the water that it was emptied into; its key is still empty
  std::string warning;        // a sentence where that is not its own water
  std::string summary;        // "the live sample in V2 was put into Kiln Pond, which is not its own water"
  std::string afterwards;     // a sentence on the vessel
};
// Put into the water of a site, or disposed of where there is none. Nothing is refused but an end before its beginning:
// throws Error(kBadInput).
LiveSampleEnd end_live_sample(const Snapshot& snapshot, const SurveyWaters& waters, const Holding& holding,
                              std::optional<SiteIndex> to, const Moment& when, const std::string& reason);

}  // namespace brookmark::core
