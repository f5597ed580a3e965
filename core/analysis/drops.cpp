#include "core/analysis/drops.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>
#include <utility>

#include "core/analysis/outfalls.hpp"
#include "core/base/text.hpp"
#include "core/network/channel_walk.hpp"
#include "core/scoring/score_internal.hpp"

namespace brookmark::core {
namespace {

// Samples of the sites of one place that can stand in a pair, oldest first.
std::vector<SampleIndex> samples_at(const Snapshot& snapshot, const ScoreTable& scores, std::size_t metric,
                                    std::span<const SiteIndex> sites, const Period& period) {
  const SampleColumns& samples = snapshot.samples;
  std::vector<SampleIndex> found;
  for (const SiteIndex site : sites) {
    const auto [first, last] = snapshot.samples_of(site);
    for (std::size_t s = first.value(); s < last.value() && samples.date[s] <= period.until; ++s) {
      if (!in_period(period, snapshot, SampleIndex(s))) continue;
      if (!speaks(snapshot, scores, metric, SampleIndex(s))) continue;
      // Of one day's samples the routine one, and of those one with a value.
      const auto rank = [&](std::size_t i) {
        return std::pair(samples.kind[i] != SampleKind::kRoutine, !scores.metrics[metric][i].has_value);
      };
      if (!found.empty() && samples.site[found.back().value()] == site &&
          samples.date[found.back().value()] == samples.date[s]) {
        if (rank(s) < rank(found.back().value())) found.back() = SampleIndex(s);
      } else {
        found.emplace_back(s);
      }
    }
  }
  std::stable_sort(found.begin(), found.end(), [&](SampleIndex a, SampleIndex b) {
    return samples.date[a.value()] < samples.date[b.value()];
  });
  return found;
}

bool protocols_agree(std::string_view a, std::string_view b) {
  const std::string x = fold_name(a), y = fold_name(b);
  return x.empty() || y.empty() || x == y;
}

class Pairing {
 public:
  Pairing(const Snapshot& snapshot, const ScoreTable& scores, std::size_t metric, const DropOptions& options)
      : snapshot_(snapshot),
        scores_(scores.metrics[metric]),
        metric_(scores.method->metrics[metric]),
        options_(options) {}

  std::vector<SamplePair> pairs(const std::vector<SampleIndex>& up,
                                const std::vector<SampleIndex>& down) const {
    const SampleColumns& samples = snapshot_.samples;
    struct Candidate {
      int apart;
      Date newer;
      std::size_t up, down;
    };
    std::vector<Candidate> candidates;
    std::size_t from = 0;
    for (std::size_t d = 0; d < down.size(); ++d) {
      const Date day = samples.date[down[d].value()];
      while (from < up.size() && samples.date[up[from].value()].days < day.days - options_.max_days_apart)
        ++from;
      for (std::size_t u = from; u < up.size(); ++u) {
        const Date other = samples.date[up[u].value()];
        if (other.days > day.days + options_.max_days_apart) break;
        if (season(up[u]) != season(down[d]) ||
            !protocols_agree(samples.protocol[up[u].value()], samples.protocol[down[d].value()]))
          continue;
        candidates.push_back({std::abs(other.days - day.days), std::max(other, day), u, d});
      }
    }
    std::sort(candidates.begin(), candidates.end(), [](const Candidate& a, const Candidate& b) {
      return std::tuple(a.apart, -a.newer.days, a.up, a.down) <
             std::tuple(b.apart, -b.newer.days, b.up, b.down);
    });
    std::vector<bool> up_used(up.size(), false), down_used(down.size(), false);
    std::vector<SamplePair> made;
    for (const Candidate& c : candidates) {
      if (up_used[c.up] || down_used[c.down]) continue;
      up_used[c.up] = down_used[c.down] = true;
      made.push_back(compared(up[c.up], down[c.down]));
    }
    std::sort(made.begin(), made.end(), [&](const SamplePair& a, const SamplePair& b) {
      return std::pair(samples.date[a.down.value()], samples.date[a.up.value()]) <
             std::pair(samples.date[b.down.value()], samples.date[b.up.value()]);
    });
    return made;
  }

 private:
  Season season(SampleIndex sample) const {
    const std::size_t s = sample.value();
    return season_of(snapshot_.samples.date[s],
                     snapshot_.sites.position[snapshot_.samples.site[s].value()].lat < 0);
  }

  SamplePair compared(SampleIndex up, SampleIndex down) const {
    const SampleScore &above = scores_[up.value()], &below = scores_[down.value()];
    SamplePair pair{
        up, down, season(down), {}, !above.has_value, !below.has_value, above.class_rank, below.class_rank};
    if (above.has_value && below.has_value)
      pair.fall = metric_.higher_is_better ? above.value - below.value : below.value - above.value;
    return pair;
  }

  const Snapshot& snapshot_;
  const std::vector<SampleScore>& scores_;
  const Metric& metric_;
  DropOptions options_;
};

// Outfalls on a channel, each with the places that its water reaches next.
struct OutfallWays {
  struct Way {
    std::uint32_t place;
    OutfallIndex outfall;
    double distance_m;
  };
  std::vector<Way> ways;             // by place
  std::vector<ChannelPoint> points;  // per outfall; not meant for one that has no way

  OutfallWays(const Snapshot& snapshot, const ChannelNetwork& network, const FlowNeighbours& flow) {
    points.resize(snapshot.outfalls.size());
    for (std::size_t o = 0; o < snapshot.outfalls.size(); ++o) {
      const auto point = network.snap(snapshot.outfalls[o].position);
      if (!point) continue;
      points[o] = *point;
      for (const NextPlace& next : flow.below(*point))
        ways.push_back({next.place, OutfallIndex(o), next.distance_m});
    }
    std::stable_sort(ways.begin(), ways.end(), [](const Way& a, const Way& b) { return a.place < b.place; });
  }

  void add_to(Drop& drop, std::uint32_t place, const Snapshot& snapshot, Date day) const {
    auto way = std::lower_bound(ways.begin(), ways.end(), place,
                                [](const Way& w, std::uint32_t p) { return w.place < p; });
    for (; way != ways.end() && way->place == place; ++way) {
      if (!in_use(snapshot.outfalls[way->outfall.value()], day)) continue;
      const ChannelPoint& at = points[way->outfall.value()];
      const auto& parts = drop.stretch.parts;
      const bool straight = std::any_of(parts.begin(), parts.end(), [&](const EdgePart& part) {
        return part.edge == at.edge && part.from_m <= at.along_m && at.along_m <= part.to_m;
      });
      drop.outfalls.push_back({way->outfall, way->distance_m, !straight});
    }
    std::stable_sort(
        drop.outfalls.begin(), drop.outfalls.end(),
        [](const StretchOutfall& a, const StretchOutfall& b) { return a.distance_m > b.distance_m; });
  }
};

void take_tributaries(const Snapshot& snapshot, const ChannelNetwork& network, Drop& drop) {
  for (const SideChannel& side : drop.stretch.enters) {
    const StretchTributary one{network.edges()[side.edge].reach, side.distance_m};
    const std::string& name = snapshot.reaches[one.reach.value()].name;
    std::erase_if(drop.tributaries, [&](const StretchTributary& t) {
      return t.reach == one.reach || (!name.empty() && snapshot.reaches[t.reach.value()].name == name);
    });
    drop.tributaries.push_back(one);
  }
}

void add_note(std::string& note, const std::string& sentence) {
  note += (note.empty() ? "" : "; ") + sentence;
}

std::string code_of(const Snapshot& snapshot, SiteIndex site) {
  return std::string(snapshot.sites.code[site.value()]);
}

void take_note(const Snapshot& snapshot, const DropOptions& options, Drop& drop) {
  const auto collapse = [&](SiteIndex site) {
    add_note(drop.note, "a collapse at " + code_of(snapshot, site) +
                            ": looked for, and nothing of the method's table found, so there is no value");
  };
  if (const SamplePair* pair = drop.newest()) {
    if (pair->collapse_up) collapse(drop.up);
    if (pair->collapse_down) collapse(drop.down);
    const bool up_known = !snapshot.samples.protocol[pair->up.value()].empty();
    if (up_known != !snapshot.samples.protocol[pair->down.value()].empty())
      add_note(drop.note, "the protocol of one of the two samples was not noted");
    if (drop.is_worse() && drop.outfalls.empty() && drop.tributaries.empty())
      add_note(drop.note, "unexplained: nothing in the survey enters between the two");
  } else {
    add_note(drop.note, "no two samples of one season and protocol within " +
                            std::to_string(options.max_days_apart) + " days");
  }
}

// Worst first: what is left of the order when both are equal is settled by length and code.
std::tuple<int, int, double> badness(const Drop& drop) {
  const SamplePair* pair = drop.newest();
  if (pair == nullptr) return {3, 0, 0};
  if (!pair->fall) return {pair->is_worse() ? 0 : 2, 0, 0};
  const bool classes = pair->rank_up > 0 && pair->rank_down > 0;
  return {1, classes ? pair->rank_up - pair->rank_down : 0, -*pair->fall};
}

}  // namespace

std::vector<Drop> find_drops(const Snapshot& snapshot, const ScoreTable& scores, std::size_t metric,
                             const ChannelNetwork& network, const Period& period,
                             const DropOptions& options) {
  const SiteChain chain(snapshot, scores, metric, network, period, options.only);
  const OutfallWays outfalls(snapshot, network, chain.flow);
  const Pairing pairing(snapshot, scores, metric, options);
  const auto count = static_cast<std::uint32_t>(chain.points.size());
  std::vector<std::vector<SampleIndex>> samples(count);
  for (std::uint32_t p = 0; p < count; ++p)
    if (chain.flow.same_place(p) == p)
      samples[p] = samples_at(snapshot, scores, metric, chain.sites_at(p), period);

  std::vector<Drop> drops;
  for (std::uint32_t up = 0; up < count; ++up) {
    if (chain.flow.same_place(up) != up) continue;
    for (const NextPlace& next : chain.flow.below(up)) {
      Drop drop;
      drop.up = chain.sites[up];
      drop.down = chain.sites[next.place];
      drop.stretch = chain.flow.stretch(up, next.place);
      drop.pairs = pairing.pairs(samples[up], samples[next.place]);
      Date day = period.until;
      if (const SamplePair* pair = drop.newest()) {
        drop.up = snapshot.samples.site[pair->up.value()];
        drop.down = snapshot.samples.site[pair->down.value()];
        day = snapshot.samples.date[pair->down.value()];
      }
      outfalls.add_to(drop, next.place, snapshot, day);
      take_tributaries(snapshot, network, drop);
      take_note(snapshot, options, drop);
      const auto moved = [&](std::uint32_t place) {
        if (chain.points[place].snap_m > kSnapToMentionM)
          add_note(drop.note, code_of(snapshot, chain.sites[place]) + " was moved " +
                                  format_fixed(chain.points[place].snap_m, 0) + " m to the channel");
      };
      moved(up);
      moved(next.place);
      const auto back = chain.flow.below(next.place);
      if (std::any_of(back.begin(), back.end(), [&](const NextPlace& n) { return n.place == up; }))
        add_note(drop.note, "the two lie on a circle of channels: each is below the other");
      drops.push_back(std::move(drop));
    }
  }
  std::stable_sort(drops.begin(), drops.end(), [](const Drop& a, const Drop& b) {
    return std::tuple(badness(a), a.stretch.length_m, a.up, a.down) <
           std::tuple(badness(b), b.stretch.length_m, b.up, b.down);
  });
  return drops;
}

std::vector<Drop> drops_within(const Snapshot& snapshot, const ChannelNetwork& network, const Drop& whole,
                               std::span<const Drop> drops) {
  constexpr double kSameM = 0.5;  // lengths are added up from pieces
  const SiteColumns& sites = snapshot.sites;
  const auto point = [&](SiteIndex site) {
    return network.snap(sites.position[site.value()],
                        snap_limit_m(sites.kind[site.value()], network.options()));
  };
  const auto up = point(whole.up), down = point(whole.down);
  std::vector<std::pair<double, const Drop*>> on_the_way;
  if (!up || !down) return {};
  ChannelWalk from_up(network), from_down(network);
  from_up.start(*up, Direction::kDownstream, whole.stretch.length_m + kSameM);
  from_down.start(*down, Direction::kUpstream, whole.stretch.length_m + kSameM);
  for (const Drop& drop : drops) {
    const auto first = point(drop.up), last = point(drop.down);
    if (!first || !last) continue;
    const auto before_m = from_up.distance_m(*first), after_m = from_down.distance_m(*last);
    if (before_m && after_m &&
        *before_m + drop.stretch.length_m + *after_m <= whole.stretch.length_m + kSameM)
      on_the_way.emplace_back(*before_m, &drop);
  }
  std::stable_sort(on_the_way.begin(), on_the_way.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  std::vector<Drop> within;
  for (const auto& [metres, drop] : on_the_way) within.push_back(*drop);
  return within;
}

std::string outfalls_text(const Snapshot& snapshot, const Drop& drop) {
  std::string words;
  for (const StretchOutfall& found : drop.outfalls) {
    const Outfall& outfall = snapshot.outfalls[found.outfall.value()];
    words += (words.empty() ? "" : "; ") + outfall.code + " " +
             (outfall.kind == OutfallKind::kUnknown ? "of unknown kind" : outfall_kind_name(outfall.kind)) +
             ", " + format_fixed(found.distance_m, 0) + " m above " + code_of(snapshot, drop.down) +
             (found.from_side ? ", from the side" : "");
  }
  return words;
}

std::string tributaries_text(const Snapshot& snapshot, const Drop& drop) {
  std::string words;
  for (const StretchTributary& found : drop.tributaries) {
    const std::string& name = snapshot.reaches[found.reach.value()].name;
    words += (words.empty() ? "" : "; ") +
             (name.empty() ? "reach " + std::to_string(found.reach.value() + 1) : name) + ", " +
             format_fixed(found.distance_m, 0) + " m above " + code_of(snapshot, drop.down);
  }
  return words;
}

}  // namespace brookmark::core
