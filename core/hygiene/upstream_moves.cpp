#include <algorithm>
#include <limits>
#include <map>

#include "core/base/text.hpp"
#include "core/hygiene/plain_words.hpp"
#include "core/hygiene/tracing.hpp"

namespace brookmark::core {

namespace {

constexpr std::int64_t kAlways = std::numeric_limits<std::int64_t>::min();
constexpr std::int64_t kNever = std::numeric_limits<std::int64_t>::max();

// Where the organism may be, and from when on; everything below is taken to have it as well.
struct Root {
  std::optional<SiteIndex> site;  // nothing: anywhere in the water
  std::int64_t from_min = kAlways;
};

class Upstream {
 public:
  Upstream(const Snapshot& snapshot, const SurveyWaters& waters, const KitHistory& history,
           const TraceQuery& query)
      : snapshot_(snapshot), waters_(waters), history_(history), query_(query) {
    const std::int64_t since = query.since ? span_of({*query.since, {}, {}}).from_min : kAlways;
    for (const SiteIndex place : query.places) roots_.push_back({place, since});
    if (roots_.empty()) roots_.push_back({std::nullopt, since});
    if (query.until) last_min_ = span_of({*query.until, {}, {}}).to_min;
  }

  std::vector<UpstreamMove> run() {
    // Each round may find new sites from which kit went on.
    for (std::size_t known = 0; known != roots_.size();) {
      known = roots_.size();
      for (std::size_t k = 0; k < snapshot_.kit.size(); ++k) follow(KitIndex(k));
    }
    std::vector<UpstreamMove> moves;
    for (auto& [site, move] : found_) moves.push_back(std::move(move));
    std::stable_sort(moves.begin(), moves.end(), [](const UpstreamMove& a, const UpstreamMove& b) {
      return a.step.in.when.from_min < b.step.in.when.from_min;
    });
    return moves;
  }

 private:
  // From when on the organism may be at a site; nothing: it is not known to be.
  std::optional<std::int64_t> exposed_from(SiteIndex site) const {
    std::optional<std::int64_t> from;
    for (const Root& root : roots_)
      if (!root.site || *root.site == site || down_m(*root.site, site))
        from = from ? std::min(*from, root.from_min) : root.from_min;
    return from;
  }

  // Each pair of sites is asked often.
  std::optional<double> down_m(SiteIndex upper, SiteIndex lower) const {
    const auto [known, fresh] = down_.emplace(std::pair(upper.value(), lower.value()), std::nullopt);
    if (fresh) known->second = waters_.down_m(upper, lower);
    return known->second;
  }

  // Cleanings that are enough, by their beginning; each with the least end of those from it on.
  std::vector<TimeSpan> cut_offs(KitIndex kit) const {
    std::vector<TimeSpan> spans;
    if (!query_.target) return spans;
    for (const std::size_t c : history_.cleanings(kit))
      if (is_enough(snapshot_.cleanings[c], *query_.target))
        spans.push_back(work_span_of(snapshot_.cleanings[c]));
    std::sort(spans.begin(), spans.end(),
              [](const TimeSpan& a, const TimeSpan& b) { return a.from_min < b.from_min; });
    for (std::size_t i = spans.size(); i-- > 1;)
      spans[i - 1].to_min = std::min(spans[i - 1].to_min, spans[i].to_min);
    return spans;
  }
  static std::int64_t reach_of(const std::vector<TimeSpan>& cut_offs, const KitStay& stay) {
    const auto after =
        std::upper_bound(cut_offs.begin(), cut_offs.end(), stay.until_min,
                         [](std::int64_t until, const TimeSpan& span) { return until < span.from_min; });
    return after == cut_offs.end() ? kNever : after->to_min;
  }

  void follow(KitIndex kit) {
    struct Low {
      const KitStay* stay;
      std::int64_t reach_min;
    };
    // Of each site that may have it, the stay that carries on longest.
    std::map<std::size_t, Low> lows;
    std::vector<const KitStay*> here;
    for (const KitStay& stay : history_.stays(kit))
      if (waters_.of(stay.site) == query_.origin && stay.when.from_min <= last_min_) here.push_back(&stay);
    if (here.size() < 2) return;
    std::map<std::size_t, std::optional<std::int64_t>> exposed;
    for (const KitStay* stay : here)
      if (!exposed.contains(stay->site.value())) exposed[stay->site.value()] = exposed_from(stay->site);
    const std::vector<TimeSpan> cleaned = cut_offs(kit);
    // By their end, so that what may have come before one may have come before the next too.
    std::vector<const KitStay*> highs = here;
    std::stable_sort(highs.begin(), highs.end(),
                     [](const KitStay* a, const KitStay* b) { return a->when.to_min < b->when.to_min; });
    std::size_t next = 0;
    for (const KitStay* high : highs) {
      // Those that may have come before it.
      for (; next < here.size() && here[next]->when.from_min <= high->when.to_min; ++next) {
        const auto from = exposed[here[next]->site.value()];
        if (!from || here[next]->when.to_min < *from) continue;
        const std::int64_t reach = reach_of(cleaned, *here[next]);
        const auto [known, fresh] = lows.emplace(here[next]->site.value(), Low{here[next], reach});
        if (!fresh && reach >= known->second.reach_min) known->second = {here[next], reach};
      }
      const auto known = found_.find(high->site.value());
      if (known != found_.end() && known->second.step.in.when.from_min <= high->when.from_min) continue;
      // Where it may be already by then, kit brings nothing new.
      const auto there = exposed[high->site.value()];
      if (!query_.places.empty() && there && *there <= high->when.from_min) continue;
      for (const auto& [site, low] : lows) {
        if (low.reach_min < high->when.from_min) continue;
        const auto metres = down_m(high->site, SiteIndex(site));
        if (!metres || *metres <= 0) continue;
        tell(kit, *low.stay, *high, *metres);
        break;
      }
    }
  }

  void tell(KitIndex kit, const KitStay& low, const KitStay& high, double metres) {
    UpstreamMove move{{kit, low, high, {}}, metres, !surely_before(low.when, high.when), ""};
    const auto place = [&](const KitStay& stay) {
      return std::string(snapshot_.sites.code[stay.site.value()]) + " on " +
             (stay.use ? plain_moment(snapshot_.kit_uses[*stay.use].when)
                       : plain_day(snapshot_.holdings[*stay.holding].since));
    };
    move.words = snapshot_.kit[kit.value()].code + ": " + place(low) + ", then " + plain_distance(metres) +
                 " further up at " + place(high);
    if (move.order_unsure)
      append_note(move.words, "which came first that day is not known, for a time of day is missing");
    found_[high.site.value()] = std::move(move);
    roots_.push_back({high.site, high.when.from_min});
  }

  const Snapshot& snapshot_;
  const SurveyWaters& waters_;
  const KitHistory& history_;
  const TraceQuery& query_;
  std::int64_t last_min_ = kNever;
  std::vector<Root> roots_;
  std::map<std::size_t, UpstreamMove> found_;  // by the higher site
  mutable std::map<std::pair<std::size_t, std::size_t>, std::optional<double>> down_;
};

}  // namespace

std::vector<UpstreamMove> upstream_moves(const Snapshot& snapshot, const SurveyWaters& waters,
                                         const KitHistory& history, const TraceQuery& query) {
  if (waters.sites(query.origin).size() < 2) return {};
  return Upstream(snapshot, waters, history, query).run();
}

}  // namespace brookmark::core
