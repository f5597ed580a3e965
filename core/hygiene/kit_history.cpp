#include "core/hygiene/kit_history.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <unordered_map>

#include "core/hygiene/plain_words.hpp"

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

constexpr std::int64_t kNever = std::numeric_limits<std::int64_t>::max();

// From when on a cleaning takes away what a live sample brought. A vessel is emptied before it is cleaned, so one of the
// day on which the sample was disposed of counts; one that was put into a water was emptied there.
std::int64_t emptied_min(const Snapshot& snapshot, const Holding& held,
                         const std::vector<std::size_t>& uses) {
  if (!held.until) return kNever;
  std::int64_t emptied = span_of({*held.until, {}, {}}).from_min;
  if (held.outcome != HoldingOutcome::kReturned) return emptied;
  for (const std::size_t u : uses)
    if (snapshot.kit_uses[u].when.date == *held.until)
      emptied = std::max(emptied, span_of(snapshot.kit_uses[u].when).to_min + 1);
  return emptied;
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
  // Without a time of day one that is shorter than a day lay on that day.
  const double minutes = cleaning.contact_min.value_or(0);
  if (cleaning.finished.minute_of_day || minutes >= kDayMin)
    span.from_min -= static_cast<std::int64_t>(std::ceil(minutes));
  return span;
}

std::string why_not_yet(const Cleaning& cleaning, const Moment& now) {
  const std::string why = why_not_yet(cleaning.finished, now);
  if (why.empty() || work_span_of(cleaning).from_min <= span_of(now).to_min) return "";
  return why + "; a cleaning that is not finished must have begun";
}

KitHistory::KitHistory(const Snapshot& snapshot, const SurveyWaters& waters)
    : snapshot_(snapshot),
      waters_(waters),
      uses_(snapshot.kit.size()),
      cleanings_(snapshot.kit.size()),
      stays_(snapshot.kit.size()) {
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
  for (std::size_t k = 0; k < uses_.size(); ++k)
    for (const std::size_t u : uses_[k]) {
      const TimeSpan when = span_of(snapshot.kit_uses[u].when);
      stays_[k].push_back({use_site_[u], u, {}, when, when.to_min});
    }
  for (std::size_t h = 0; h < snapshot.holdings.size(); ++h) {
    const auto kit = kit_by_key.find(snapshot.holdings[h].kit_key);
    const auto site = site_by_key.find(snapshot.holdings[h].site_key);
    if (kit == kit_by_key.end() || site == site_by_key.end()) continue;
    stays_[kit->second].push_back({SiteIndex(site->second),
                                   {},
                                   h,
                                   span_of({snapshot.holdings[h].since, {}, {}}),
                                   emptied_min(snapshot, snapshot.holdings[h], uses_[kit->second]) - 1});
  }
  for (auto& stays : stays_)
    std::stable_sort(stays.begin(), stays.end(), [](const KitStay& a, const KitStay& b) {
      return std::pair(a.when.from_min, a.when.to_min) < std::pair(b.when.from_min, b.when.to_min);
    });
}

std::optional<KitIndex> KitHistory::find(std::string_view code_or_key) const {
  for (std::size_t k = 0; k < snapshot_.kit.size(); ++k)
    if (snapshot_.kit[k].code == code_or_key || snapshot_.kit[k].key == code_or_key) return KitIndex(k);
  return std::nullopt;
}

std::optional<SiteIndex> KitHistory::site_of_use(std::size_t use) const {
  return use_site_[use].has_value() ? std::optional(use_site_[use]) : std::nullopt;
}

std::vector<KitState> KitHistory::states(const Moment& at) const {
  std::vector<KitState> states;
  for (std::size_t k = 0; k < snapshot_.kit.size(); ++k)
    if (!snapshot_.kit[k].retired) states.push_back(state(KitIndex(k), at));
  return states;
}

}  // namespace brookmark::core
