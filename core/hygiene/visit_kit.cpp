#include <algorithm>

#include "core/base/text.hpp"
#include "core/hygiene/plain_words.hpp"
#include "core/hygiene/visit_kit_internal.hpp"

namespace brookmark::core {

namespace {

// Per cent of what, where a bottle may be read otherwise.
std::string plain_cleaning(const Cleaning& cleaning) {
  const CleaningAgent* agent = find_agent(cleaning.agent);
  const bool bleach = agent != nullptr && agent->name == "bleach" && cleaning.concentration_pct;
  return cleaning_words(cleaning) +
         (bleach ? ", per cent of household bleach in the solution; follow its label" : "");
}

bool holds(const std::vector<BodyIndex>& bodies, BodyIndex body) {
  return std::find(bodies.begin(), bodies.end(), body) != bodies.end();
}

std::string counted(std::size_t count, const char* one, const char* many) {
  return std::to_string(count) + " " + (count == 1 ? one : many);
}

}  // namespace

VisitKit::VisitKit(const Snapshot& snapshot, const SurveyWaters& waters, const PlanRequest& request,
                   const KitAtHand& at_hand)
    : snapshot_(snapshot), waters_(waters), request_(request), at_hand_(at_hand) {
  for (const SiteIndex site : request.sites)
    if (!holds(waters_visited_, waters.of(site))) waters_visited_.push_back(waters.of(site));
  std::vector<KitSet> listed;
  if (!request.clean_sets) listed = at_hand.sets;
  const std::size_t assumed = request.clean_sets.value_or(listed.empty() ? 1 : 0);
  for (std::size_t i = 0; i < assumed; ++i) {
    KitSet set;
    set.name = assumed == 1 ? "the set" : "set " + std::to_string(i + 1);
    listed.push_back(std::move(set));
  }
  std::size_t bound = 0;
  std::vector<BodyIndex> with_own;
  for (KitSet& set : listed) {
    ready_ += set.ready() ? 1 : 0;
    bool own = set.open.size() == 1 && !set.unknown_history && set.not_yet.empty() &&
               holds(waters_visited_, set.open.front()) && !holds(with_own, set.open.front());
    for (const SiteIndex site : request.sites)
      own = own && (waters.of(site) != set.open.front() || may_go_to(set, site));
    if (own) with_own.push_back(set.open.front());
    bound += own ? 1 : 0;
    sets_.push_back({std::move(set), {}, false});
  }
  served_ = ready_ + bound;
}

bool VisitKit::may_go_to(const KitSet& set, SiteIndex site) const {
  return set.not_yet.empty() && !set.unknown_history && set.open.size() == 1 &&
         set.open.front() == waters_.of(site) && goes_down(waters_, set.was_at, site);
}

bool VisitKit::is_finished(const VisitPlan& plan, std::size_t from, BodyIndex body) const {
  for (std::size_t i = from; i < plan.stops.size(); ++i)
    if (plan.stops[i].body == body) return false;
  return true;
}

VisitKit::Set* VisitKit::set_for(const VisitPlan& plan, std::size_t at, bool& cleaned) {
  const BodyIndex body = plan.stops[at].body;
  cleaned = false;
  const auto take = [&](Set& set) {
    set.in = body;
    return &set;
  };
  const auto can_go = [](const Set& set) { return set.kit.not_yet.empty(); };
  // A set for each stop, where there are enough. One that is in this water already may still be barred from going up it.
  if (is_shared())
    for (Set& set : sets_)
      if (set.in == body && (set.kit.open.empty() || may_go_to(set.kit, plan.stops[at].site))) return &set;
  for (Set& set : sets_)
    if (!set.in && may_go_to(set.kit, plan.stops[at].site)) return take(set);
  for (Set& set : sets_)
    if (!set.in && set.kit.ready()) return take(set);
  if (!request_.on_the_way) return nullptr;
  for (const bool used : {false, true})
    for (Set& set : sets_) {
      if (set.in.has_value() != used || !can_go(set)) continue;
      if (used && !is_finished(plan, at, *set.in)) continue;
      std::vector<BodyIndex> from = set.kit.open;
      if (set.in) from.push_back(*set.in);
      if (!frees(*request_.on_the_way, waters_, from, request_.day)) continue;
      const auto enough = [&](TargetIndex target) { return is_enough(*request_.on_the_way, target); };
      if (set.kit.no_rule || !std::all_of(set.kit.missing.begin(), set.kit.missing.end(), enough)) continue;
      cleaned = true;
      set.kit.open.clear();
      set.kit.missing.clear();
      set.kit.was_at.clear();
      set.kit.unknown_history = false;
      return take(set);
    }
  return nullptr;
}

KitPlan VisitKit::assign(VisitPlan& plan) {
  KitPlan kit;
  kit.cleaning_min.assign(plan.stops.size(), 0);
  std::vector<std::size_t> without;
  for (std::size_t i = 0; i < plan.stops.size(); ++i) {
    PlanStop& stop = plan.stops[i];
    bool cleaned = false;
    const Set* set = set_for(plan, i, cleaned);
    if (set == nullptr) {
      without.push_back(i);
      append_note(stop.note, "no clean kit for it");
      continue;
    }
    stop.kit_set = set->kit.name;
    if (!cleaned) continue;
    stop.cleaning_before = plain_cleaning(*request_.on_the_way);
    kit.cleaning_min[i] = request_.on_the_way->contact_min.value_or(0) + request_.handling_min;
  }
  if (!without.empty()) tell_lack(without, plan);
  if (!request_.clean_sets && std::all_of(snapshot_.kit.begin(), snapshot_.kit.end(), [](const Kit& k) {
        return k.retired || k.kind == KitKind::kVessel;
      }))
    plan.rules.push_back("The survey lists no kit: one clean set is assumed.");
  assign_vessels(plan);
  return kit;
}

std::string VisitKit::cleaning_advice(const std::vector<BodyIndex>& from) const {
  std::vector<TargetIndex> targets(routine_targets().begin(), routine_targets().end());
  std::string unknown;
  for (const BodyIndex body : from) {
    const BodyTargets here = waters_.targets(body, request_.day);
    for (const TargetIndex target : here.known)
      if (std::find(targets.begin(), targets.end(), target) == targets.end()) targets.push_back(target);
    if (!here.unknown.empty()) append_note(unknown, here.unknown.front());
  }
  if (!unknown.empty()) return "no cleaning here is known to be enough against " + unknown;
  const auto cleanings = cleanings_against(targets);
  if (cleanings.empty()) return "no single agent of the rules is enough against " + target_names(targets);
  std::vector<std::string> words;
  for (const Cleaning& cleaning : cleanings) words.push_back(plain_cleaning(cleaning));
  return "enough against " + target_names(targets) + " would be " + joined(words, ", or ") +
         " (follow the label and local codes)";
}

void VisitKit::tell_lack(const std::vector<std::size_t>& without, VisitPlan& plan) const {
  // A water as a whole, or those of its sites that lack kit.
  std::vector<BodyIndex> bodies;
  for (const std::size_t at : without)
    if (!holds(bodies, plan.stops[at].body)) bodies.push_back(plan.stops[at].body);
  std::vector<std::string> names;
  for (const BodyIndex body : bodies) {
    std::vector<std::string> codes;
    std::size_t stops = 0;
    for (const PlanStop& stop : plan.stops) stops += stop.body == body ? 1U : 0U;
    for (const std::size_t at : without)
      if (plan.stops[at].body == body) codes.emplace_back(snapshot_.sites.code[plan.stops[at].site.value()]);
    names.push_back(waters_.name(body) + (codes.size() < stops ? " at " + plain_list(codes) : ""));
  }
  plan.lacking.push_back(counted(waters_visited_.size(), "water", "waters") + " and " +
                         counted(ready_, "clean set", "clean sets") + " of kit: for " + plain_list(names) +
                         " there is none. Bring " +
                         counted(bodies.size(), "more clean set", "more clean sets") +
                         ", or clean between the waters.");
  for (const Set& set : sets_) {
    if (set.kit.ready() || set.in) continue;
    std::string why = set.kit.not_yet;
    if (set.kit.unknown_history) append_note(why, "nobody knows where part of it was");
    if (set.kit.open.size() == 1) {
      const BodyIndex body = set.kit.open.front();
      std::vector<std::string> codes;
      for (const SiteIndex site : set.kit.was_at)
        if (std::find(codes.begin(), codes.end(), snapshot_.sites.code[site.value()]) == codes.end())
          codes.emplace_back(snapshot_.sites.code[site.value()]);
      const bool too_low = std::any_of(request_.sites.begin(), request_.sites.end(), [&](SiteIndex site) {
        return waters_.of(site) == body && !goes_down(waters_, set.kit.was_at, site);
      });
      append_note(
          why,
          "it belongs to " + waters_.name(body) + " until cleaned" +
              (too_low ? " and was at " + plain_list(codes) + ", further down than it would go now" : ""));
    } else if (!set.kit.open.empty()) {
      std::vector<std::string> waters;
      for (const BodyIndex body : set.kit.open) waters.push_back(waters_.name(body));
      append_note(why, "it was in " + plain_list(waters) + " and goes into no water until cleaned");
    }
    plan.lacking.push_back("Set " + set.kit.name + " cannot be used: " + why + ".");
  }
  std::vector<BodyIndex> from;
  for (const Set& set : sets_) {
    if (set.in && !holds(from, *set.in)) from.push_back(*set.in);
  }
  if (!request_.on_the_way)
    plan.lacking.push_back("Between the waters nothing is cleaned in this plan; " + cleaning_advice(from) +
                           ".");
  else
    for (const BodyIndex body : from)
      if (!frees(*request_.on_the_way, waters_, {&body, 1}, request_.day))
        plan.lacking.push_back("The cleaning on the way (" + cleaning_words(*request_.on_the_way) +
                               ") is not enough after " + waters_.name(body) + "; " +
                               cleaning_advice({body}) + ".");
}

void VisitKit::assign_vessels(VisitPlan& plan) {
  auto at_hand = at_hand_.vessels;
  if (at_hand.empty() || request_.vessels_per_stop == 0) return;
  std::vector<std::string> short_of;
  for (PlanStop& stop : plan.stops) {
    for (const bool own : {true, false})
      for (VesselState& vessel : at_hand) {
        if (stop.vessels.size() == request_.vessels_per_stop) break;
        if (own ? vessel.only_for != stop.body || !goes_down(waters_, vessel.was_at, stop.site)
                : !vessel.free)
          continue;
        stop.vessels.push_back(vessel.kit);
        vessel.free = false;
        vessel.only_for.reset();
        vessel.words.clear();
      }
    if (stop.vessels.size() < request_.vessels_per_stop)
      short_of.emplace_back(snapshot_.sites.code[stop.site.value()]);
  }
  if (short_of.empty()) return;
  std::vector<std::string> why;
  for (const VesselState& vessel : at_hand)
    if (!vessel.words.empty() && !vessel.only_for)
      why.push_back(snapshot_.kit[vessel.kit.value()].code + " " + vessel.words);
  plan.lacking.push_back("No clean vessel is left for " + joined(short_of, ", ") + "." +
                         (why.empty() ? "" : " Of the others: " + joined(why, "; ") + "."));
}

}  // namespace brookmark::core
