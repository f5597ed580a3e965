// Why: what is written down about kit on the bank (a use, a cleaning, a risk, a live sample and its end) is made into one
// edit in one way, whoever asks: with what there is to warn of first. Nothing is refused but what has not happened yet
// and what names nothing.
// Use: Recorded r = record_use({snapshot, waters, history, now}, items, site, when, "no other net", "");
//      for (const std::string& w : r.warnings) ...;  file.apply(r.batch);
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/hygiene/kit_history.hpp"
#include "core/hygiene/live_samples.hpp"
#include "core/store/edit.hpp"

namespace brookmark::core {

// A moment of the clock (in UTC) as local time, with the offset of the newest visit that notes one; else as it is.
Moment local_moment(const Snapshot& snapshot, const Moment& utc);

struct RecordSource {
  const Snapshot& snapshot;
  const SurveyWaters& waters;
  const KitHistory& history;
  Moment now;  // the clock
};

struct Recorded {
  EditBatch batch;                    // rows without keys: the store gives them
  std::vector<std::string> warnings;  // sentences; they do not keep anybody from going on
  std::vector<std::string> notes;     // sentences on what follows
  bool counts = true;                 // false: a cleaning that does not count after a use, as a warning says
};

// All throw Error(kBadInput) with a sentence for a moment later than the clock, Error(kBadUse) for no kit at all.
// `override_reason`: why somebody goes on in spite of a warning; kept with the row.
Recorded record_use(const RecordSource& source, std::span<const KitIndex> kit, SiteIndex site,
                    const Moment& when, const std::string& override_reason, const std::string& note);
// kit_key of the cleaning is filled in, for each item.
Recorded record_cleaning(const RecordSource& source, std::span<const KitIndex> kit, Cleaning cleaning);
// An organism is taken by its name in the rules, where it has one. Throws Error(kBadInput) for an empty one.
Recorded record_risk(const RecordSource& source, SiteIndex site, const std::string& organism,
                     RiskStatus status, Date since, const std::string& told_by, const std::string& note);
// With a use of the vessel, which belongs to that water from now on.
Recorded record_hold(const RecordSource& source, KitIndex vessel, SiteIndex site, const std::string& what,
                     Date since, const std::string& note);
// To a site, or disposed of. Throws Error(kNotFound) where nothing is held in it.
Recorded record_release(const RecordSource& source, KitIndex vessel, std::optional<SiteIndex> to,
                        const Moment& when, const std::string& override_reason);

// What a cleaning of these items has to meet: the routine targets, and those of the waters that they belong to.
std::vector<TargetIndex> targets_to_meet(const RecordSource& source, std::span<const KitIndex> kit,
                                         const Moment& at);

}  // namespace brookmark::core
