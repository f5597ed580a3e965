#include "core/hygiene/tracing.hpp"

#include <algorithm>
#include <limits>
#include <queue>

#include "core/base/text.hpp"

namespace brookmark::core {

namespace {

constexpr std::uint32_t kNone = std::numeric_limits<std::uint32_t>::max();
constexpr std::int64_t kNever = std::numeric_limits<std::int64_t>::max();
constexpr std::int64_t kLongestDay = 1440;  // an untimed use lies within one day

// One use, in the order of its item's history.
struct Entry {
  std::uint32_t use = 0, kit = 0;
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
    for (const std::size_t use : history_.uses(KitIndex(kit))) {
      Entry entry;
      entry.use = static_cast<std::uint32_t>(use);
      entry.kit = kit;
      entry.body = waters_.of(*history_.site_of_use(use));
      entry.when = span_of(snapshot_.kit_uses[use].when);
      entries_.push_back(entry);
    }
    // The least end of the cleanings that begin after a use ends: by walking both from the back.
    std::vector<std::uint32_t> by_end;
    for (std::size_t e = kit_begin_.back(); e < entries_.size(); ++e)
      by_end.push_back(static_cast<std::uint32_t>(e));
    std::stable_sort(by_end.begin(), by_end.end(), [&](std::uint32_t x, std::uint32_t y) {
      return entries_[x].when.to_min > entries_[y].when.to_min;
    });
    std::size_t c = cleanings.size();
    std::int64_t least = kNever;
    for (const std::uint32_t e : by_end) {
      while (c > 0 && cleanings[c - 1].from_min > entries_[e].when.to_min)
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
        // It spreads by itself, and everything that comes later.
        if (e > source && entry.when.to_min >= from.when.to_min) return;
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
        water.chain.push_back({entries_[source].use, entries_[e].use});
        water.order_unsure = water.order_unsure || !surely_before(entries_[source].when, entries_[e].when);
        e = entries_[e].via;
      }
      std::reverse(water.chain.begin(), water.chain.end());
      for (const TraceStep& step : water.chain) append_note(water.words, step_words(step));
      if (water.order_unsure)
        append_note(water.words, "which came first that day is not known, for a time of day is missing");
      traced.push_back(std::move(water));
    }
    std::stable_sort(traced.begin(), traced.end(), [](const TracedWater& a, const TracedWater& b) {
      return a.when.from_min < b.when.from_min;
    });
    return traced;
  }

  std::string step_words(const TraceStep& step) const {
    const auto place = [&](std::size_t use) {
      return waters_.name(waters_.of(*history_.site_of_use(use))) + " " +
             format_moment(snapshot_.kit_uses[use].when);
    };
    std::string code;
    for (const Kit& kit : snapshot_.kit)
      if (kit.key == snapshot_.kit_uses[step.out_use].kit_key) code = kit.code;
    return code + ": " + place(step.out_use) + ", then " + place(step.in_use);
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

std::vector<TracedWater> trace_contacts(const Snapshot& snapshot, const SurveyWaters& waters,
                                        const KitHistory& history, const TraceQuery& query) {
  return Trace(snapshot, waters, history, query).run();
}

}  // namespace brookmark::core
