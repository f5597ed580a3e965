#include "core/hygiene/kit_sets.hpp"

#include <algorithm>
#include <map>

#include "core/base/text.hpp"
#include "core/hygiene/plain_words.hpp"

namespace brookmark::core {

std::vector<KitSet> kit_sets(const Snapshot& snapshot, const KitHistory& history, const Moment& at,
                             std::vector<KitIndex>* outside) {
  bool any_named = false;
  for (const Kit& kit : snapshot.kit)
    any_named = any_named || (!kit.retired && kit.kind != KitKind::kVessel && !trim(kit.set).empty());
  std::map<std::string, KitSet> sets;
  for (const KitState& state : history.states(at)) {
    const Kit& kit = snapshot.kit[state.kit.value()];
    if (kit.kind == KitKind::kVessel) continue;
    const std::string word(trim(kit.set));
    if (word.empty() && any_named) {
      if (outside != nullptr) outside->push_back(state.kit);
      continue;
    }
    KitSet& set = sets[fold_name(word)];
    if (set.name.empty()) set.name = word.empty() ? "kit" : word;
    set.items.push_back(state.kit);
    set.unknown_history = set.unknown_history || !state.has_history() || !state.unmet.empty();
    if (state.under_way)
      append_note(set.not_yet, kit.code + " is being cleaned until " +
                                   plain_moment(snapshot.cleanings[*state.under_way].finished));
    if (!state.holds.empty()) append_note(set.not_yet, kit.code + " holds a live sample");
    for (const OpenWater& open : state.open) {
      if (std::find(set.open.begin(), set.open.end(), open.body) == set.open.end())
        set.open.push_back(open.body);
      set.missing.insert(set.missing.end(), open.missing.begin(), open.missing.end());
      set.no_rule = set.no_rule || !open.unknown.empty();
      set.was_at.insert(set.was_at.end(), open.sites.begin(), open.sites.end());
    }
  }
  std::vector<KitSet> list;
  for (auto& [name, set] : sets) list.push_back(std::move(set));
  return list;
}

std::vector<VesselState> vessels(const Snapshot& snapshot, const SurveyWaters& waters,
                                 const KitHistory& history, const Moment& at) {
  std::vector<VesselState> list;
  for (const KitState& state : history.states(at)) {
    const Kit& kit = snapshot.kit[state.kit.value()];
    if (kit.kind != KitKind::kVessel) continue;
    VesselState vessel{state.kit, {}, {}, false, ""};
    for (const std::size_t row : state.holds) {
      const auto origin = site_of_key(snapshot, snapshot.holdings[row].site_key);
      append_note(vessel.words, "holds a live sample" +
                                    (origin ? " of " + waters.name(waters.of(*origin)) : std::string()));
    }
    if (!state.has_history() || !state.unmet.empty())
      append_note(vessel.words, "may be unclean, for nobody knows where it was: clean it first");
    if (state.under_way)
      append_note(vessel.words,
                  "is being cleaned until " + plain_moment(snapshot.cleanings[*state.under_way].finished));
    const bool usable = vessel.words.empty();
    if (!state.open.empty()) {
      std::vector<std::string> names;
      for (const OpenWater& open : state.open) names.push_back(waters.name(open.body));
      append_note(vessel.words, state.open.size() == 1 ? "belongs to " + names.front() + " until cleaned"
                                                       : "was in " + plain_list(names) +
                                                             ": into none of them before it is cleaned");
    }
    if (usable && state.open.size() == 1) {
      vessel.only_for = state.open.front().body;
      vessel.was_at = state.open.front().sites;
    }
    vessel.free = vessel.words.empty();
    list.push_back(std::move(vessel));
  }
  return list;
}

bool goes_down(const SurveyWaters& waters, std::span<const SiteIndex> was_at, SiteIndex site) {
  return std::none_of(was_at.begin(), was_at.end(),
                      [&](SiteIndex lower) { return waters.down_m(site, lower).has_value(); });
}

bool frees(const Cleaning& cleaning, const SurveyWaters& waters, std::span<const BodyIndex> from, Date day) {
  for (const TargetIndex target : routine_targets())
    if (!is_enough(cleaning, target)) return false;
  for (const BodyIndex body : from) {
    const BodyTargets targets = waters.targets(body, day);
    if (!targets.unknown.empty()) return false;
    for (const TargetIndex target : targets.known)
      if (!is_enough(cleaning, target)) return false;
  }
  return true;
}

std::vector<Cleaning> cleanings_against(std::span<const TargetIndex> targets) {
  std::vector<Cleaning> found;
  for (const CleaningAgent& agent : cleaning_agents()) {
    Cleaning cleaning;
    cleaning.agent = agent.name;
    double seconds = 0;
    bool all = !targets.empty();
    for (const TargetIndex target : targets) {
      const CleaningRule* quickest = nullptr;
      for (const CleaningRule& rule : cleaning_rules()) {
        if (!rule.proves() || !rule.against(target) || !rule.with(agent)) continue;
        if (quickest == nullptr || rule.min_s.value_or(0) < quickest->min_s.value_or(0)) quickest = &rule;
      }
      all = all && quickest != nullptr;
      if (quickest == nullptr) break;
      seconds = std::max(seconds, quickest->min_s.value_or(0));
      const auto more = [](std::optional<double>& value, const std::optional<double>& least) {
        if (least && (!value || *value < *least)) value = least;
      };
      more(cleaning.concentration_pct, quickest->min_pct);
      more(cleaning.temperature_c, quickest->min_c);
      if (quickest->max_c && (!cleaning.temperature_c || *cleaning.temperature_c > *quickest->max_c))
        cleaning.temperature_c = quickest->max_c;
    }
    if (!all) continue;
    cleaning.contact_min = seconds / 60;
    if (std::all_of(targets.begin(), targets.end(), [&](TargetIndex t) { return is_enough(cleaning, t); }))
      found.push_back(std::move(cleaning));
  }
  std::stable_sort(found.begin(), found.end(),
                   [](const Cleaning& a, const Cleaning& b) { return a.contact_min < b.contact_min; });
  return found;
}

}  // namespace brookmark::core
