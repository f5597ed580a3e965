#include "core/hygiene/tracing.hpp"

#include <algorithm>
#include <limits>
#include <queue>

#include "core/base/text.hpp"
#include "core/hygiene/plain_words.hpp"

namespace brookmark::core {

namespace {

constexpr std::uint32_t kNone = std::numeric_limits<std::uint32_t>::max();
constexpr std::int64_t kNever = std::numeric_limits<std::int64_t>::max();
constexpr std::int64_t kLongestDay = 1440;  // an untimed use lies within one day

// One stay, in the order of its item's history.
struct Entry {
  std::uint32_t stay = 0, kit = 0;  // stay: in history.stays(kit)
  BodyIndex body;
  TimeSpan when;
  // Uses that begin after this are cut off by a cleaning that surely came after this one.
  std::int64_t reach_min = kNever;
  // Where it was reached: from which entry in another water, and how that water had become a source by then (kNone:
  // it is the origin). Both were settled before, so that a chain read backwards ends.
  std::uint32_t after = kNone, via = kNone;
};

// Entries not yet reached are found by jumping over those that were.
class Unreached {
 public:
  explicit Unreached(std::size_t count) : next_(count + 1) {
    for (std::size_t i = 0; i <= count; ++i) next_[i] = static_cast<std::uint32_t>(i);
  }
  std::uint32_t from(std::uint32_t at) {
    std::uint32_t root = at;
    while (next_[root] != root) root = next_[root];
    while (next_[at] != root) at = std::exchange(next_[at], root);
    return root;
  }
  void take(std::uint32_t at) { next_[at] = at + 1; }

 private:
  std::vector<std::uint32_t> next_;
};

class Trace {
 public:
  Trace(const Snapshot& snapshot, const SurveyWaters& waters, const KitHistory& history,
        const TraceQuery& query)
      : snapshot_(snapshot),
        waters_(waters),
        history_(history),
        query_(query),
        by_body_(waters.size()),
        left_(waters.size()),
        from_min_(waters.size(), kNever),
        best_(waters.size(), kNone),
        direct_(waters.size(), false) {
    for (std::size_t k = 0; k < snapshot.kit.size(); ++k) add_kit(static_cast<std::uint32_t>(k));
    for (std::uint32_t e = 0; e < entries_.size(); ++e) by_body_[entries_[e].body.value()].push_back(e);
    // The latest last, so that what a water became a source for is taken from the back.
    for (std::size_t b = 0; b < by_body_.size(); ++b) {
      std::stable_sort(by_body_[b].begin(), by_body_[b].end(), [&](std::uint32_t x, std::uint32_t y) {
        return entries_[x].when.to_min < entries_[y].when.to_min;
      });
      left_[b] = by_body_[b].size();
    }
  }

  std::vector<TracedWater> run() {
    Unreached unreached(entries_.size());
    const std::size_t origin = query_.origin.value();
    from_min_[origin] =
        query_.since ? span_of({*query_.since, {}, {}}).from_min : std::numeric_limits<std::int64_t>::min();
    queue_.emplace(from_min_[origin], query_.origin);
    while (!queue_.empty()) {
      const auto [from, body] = queue_.top();
      queue_.pop();
      if (from != from_min_[body.value()]) continue;
      std::size_t& left = left_[body.value()];
      const auto& rows = by_body_[body.value()];
      while (left > 0 && entries_[rows[left - 1]].when.to_min >= from) spread(rows[--left], unreached);
    }
    return told();
  }

 private:
  void add_kit(std::uint32_t kit) {
    const auto cleanings = effective(kit);
    kit_begin_.push_back(static_cast<std::uint32_t>(entries_.size()));
    const auto stays = history_.stays(KitIndex(kit));
    const std::int64_t last_min =
        query_.until ? span_of({*query_.until, {}, {}}).to_min : std::numeric_limits<std::int64_t>::max();
    for (std::size_t s = 0; s < stays.size() && stays[s].when.from_min <= last_min; ++s) {
      Entry entry;
      entry.stay = static_cast<std::uint32_t>(s);
      entry.kit = kit;
      entry.body = waters_.of(stays[s].site);
      entry.when = stays[s].when;
      entries_.push_back(entry);
    }
    // The least end of the cleanings that count after a stay: by walking both from the back.
    std::vector<std::uint32_t> by_end;
    for (std::size_t e = kit_begin_.back(); e < entries_.size(); ++e)
      by_end.push_back(static_cast<std::uint32_t>(e));
    const auto until_min = [&](std::uint32_t e) { return stays[entries_[e].stay].until_min; };
    std::stable_sort(by_end.begin(), by_end.end(),
                     [&](std::uint32_t x, std::uint32_t y) { return until_min(x) > until_min(y); });
    std::size_t c = cleanings.size();
    std::int64_t least = kNever;
    for (const std::uint32_t e : by_end) {
      while (c > 0 && cleanings[c - 1].from_min > until_min(e))
        least = std::min(least, cleanings[--c].to_min);
      entries_[e].reach_min = least;
    }
  }

  // Those that are enough, by their beginning.
  std::vector<TimeSpan> effective(std::uint32_t kit) const {
    std::vector<TimeSpan> spans;
    if (!query_.target) return spans;
    for (const std::size_t c : history_.cleanings(KitIndex(kit)))
      if (is_enough(snapshot_.cleanings[c], *query_.target))
        spans.push_back(work_span_of(snapshot_.cleanings[c]));
    std::sort(spans.begin(), spans.end(),
              [](const TimeSpan& a, const TimeSpan& b) { return a.from_min < b.from_min; });
    return spans;
  }

  // From one use in a source, to the uses of the same item that may have come after it.
  void spread(std::uint32_t source, Unreached& unreached) {
    const Entry& from = entries_[source];
    const auto end = from.kit + 1 < kit_begin_.size() ? kit_begin_[from.kit + 1]
                                                      : static_cast<std::uint32_t>(entries_.size());
    const auto first = std::lower_bound(entries_.begin() + kit_begin_[from.kit], entries_.begin() + end,
                                        from.when.from_min - kLongestDay,
                                        [](const Entry& e, std::int64_t at) { return e.when.from_min < at; });
    for (std::uint32_t e = unreached.from(static_cast<std::uint32_t>(first - entries_.begin()));
         e < end && entries_[e].when.from_min <= from.reach_min; e = unreached.from(e + 1)) {
      Entry& entry = entries_[e];
      if (entry.body == from.body) {
        // It spreads by itself, and everything that comes later; unless a live sample from before outlasts it.
        if (e > source && entry.when.to_min >= from.when.to_min && entry.reach_min >= from.reach_min) return;
        continue;
      }
      if (entry.when.to_min < from.when.from_min) continue;
      unreached.take(e);
      if (entry.body == query_.origin) continue;
      entry.after = source;
      entry.via = best_[from.body.value()];
      reach(e, from.body == query_.origin);
    }
  }

  void reach(std::uint32_t e, bool direct) {
    const std::size_t body = entries_[e].body.value();
    direct_[body] = direct_[body] || direct;
    const std::int64_t from = entries_[e].when.from_min;
    if (from >= from_min_[body]) return;
    from_min_[body] = from;
    best_[body] = e;
    queue_.emplace(from, entries_[e].body);
  }

  std::vector<TracedWater> told() const {
    std::vector<TracedWater> traced;
    for (std::size_t b = 0; b < best_.size(); ++b) {
      if (best_[b] == kNone) continue;
      TracedWater water;
      water.body = BodyIndex(b);
      water.direct = direct_[b];
      water.when = entries_[best_[b]].when;
      for (std::uint32_t e = best_[b]; e != kNone;) {
        const std::uint32_t source = entries_[e].after;
        water.chain.push_back({KitIndex(entries_[e].kit), stay_of(source), stay_of(e)});
        water.order_unsure = water.order_unsure || !surely_before(entries_[source].when, entries_[e].when);
        e = entries_[e].via;
      }
      std::reverse(water.chain.begin(), water.chain.end());
      for (const TraceStep& step : water.chain)
        append_note(water.words, step_words(snapshot_, waters_, step));
      if (water.order_unsure)
        append_note(water.words, "which came first that day is not known, for a time of day is missing");
      traced.push_back(std::move(water));
    }
    std::stable_sort(traced.begin(), traced.end(), [](const TracedWater& a, const TracedWater& b) {
      return a.when.from_min < b.when.from_min;
    });
    return traced;
  }

  const KitStay& stay_of(std::uint32_t entry) const {
    return history_.stays(KitIndex(entries_[entry].kit))[entries_[entry].stay];
  }

  const Snapshot& snapshot_;
  const SurveyWaters& waters_;
  const KitHistory& history_;
  const TraceQuery& query_;
  std::vector<Entry> entries_;  // item by item
  std::vector<std::uint32_t> kit_begin_;
  std::vector<std::vector<std::uint32_t>> by_body_;
  std::vector<std::size_t> left_;  // per water: how many of by_body_ have not spread yet
  std::vector<std::int64_t> from_min_;
  std::vector<std::uint32_t> best_;
  std::vector<bool> direct_;
  std::priority_queue<std::pair<std::int64_t, BodyIndex>, std::vector<std::pair<std::int64_t, BodyIndex>>,
                      std::greater<>>
      queue_;
};

}  // namespace

std::string step_words(const Snapshot& snapshot, const SurveyWaters& waters, const TraceStep& step) {
  const auto water = [&](const KitStay& stay) { return waters.name(waters.of(stay.site)); };
  const auto place = [&](const KitStay& stay) {
    return water(stay) + " on " +
           (stay.use ? plain_moment(snapshot.kit_uses[*stay.use].when)
                     : plain_day(snapshot.holdings[*stay.holding].since));
  };
  const std::string& code = snapshot.kit[step.kit.value()].code;
  if (step.out.holding) {
    const Holding& held = snapshot.holdings[*step.out.holding];
    // What went into a water while the sample was in the vessel, or as it was put there.
    if (step.in.when.from_min <= step.out.until_min)
      return code + " with " + (held.what.empty() ? "a live sample" : held.what) + " of " + water(step.out) +
             " since " + plain_day(held.since) + ", then " + place(step.in);
  }
  return code + ": " + place(step.out) + ", then " + place(step.in);
}

std::vector<TracedWater> trace_contacts(const Snapshot& snapshot, const SurveyWaters& waters,
                                        const KitHistory& history, const TraceQuery& query) {
  return Trace(snapshot, waters, history, query).run();
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
