#include "core/hygiene/live_samples.hpp"

#include <algorithm>

namespace brookmark::core {

std::vector<HeldSample> held_samples(const Snapshot& snapshot, const SurveyWaters& waters, Date day,
                                     int limit_days) {
  std::vector<HeldSample> held;
  for (std::size_t r = 0; r < snapshot.holdings.size(); ++r) {
    const Holding& holding = snapshot.holdings[r];
    if (holding.since > day || (holding.until && *holding.until <= day)) continue;
    HeldSample sample;
    sample.row = r;
    if (const auto site = site_of_key(snapshot, holding.site_key)) sample.origin = waters.of(*site);
    for (const Kit& kit : snapshot.kit)
      if (kit.key == holding.kit_key) sample.vessel = kit.code;
    sample.days = day.days - holding.since.days;
    sample.overdue = sample.days > limit_days;
    const std::string origin = sample.origin ? waters.name(*sample.origin) : std::string("an unknown water");
    sample.words =
        (holding.what.empty() ? std::string("live sample") : holding.what) + " of " + origin + " in " +
        (sample.vessel.empty() ? std::string("an unknown vessel") : sample.vessel) + " since " +
        format_date(holding.since) + ", " + std::to_string(sample.days) +
        (sample.days == 1 ? " day" : " days") +
        (sample.overdue ? ": overdue; return it to " + origin + " and nowhere else, or dispose of it"
                        : ": goes back to " + origin + " only, or is disposed of");
    held.push_back(std::move(sample));
  }
  std::stable_sort(held.begin(), held.end(),
                   [](const HeldSample& a, const HeldSample& b) { return a.days > b.days; });
  return held;
}

std::string why_not_return(const Snapshot& snapshot, const SurveyWaters& waters, const Holding& holding,
                           SiteIndex site) {
  const auto origin = site_of_key(snapshot, holding.site_key);
  if (!origin) return "its origin is not in this survey";
  if (waters.of(*origin) == waters.of(site)) return "";
  return "it is from " + waters.name(waters.of(*origin)) + ", and " +
         std::string(snapshot.sites.code[site.value()]) + " lies on " + waters.name(waters.of(site)) +
         "; a live sample goes back to its own water or is disposed of";
}

}  // namespace brookmark::core
