// From one use of kit to the next, and down the channels: which waters were entered after one, with the kit of how many others.
#include <algorithm>
#include <limits>
#include <queue>
#include <unordered_set>
#include <utility>

#include "core/base/text.hpp"
#include "core/hygiene/plain_words.hpp"
#include "core/hygiene/tracing.hpp"

namespace brookmark::core {

namespace {

constexpr std::uint32_t kNone = std::numeric_limits<std::uint32_t>::max();
constexpr std::int64_t kNever = std::numeric_limits<std::int64_t>::max();
constexpr std::int64_t kLongestDay = 1440;  // an untimed use lies within one day

// From when on the organism may be at a site, and how it came there.
struct Exposure {
  std::int64_t from_min = kNever;
  std::uint32_t via = kNone;  // the entry that brought it into its water or one above; kNone: the origin
  std::optional<CarriedDown> water;  // from which water above; nothing: its water was entered
};

// One stay, in the order of its item's history.
struct Entry {
  std::uint32_t stay = 0, kit = 0;  // stay: in history.stays(kit)
  SiteIndex site;
  BodyIndex body;
  TimeSpan when;
  // Uses that begin after this are cut off by a cleaning that surely came after this one.
  std::int64_t reach_min = kNever;
  // Where it was reached: from which entry elsewhere, and how its site had become a source by then. Both were settled before, so
  // that a chain read backwards ends.
  std::uint32_t after = kNone;
  Exposure source;
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
        by_site_(snapshot.sites.size()),
        left_(snapshot.sites.size()),
        left_within_(snapshot.sites.size()),
        water_(snapshot.sites.size()),
        entered_(waters.size()),
        direct_(waters.size(), false),
        below_origin_(snapshot.sites.size(), false) {
    for (const WaterBelow& lower : waters.below(query.origin))
      for (const WaterFlow::SiteBelow& reached : lower.sites) below_origin_[reached.site.value()] = true;
    for (std::size_t k = 0; k < snapshot.kit.size(); ++k) add_kit(static_cast<std::uint32_t>(k));
    for (std::uint32_t e = 0; e < entries_.size(); ++e) by_site_[entries_[e].site.value()].push_back(e);
    // The latest last, so that what a site became a source for is taken from the back.
    for (std::size_t s = 0; s < by_site_.size(); ++s) {
      std::stable_sort(by_site_[s].begin(), by_site_[s].end(), [&](std::uint32_t x, std::uint32_t y) {
        return entries_[x].when.to_min < entries_[y].when.to_min;
      });
      left_[s] = left_within_[s] = by_site_[s].size();
    }
  }

  std::vector<TracedWater> run() {
    Unreached unreached(entries_.size()), unreached_within(entries_.size());
    expose(query_.origin, {query_.since ? span_of({*query_.since, {}, {}}).from_min
                                        : std::numeric_limits<std::int64_t>::min(),
                           kNone,
                           {}});
    while (!queue_.empty()) {
      const auto [from, site] = queue_.top();
      queue_.pop();
      const auto& rows = by_site_[site.value()];
      std::size_t& left = left_[site.value()];
      if (from == exposure(site).from_min)
        while (left > 0 && entries_[rows[left - 1]].when.to_min >= from) spread(rows[--left], unreached);
      if (from == water_[site.value()].from_min) spread_within(site, from, unreached_within);
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
      entry.site = stays[s].site;
      entry.body = waters_.of(entry.site);
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
    const auto [first, end] = may_follow(source);
    for (std::uint32_t e = unreached.from(first); e < end && entries_[e].when.from_min <= from.reach_min;
         e = unreached.from(e + 1)) {
      Entry& entry = entries_[e];
      if (entry.body == from.body) {
        // It spreads by itself, and everything that comes later; unless a live sample from before outlasts it.
        if (outlasts(e, source) && exposure(entry.site).from_min <= entry.when.to_min) return;
        continue;
      }
      if (entry.when.to_min < from.when.from_min) continue;
      const bool direct = from.body == query_.origin;
      // Where water from the origin arrives anyway, others bring nothing new.
      if (below_origin_[entry.site.value()] && !direct) continue;
      unreached.take(e);
      if (entry.body == query_.origin) continue;
      direct_[entry.body.value()] = direct_[entry.body.value()] || direct;
      enter(e, source, exposure(from.site));
    }
  }

  // Where only the water brought it, kit can carry it to those sites of the same water that are not reached.
  void spread_within(SiteIndex site, std::int64_t from, Unreached& unreached) {
    const BodyIndex body = waters_.of(site);
    std::vector<SiteIndex> apart;
    for (const SiteIndex other : waters_.sites(body))
      if (other != site && !below_origin_[other.value()] && !waters_.down_m(site, other))
        apart.push_back(other);
    if (body == query_.origin || apart.empty()) return;
    std::size_t& left = left_within_[site.value()];
    const auto& rows = by_site_[site.value()];
    while (left > 0 && entries_[rows[left - 1]].when.to_min >= from)
      spread_to(apart, rows[--left], unreached);
  }
  void spread_to(const std::vector<SiteIndex>& apart, std::uint32_t source, Unreached& unreached) {
    const Entry& from = entries_[source];
    const auto [first, end] = may_follow(source);
    for (std::uint32_t e = unreached.from(first); e < end && entries_[e].when.from_min <= from.reach_min;
         e = unreached.from(e + 1)) {
      const Entry& entry = entries_[e];
      if (entry.site == from.site && outlasts(e, source)) return;
      if (entry.when.to_min < from.when.from_min ||
          std::find(apart.begin(), apart.end(), entry.site) == apart.end())
        continue;
      unreached.take(e);
      enter(e, source, water_[from.site.value()]);
    }
  }

  // The stays of the same item that may have come after this one, and others before and after them.
  std::pair<std::uint32_t, std::uint32_t> may_follow(std::uint32_t source) const {
    const Entry& from = entries_[source];
    const auto end = from.kit + 1 < kit_begin_.size() ? kit_begin_[from.kit + 1]
                                                      : static_cast<std::uint32_t>(entries_.size());
    const auto first = std::lower_bound(entries_.begin() + kit_begin_[from.kit], entries_.begin() + end,
                                        from.when.from_min - kLongestDay,
                                        [](const Entry& e, std::int64_t at) { return e.when.from_min < at; });
    return {static_cast<std::uint32_t>(first - entries_.begin()), end};
  }

  // Whether the later of two stays in one water spreads all that the earlier one does after it.
  bool outlasts(std::uint32_t later, std::uint32_t earlier) const {
    return later > earlier && entries_[later].when.to_min >= entries_[earlier].when.to_min &&
           entries_[later].reach_min >= entries_[earlier].reach_min;
  }

  void enter(std::uint32_t e, std::uint32_t source, const Exposure& how) {
    Entry& entry = entries_[e];
    if (entry.after == kNone) {
      entry.after = source;
      entry.source = how;
    }
    if (entry.when.from_min < entered_[entry.body.value()].from_min)
      expose(entry.body, {entry.when.from_min, e, {}});
  }

  // All of a water, and what it runs to.
  void expose(BodyIndex body, const Exposure& how) {
    entered_[body.value()] = how;
    for (const SiteIndex site : waters_.sites(body)) queue_.emplace(how.from_min, site);
    for (const WaterBelow& lower : waters_.below(body))
      if (lower.body != query_.origin)
        for (const WaterFlow::SiteBelow& reached : lower.sites) {
          Exposure& known = water_[reached.site.value()];
          if (how.from_min >= known.from_min) continue;
          known = {how.from_min, how.via, CarriedDown{body, reached.distance_m}};
          queue_.emplace(how.from_min, reached.site);
        }
  }

  const Exposure& exposure(SiteIndex site) const {
    const Exposure& entered = entered_[waters_.of(site).value()];
    const Exposure& water = water_[site.value()];
    return water.from_min < entered.from_min ? water : entered;
  }

  std::vector<TracedWater> told() const {
    std::vector<TracedWater> traced;
    std::vector<std::vector<std::uint32_t>> contacts(entered_.size());
    for (std::uint32_t e = 0; e < entries_.size(); ++e)
      if (entries_[e].after != kNone) contacts[entries_[e].body.value()].push_back(e);
    for (std::size_t b = 0; b < entered_.size(); ++b) {
      if (entered_[b].via == kNone) continue;
      TracedWater water;
      water.body = BodyIndex(b);
      water.direct = direct_[b];
      water.when = entries_[entered_[b].via].when;
      for (std::uint32_t e = entered_[b].via; e != kNone;) {
        const std::uint32_t source = entries_[e].after;
        water.chain.push_back(
            {KitIndex(entries_[e].kit), stay_of(source), stay_of(e), entries_[e].source.water});
        water.by_water = water.by_water || entries_[e].source.water;
        water.order_unsure = water.order_unsure || !surely_before(entries_[source].when, entries_[e].when);
        e = entries_[e].source.via;
      }
      std::reverse(water.chain.begin(), water.chain.end());
      for (const TraceStep& step : water.chain)
        append_note(water.words, step_words(snapshot_, waters_, step));
      if (water.order_unsure)
        append_note(water.words, "which came first that day is not known, for a time of day is missing");
      tell_contacts(std::move(contacts[b]), entered_[b].via, water);
      traced.push_back(std::move(water));
    }
    std::stable_sort(traced.begin(), traced.end(), [](const TracedWater& a, const TracedWater& b) {
      return a.when.from_min < b.when.from_min;
    });
    return traced;
  }

  // All kit that came into the water after a source, and the sites at which it did; the entry that is told first.
  void tell_contacts(std::vector<std::uint32_t> contacts, std::uint32_t told_first,
                     TracedWater& water) const {
    std::stable_sort(contacts.begin(), contacts.end(), [&](std::uint32_t x, std::uint32_t y) {
      return std::pair(entries_[x].when.from_min, x != told_first) <
             std::pair(entries_[y].when.from_min, y != told_first);
    });
    std::unordered_set<std::uint32_t> kit;
    std::unordered_set<std::size_t> sites;
    for (const std::uint32_t e : contacts) {
      if (sites.insert(entries_[e].site.value()).second) water.sites.push_back(entries_[e].site);
      if (!kit.insert(entries_[e].kit).second) continue;
      water.kit.emplace_back(entries_[e].kit);
      if (e == told_first) continue;
      const KitStay& in = stay_of(e);
      append_note(water.words, "also " + snapshot_.kit[entries_[e].kit].code + ": " +
                                   std::string(snapshot_.sites.code[in.site.value()]) + " on " +
                                   (in.use ? plain_moment(snapshot_.kit_uses[*in.use].when)
                                           : plain_day(snapshot_.holdings[*in.holding].since)));
    }
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
  std::vector<std::vector<std::uint32_t>> by_site_;
  // Per site: how many of by_site_ have not spread yet, to other waters and within their own.
  std::vector<std::size_t> left_, left_within_;
  std::vector<Exposure> water_;  // per site: what runs there
  std::vector<Exposure>
      entered_;  // per water: its earliest entry; of the origin, from when it is taken as a source
  std::vector<bool> direct_;
  std::vector<bool> below_origin_;  // per site
  std::priority_queue<std::pair<std::int64_t, SiteIndex>, std::vector<std::pair<std::int64_t, SiteIndex>>,
                      std::greater<>>
      queue_;
};

}  // namespace

std::vector<TracedWater> trace_contacts(const Snapshot& snapshot, const SurveyWaters& waters,
                                        const KitHistory& history, const TraceQuery& query) {
  return Trace(snapshot, waters, history, query).run();
}

}  // namespace brookmark::core
