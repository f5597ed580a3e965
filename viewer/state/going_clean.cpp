#include "viewer/state/going_clean.hpp"

#include <algorithm>

namespace brookmark::viewer {

GoingClean::GoingClean(const core::Snapshot& snapshot, const core::ChannelNetwork& channels, core::Date day)
    : waters(snapshot, &channels), history(snapshot, waters), snapshot_(snapshot), day_(day) {
  const core::Moment at{day, {}, {}};
  kit = history.states(at);
  held = core::held_samples(snapshot, waters, day);
  for (std::size_t b = 0; b < waters.size(); ++b)
    for (const core::BodyRisk& risk : waters.risks(core::BodyIndex(b), day)) {
      if (risk.status == core::RiskStatus::kCleared) continue;
      const auto told = core::told_of(snapshot, waters, core::BodyIndex(b), snapshot.risks[risk.row].target);
      if (!told) continue;
      core::TraceQuery query = told->query;
      query.until = day;
      risks.push_back({core::BodyIndex(b), risk.row, risk.target.has_value(),
                       core::trace(snapshot, waters, history, query)});
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
