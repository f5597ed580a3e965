#include "core/hygiene/tracing.hpp"

#include <algorithm>

#include "core/base/text.hpp"
#include "core/hygiene/plain_words.hpp"

namespace brookmark::core {

std::string step_words(const Snapshot& snapshot, const SurveyWaters& waters, const TraceStep& step) {
  const auto water = [&](const KitStay& stay) { return waters.name(waters.of(stay.site)); };
  // Within one water the sites are told apart.
  const bool within = waters.of(step.out.site) == waters.of(step.in.site);
  const auto place = [&](const KitStay& stay) {
    return (within ? std::string(snapshot.sites.code[stay.site.value()]) + " of " : std::string()) +
           water(stay) + " on " +
           (stay.use ? plain_moment(snapshot.kit_uses[*stay.use].when)
                     : plain_day(snapshot.holdings[*stay.holding].since));
  };
  const std::string code = (step.carried ? plain_distance(step.carried->distance_m) + " below " +
                                               waters.name(step.carried->source) + ", "
                                         : std::string()) +
                           snapshot.kit[step.kit.value()].code;
  if (step.out.holding) {
    const Holding& held = snapshot.holdings[*step.out.holding];
    // What went into a water while the sample was in the vessel, or as it was put there.
    if (step.in.when.from_min <= step.out.until_min)
      return code + " with " + (held.what.empty() ? "a live sample" : held.what) + " of " + water(step.out) +
             " since " + plain_day(held.since) + ", then " + place(step.in);
  }
  return code + ": " + place(step.out) + ", then " + place(step.in);
}

Contacts trace(const Snapshot& snapshot, const SurveyWaters& waters, const KitHistory& history,
               const TraceQuery& query) {
  Contacts contacts{
      trace_contacts(snapshot, waters, history, query), upstream_moves(snapshot, waters, history, query), {}};
  std::vector<bool> told(waters.size(), false);
  told[query.origin.value()] = true;
  for (const TracedWater& water : contacts.entered) told[water.body.value()] = true;
  const auto add = [&](BodyIndex source) {
    for (const WaterBelow& below : waters.below(source)) {
      if (told[below.body.value()]) continue;
      told[below.body.value()] = true;
      contacts.below.push_back({below, source,
                                plain_distance(below.distance_m()) + " below " + waters.name(source) +
                                    " along the channel: the water itself may bring it"});
    }
  };
  add(query.origin);
  for (const TracedWater& water : contacts.entered) add(water.body);
  return contacts;
}

std::optional<ToldOrganism> told_of(const Snapshot& snapshot, const SurveyWaters& waters, BodyIndex body,
                                    std::string_view organism) {
  ToldOrganism told{std::string(organism), {body}};
  bool any = false;
  for (const WaterRisk& risk : snapshot.risks) {
    const auto site = site_of_key(snapshot, risk.site_key);
    if (!site || waters.of(*site) != body || risk.status == RiskStatus::kCleared) continue;
    if (told.organism.empty()) told.organism = risk.target;
    const auto asked = find_target(told.organism), said = find_target(risk.target);
    if (asked ? asked != said : fold_name(told.organism) != fold_name(risk.target)) continue;
    any = true;
    if (!told.query.since || risk.since < *told.query.since) told.query.since = risk.since;
    if (std::find(told.query.places.begin(), told.query.places.end(), *site) == told.query.places.end())
      told.query.places.push_back(*site);
  }
  told.query.target = find_target(told.organism);
  if (!any) return std::nullopt;
  return told;
}

}  // namespace brookmark::core
