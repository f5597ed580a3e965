#include "viewer/state/going_clean.hpp"

#include <algorithm>

namespace brookmark::viewer {

GoingClean::GoingClean(const core::Snapshot& snapshot, core::Date day)
    : waters(snapshot), history(snapshot, waters), snapshot_(snapshot), day_(day) {
  const core::Moment at{day, {}, {}};
  kit = history.states(at);
  held = core::held_samples(snapshot, waters, day);
  for (std::size_t b = 0; b < waters.size(); ++b)
    for (const core::BodyRisk& risk : waters.risks(core::BodyIndex(b), day)) {
      if (risk.status == core::RiskStatus::kCleared) continue;
      core::TraceQuery query;
      query.origin = core::BodyIndex(b);
      query.target = risk.target;
      query.since = snapshot.risks[risk.row].since;
      TracedRisk traced{core::BodyIndex(b), risk.row, risk.target.has_value(), {}};
      for (core::TracedWater& water : core::trace_contacts(snapshot, waters, history, query))
        if (water.when.from_min <= core::span_of(at).to_min) traced.contacts.push_back(std::move(water));
      risks.push_back(std::move(traced));
    }
}

std::vector<core::EntryWarning> GoingClean::before(core::SiteIndex site) const {
  std::vector<core::KitIndex> items;
  for (const core::KitState& state : kit) items.push_back(state.kit);
  return core::warnings_before_entry(snapshot_, waters, history, items, site, {day_, {}, {}});
}

core::Date day_of_going_clean(const core::Snapshot& snapshot, std::optional<core::Date> shown,
                              core::Date today) {
  const auto span = snapshot.date_span();
  if (shown && span && *shown < span->second) return *shown;
  std::optional<core::Date> newest = shown;
  const auto take = [&](core::Date day) { newest = newest ? std::max(*newest, day) : day; };
  for (const core::KitUse& use : snapshot.kit_uses) take(use.when.date);
  for (const core::Cleaning& cleaning : snapshot.cleanings) take(cleaning.finished.date);
  for (const core::Holding& holding : snapshot.holdings) take(holding.until.value_or(holding.since));
  for (const core::WaterRisk& risk : snapshot.risks) take(risk.since);
  return newest.value_or(today);
}

}  // namespace brookmark::viewer
