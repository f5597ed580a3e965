// Why: what the window says of kit, risks and contacts on one day, worked out once for that day and kept.
// Use: const GoingClean& clean = model.going_clean(day);  for (const core::KitState& item : clean.kit) ...
#pragma once

#include <optional>
#include <vector>

#include "core/hygiene/live_samples.hpp"
#include "core/hygiene/tracing.hpp"

namespace brookmark::viewer {

// A suspicion or more at one water, and the waters that may have it too.
struct TracedRisk {
  core::BodyIndex body;
  std::size_t row = 0;  // in snapshot.risks
  bool rule_known = false;
  core::Contacts contacts;
};

class GoingClean {
 public:
  // The snapshot and the channels outlive this.
  GoingClean(const core::Snapshot& snapshot, const core::ChannelNetwork& channels, core::Date day);

  core::Date day() const { return day_; }
  core::SurveyWaters waters;
  core::KitHistory history;
  std::vector<core::KitState> kit;     // not retired, by code
  std::vector<core::HeldSample> held;  // longest first
  std::vector<TracedRisk> risks;       // not cleared

  // What to say before all that kit goes into the water of a site, item by item.
  std::vector<core::EntryWarning> before(core::SiteIndex site) const;

 private:
  const core::Snapshot& snapshot_;
  core::Date day_;
};

// The day of which going clean is told: the day shown on the map, while that is an earlier one; at the newest sampling day
// everything that was recorded counts, later uses of kit, cleanings, risks and live samples too. Without samples: the newest
// of these rows, else `today`.
core::Date day_of_going_clean(const core::Snapshot& snapshot, std::optional<core::Date> shown,
                              core::Date today);

}  // namespace brookmark::viewer
