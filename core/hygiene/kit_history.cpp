#include "core/hygiene/kit_history.hpp"

#include <algorithm>
#include <cmath>
#include <unordered_map>

#include "core/base/text.hpp"

namespace brookmark::core {

namespace {

constexpr std::int64_t kDayMin = 1440;

template <class Row, class When>
void sort_by_time(std::vector<std::size_t>& rows, const std::vector<Row>& table, const When& when) {
  std::stable_sort(rows.begin(), rows.end(), [&](std::size_t a, std::size_t b) {
    const TimeSpan x = span_of(when(table[a])), y = span_of(when(table[b]));
    return std::pair(x.from_min, x.to_min) < std::pair(y.from_min, y.to_min);
  });
}

std::string day_of(const Moment& moment) {
  return format_date(moment.date);
}

}  // namespace

TimeSpan span_of(const Moment& moment) {
  const std::int64_t midnight =
      static_cast<std::int64_t>(moment.date.days) * kDayMin - moment.utc_offset_min.value_or(0);
  if (!moment.minute_of_day) return {midnight, midnight + kDayMin - 1};
  return {midnight + *moment.minute_of_day, midnight + *moment.minute_of_day};
}

TimeSpan work_span_of(const Cleaning& cleaning) {
  TimeSpan span = span_of(cleaning.finished);
  span.from_min -= static_cast<std::int64_t>(std::ceil(cleaning.contact_min.value_or(0)));
  return span;
}

KitHistory::KitHistory(const Snapshot& snapshot, const SurveyWaters& waters)
    : snapshot_(snapshot), waters_(waters), uses_(snapshot.kit.size()), cleanings_(snapshot.kit.size()) {
  std::unordered_map<std::string_view, std::size_t> kit_by_key, site_by_key;
  for (std::size_t k = 0; k < snapshot.kit.size(); ++k) kit_by_key.emplace(snapshot.kit[k].key, k);
  for (std::size_t s = 0; s < snapshot.sites.size(); ++s) site_by_key.emplace(snapshot.sites.key[s], s);
  use_site_.resize(snapshot.kit_uses.size());
  for (std::size_t u = 0; u < snapshot.kit_uses.size(); ++u) {
    const auto kit = kit_by_key.find(snapshot.kit_uses[u].kit_key);
    const auto site = site_by_key.find(snapshot.kit_uses[u].site_key);
    if (kit == kit_by_key.end() || site == site_by_key.end()) continue;
    use_site_[u] = SiteIndex(site->second);
    uses_[kit->second].push_back(u);
  }
  for (std::size_t c = 0; c < snapshot.cleanings.size(); ++c)
    if (const auto kit = kit_by_key.find(snapshot.cleanings[c].kit_key); kit != kit_by_key.end())
      cleanings_[kit->second].push_back(c);
  for (auto& rows : uses_) sort_by_time(rows, snapshot.kit_uses, [](const KitUse& u) { return u.when; });
  for (auto& rows : cleanings_)
    sort_by_time(rows, snapshot.cleanings, [](const Cleaning& c) { return c.finished; });
}

std::optional<KitIndex> KitHistory::find(std::string_view code_or_key) const {
  for (std::size_t k = 0; k < snapshot_.kit.size(); ++k)
    if (snapshot_.kit[k].code == code_or_key || snapshot_.kit[k].key == code_or_key) return KitIndex(k);
  return std::nullopt;
}

std::optional<SiteIndex> KitHistory::site_of_use(std::size_t use) const {
  return use_site_[use].has_value() ? std::optional(use_site_[use]) : std::nullopt;
}

namespace {

// Whether the cleaning surely began after the use, and was finished by `now`.
bool counts_after(const TimeSpan& use, const Cleaning& cleaning, const TimeSpan& now) {
  return surely_before(use, work_span_of(cleaning)) && span_of(cleaning.finished).to_min <= now.to_min;
}

// Why a water is still open: what was done since the last use there, and why it was not enough.
std::string why_open(const Snapshot& snapshot, const std::string& water, const KitUse& last,
                     const std::vector<std::size_t>& after, const std::vector<std::size_t>& unsure,
                     const OpenWater& open) {
  std::string why = "used in " + water + " on " + day_of(last.when);
  if (after.empty() && unsure.empty()) {
    append_note(why, "not cleaned since");
  } else if (after.empty()) {
    const Cleaning& nearest = snapshot.cleanings[unsure.back()];
    const bool timed = last.when.minute_of_day && nearest.finished.minute_of_day;
    append_note(why, "the cleaning after it (" + cleaning_words(nearest) + ", finished " +
                         format_moment(nearest.finished) +
                         (timed ? ") would have begun before it, so it does not count; look at the times"
                                : ") may have come before it, for a time of day is missing; note the times"));
  } else {
    const Cleaning& newest = snapshot.cleanings[after.back()];
    std::string cleaned = "cleaned on " + day_of(newest.finished) + " (" + cleaning_words(newest) + ")";
    if (!open.missing.empty()) cleaned += ", " + judge_cleaning(newest, open.missing.front()).why;
    append_note(why, cleaned);
    if (open.missing.size() > 1) {
      const std::span<const TargetIndex> others(open.missing.begin() + 1, open.missing.end());
      append_note(why, "nor is any cleaning shown to be enough against " + target_names(others));
    }
  }
  for (const std::string& organism : open.unknown)
    append_note(
        why, "\"" + organism +
                 "\" of this water is in none of the cleaning rules, so no cleaning here counts against it");
  return why;
}

}  // namespace

KitState KitHistory::state(KitIndex kit, const Moment& at) const {
  KitState state;
  state.kit = kit;
  const TimeSpan now = span_of(at);
  const auto& cleanings = cleanings_[kit.value()];
  for (const std::size_t c : cleanings) {
    const TimeSpan finished = span_of(snapshot_.cleanings[c].finished);
    const auto minutes = static_cast<std::int64_t>(snapshot_.cleanings[c].contact_min.value_or(0));
    if (finished.to_min <= now.to_min)
      state.last_cleaning = c;
    else if (finished.from_min - minutes <= now.to_min)
      state.under_way = c;
  }
  std::vector<BodyIndex> seen;
  const auto& uses = uses_[kit.value()];
  for (std::size_t i = uses.size(); i-- > 0;) {
    const KitUse& use = snapshot_.kit_uses[uses[i]];
    const TimeSpan when = span_of(use.when);
    if (when.from_min > now.to_min) continue;
    if (!state.last_use) state.last_use = uses[i];
    const BodyIndex body = waters_.of(use_site_[uses[i]]);
    if (std::find(seen.begin(), seen.end(), body) != seen.end()) continue;
    seen.push_back(body);
    std::vector<std::size_t> after, unsure;
    for (const std::size_t c : cleanings) {
      const TimeSpan finished = span_of(snapshot_.cleanings[c].finished);
      if (counts_after(when, snapshot_.cleanings[c], now))
        after.push_back(c);
      else if (finished.to_min >= when.from_min && finished.from_min <= now.to_min &&
               !surely_before(finished, when))
        unsure.push_back(c);
    }
    const BodyTargets targets = waters_.targets(body, at.date);
    OpenWater open{body, uses[i], {}, targets.unknown, ""};
    for (const TargetIndex target : targets.known)
      if (std::none_of(after.begin(), after.end(),
                       [&](std::size_t c) { return is_enough(snapshot_.cleanings[c], target); }))
        open.missing.push_back(target);
    if (open.missing.empty() && open.unknown.empty()) continue;
    open.why = why_open(snapshot_, waters_.name(body), use, after, unsure, open);
    state.open.push_back(std::move(open));
  }
  const bool vessel = snapshot_.kit[kit.value()].kind == KitKind::kVessel;
  if (!state.has_history())
    state.words = "no history: nothing is known of where it has been; clean it before it is used";
  else if (state.open.empty())
    state.words = state.last_cleaning
                      ? "clean: " + cleaning_words(snapshot_.cleanings[*state.last_cleaning]) + " on " +
                            day_of(snapshot_.cleanings[*state.last_cleaning].finished)
                      : "clean";
  else
    for (const OpenWater& open : state.open)
      append_note(state.words, (vessel ? "belongs to " : "goes into no water but ") +
                                   waters_.name(open.body) + " until cleaned: " + open.why);
  if (state.under_way)
    append_note(state.words,
                "being cleaned until " + format_moment(snapshot_.cleanings[*state.under_way].finished));
  return state;
}

std::vector<KitState> KitHistory::states(const Moment& at) const {
  std::vector<KitState> states;
  for (std::size_t k = 0; k < snapshot_.kit.size(); ++k)
    if (!snapshot_.kit[k].retired) states.push_back(state(KitIndex(k), at));
  return states;
}

std::vector<EntryWarning> warnings_before_entry(const Snapshot& snapshot, const SurveyWaters& waters,
                                                const KitHistory& history, std::span<const KitIndex> kit,
                                                SiteIndex site, const Moment& at) {
  using Kind = EntryWarning::Kind;
  std::vector<EntryWarning> warnings;
  const BodyIndex body = waters.of(site);
  for (const KitIndex item : kit) {
    const Kit& row = snapshot.kit[item.value()];
    const KitState state = history.state(item, at);
    const std::string before = row.code + " before " + waters.name(body) + ": ";
    if (!state.has_history())
      warnings.push_back(
          {item, Kind::kNoHistory,
           before + "it has no history here, so nobody knows which water it was in last; clean it first"});
    for (const OpenWater& open : state.open)
      if (open.body != body)
        warnings.push_back({item, Kind::kOtherWater, before + open.why + ". Clean it first"});
    if (state.under_way)
      warnings.push_back({item, Kind::kDrying,
                          before + "its cleaning is finished only on " +
                              format_moment(snapshot.cleanings[*state.under_way].finished)});
    for (const Holding& holding : snapshot.holdings) {
      if (holding.kit_key != row.key || holding.since > at.date ||
          (holding.until && *holding.until <= at.date))
        continue;
      const auto origin = site_of_key(snapshot, holding.site_key);
      if (origin && waters.of(*origin) != body)
        warnings.push_back({item, Kind::kHoldsLive,
                            before + "it holds a live sample of " + waters.name(waters.of(*origin)) +
                                ", which goes back there or is disposed of"});
    }
    if (row.retired) warnings.push_back({item, Kind::kRetired, before + "it is marked as retired"});
  }
  return warnings;
}

}  // namespace brookmark::core
