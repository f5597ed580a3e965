#include "core/design/spread.hpp"

#include <algorithm>
#include <map>
#include <numeric>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/design/balanced_sample.hpp"
#include "core/design/neighbour_tree_internal.hpp"
#include "core/network/stream_order.hpp"

namespace brookmark::core {
namespace {

// Names the stratum of a spot.
class StratumOf {
 public:
  StratumOf(const DesignSource& source, Strata strata) : source_(source), strata_(strata) {
    if (strata == Strata::kOrder) figures_ = stream_figures(source.network.graph());
    if (strata != Strata::kCatchment) return;
    const CatchmentChannels inside = channels_in_catchments(source.snapshot, source.network);
    inside_.resize(source.network.edges().size());
    for (std::size_t c = 0; c < inside.inside.size(); ++c)
      for (const EdgePart& part : inside.inside[c]) inside_[part.edge].push_back({part, c});
  }

  std::string operator()(const Spot& spot) const {
    switch (strata_) {
      case Strata::kKind:
        if (spot.water.has_value()) return water_kind_name(source_.snapshot.waters[spot.water.value()].kind);
        return source_.network.graph().is_two_way(spot.edge) ? "channel that runs either way" : "channel";
      case Strata::kOrder:
        return spot.water.has_value() ? "water" : "stream order " + std::to_string(figures_.order[spot.edge]);
      case Strata::kCatchment:
        return catchment(spot);
      case Strata::kNone:
        break;
    }
    return {};
  }

 private:
  struct Inside {
    EdgePart part;
    std::size_t catchment;
  };

  std::string catchment(const Spot& spot) const {
    std::optional<std::size_t> smallest;
    const auto offer = [&](std::size_t c) {
      if (!smallest || source_.nesting.area_m2[c] < source_.nesting.area_m2[*smallest]) smallest = c;
    };
    if (spot.edge != Spot::kOffChannel) {
      for (const Inside& inside : inside_[spot.edge])
        if (inside.part.from_m <= spot.along_m && spot.along_m <= inside.part.to_m) offer(inside.catchment);
    } else {
      for (std::size_t c = 0; c < source_.snapshot.catchments.size(); ++c)
        if (contains(source_.snapshot.catchments[c].shape, spot.position)) offer(c);
    }
    if (!smallest) return "outside every catchment";
    const Catchment& found = source_.snapshot.catchments[*smallest];
    return "catchment " + (found.code.empty() ? found.name : found.code);
  }

  const DesignSource& source_;
  Strata strata_;
  StreamFigures figures_;
  std::vector<std::vector<Inside>> inside_;  // per edge
};

struct Stratum {
  std::string name;
  std::vector<std::uint32_t> spots;
  std::vector<PlanePoint> plane, sites;  // of the spots; of the sites there
  std::vector<double> sizes, chances;
  double size = 0;

  void draw_chances(std::size_t points) {
    chances = inclusion_chances(sizes, static_cast<double>(points + sites.size()));
    if (sites.empty()) return;
    NeighbourTree tree(plane);
    std::vector<std::uint32_t> ties;
    for (const PlanePoint& site : sites) {
      double left = 1;
      while (left > 0) {
        tree.nearest(site, static_cast<std::uint32_t>(plane.size()), ties);
        if (ties.empty()) break;
        const std::uint32_t spot = *std::min_element(ties.begin(), ties.end());
        const double taken = std::min(left, chances[spot]);
        chances[spot] -= taken;
        left -= taken;
        if (chances[spot] <= 1e-12) {
          chances[spot] = 0;
          tree.remove(spot);
        }
      }
    }
  }
};

// The spot that speaks for a site: the nearest one on its channel, else the nearest at a water, within the snapping distance.
class SiteStrata {
 public:
  SiteStrata(const DesignSource& source, const SpotFrame& found) : source_(source), spots_(found.spots) {}

  // By edge and along it; nothing for a site on no channel, or on a stretch without spots.
  std::optional<std::uint32_t> spot_of(std::size_t site) const {
    const SiteColumns& sites = source_.snapshot.sites;
    const auto point =
        source_.network.snap(sites.position[site], snap_limit_m(sites.kind[site], source_.network.options()));
    if (!point) return water_spot(sites.position[site]);
    const auto before = [](const Spot& s, const ChannelPoint& p) {
      return s.edge < p.edge || (s.edge == p.edge && s.along_m < p.along_m);
    };
    const auto next = std::lower_bound(spots_.begin(), spots_.end(), *point, before);
    std::optional<std::uint32_t> best;
    double best_m = 0;
    for (const auto spot : {next, next == spots_.begin() ? next : next - 1}) {
      if (spot == spots_.end() || spot->edge != point->edge) continue;
      const double m = std::abs(spot->along_m - point->along_m);
      if (best && m >= best_m) continue;
      best = static_cast<std::uint32_t>(spot - spots_.begin());
      best_m = m;
    }
    return best;
  }

 private:
  // A site within a water's shape speaks for that water.
  std::optional<std::uint32_t> water_spot(LonLat site) const {
    for (std::size_t i = spots_.size(); i-- > 0 && spots_[i].water.has_value();)
      if (contains(source_.snapshot.waters[spots_[i].water.value()].shape, site) ||
          geodesic_m(site, spots_[i].position) <= source_.network.options().still_water_snap_m)
        return static_cast<std::uint32_t>(i);
    return std::nullopt;
  }

  const DesignSource& source_;
  const std::vector<Spot>& spots_;
};

std::string size_words(double size, bool waters) {
  if (waters) return format_fixed(size, 0) + (size == 1 ? " water" : " waters");
  return size < 1000 ? format_fixed(size, 0) + " m of channel"
                     : format_fixed(size / 1000, 1) + " km of channel";
}

}  // namespace

std::vector<std::size_t> share_points(std::span<const double> sizes, std::span<const std::size_t> there,
                                      std::span<const std::size_t> most, std::size_t points) {
  std::vector<std::size_t> given(sizes.size(), 0), by_size(sizes.size());
  std::iota(by_size.begin(), by_size.end(), std::size_t{0});
  std::stable_sort(by_size.begin(), by_size.end(),
                   [&](std::size_t a, std::size_t b) { return sizes[a] > sizes[b]; });
  for (const std::size_t s : by_size) {
    if (points == 0) return given;
    if (there[s] > 0 || most[s] == 0) continue;
    given[s] = 1;
    --points;
  }
  for (; points > 0; --points) {
    std::optional<std::size_t> best;
    double best_rate = 0;
    for (const std::size_t s : by_size) {
      const double rate = sizes[s] / (static_cast<double>(there[s] + given[s]) + 0.5);
      if (given[s] >= most[s] || (best && rate <= best_rate)) continue;
      best = s;
      best_rate = rate;
    }
    if (!best) break;
    ++given[*best];
  }
  return given;
}

Suggestions suggest_spread(const DesignSource& source, const DesignOptions& options,
                           const SpreadOptions& spread) {
  if (options.count == 0) throw Error(ErrorCode::kBadUse, "ask for one spot at least");
  const LocalFrame frame(source.snapshot.centre().value_or(LonLat{}));
  const KeepOut keep_out(source.snapshot, options.keep_out, frame);
  const SpotFrame found =
      find_spots(source.snapshot, source.network, options.area, options.spots, keep_out, frame);
  Suggestions suggestions;
  suggestions.spots = found.spots.size();
  suggestions.left_out = found.left_out;

  const StratumOf stratum_of(source, spread.strata);
  std::map<std::string, std::size_t> number;
  std::vector<Stratum> strata;
  std::vector<std::size_t> of_spot(found.spots.size(), 0);
  const bool plain = spread.strata == Strata::kNone;
  if (plain) strata.emplace_back();
  const bool waters_alone = options.spots.on == SpotOn::kWaters;
  // Where channels and waters are drawn together one water weighs as one spot of channel.
  const double water_size = waters_alone ? 1 : found.spacing_m;
  for (std::uint32_t i = 0; i < found.spots.size(); ++i) {
    const Spot& spot = found.spots[i];
    if (!plain) {
      const auto [at, is_new] = number.try_emplace(stratum_of(spot), strata.size());
      if (is_new) strata.emplace_back().name = at->first;
      of_spot[i] = at->second;
    }
    Stratum& stratum = strata[of_spot[i]];
    stratum.spots.push_back(i);
    stratum.plane.push_back(spot.plane);
    stratum.sizes.push_back(spot.water.has_value() ? water_size : spot.length_m);
    stratum.size += stratum.sizes.back();
  }
  std::size_t sites_there = 0, unplaced = 0;
  if (spread.count_sites) {
    const SiteStrata site_strata(source, found);
    const SiteColumns& sites = source.snapshot.sites;
    for (std::size_t s = 0; s < sites.size(); ++s) {
      if (sites.status[s] == SiteStatus::kRetired) continue;
      if (!is_placed(sites.position[s])) {
        ++unplaced;
      } else if (const auto spot = site_strata.spot_of(s)) {
        strata[of_spot[*spot]].sites.push_back(found.spots[*spot].plane);
        ++sites_there;
      }
    }
  }

  std::vector<double> sizes;
  std::vector<std::size_t> there, most;
  for (const Stratum& stratum : strata) {
    sizes.push_back(stratum.size);
    there.push_back(stratum.sites.size());
    most.push_back(stratum.spots.size() > stratum.sites.size() ? stratum.spots.size() - stratum.sites.size()
                                                               : 0);
  }
  const std::vector<std::size_t> points = share_points(sizes, there, most, options.count);
  for (std::size_t s = 0; s < strata.size(); ++s) {
    Stratum& stratum = strata[s];
    if (points[s] == 0) continue;
    stratum.draw_chances(points[s]);
    Random random(options.seed, stream_of("spread " + stratum.name));
    for (const std::uint32_t i : balanced_sample(stratum.plane, stratum.chances, random)) {
      Suggestion one;
      one.purpose = Purpose::kSpread;
      one.spot = found.spots[stratum.spots[i]];
      one.stratum = stratum.name;
      one.chance = stratum.chances[i];
      one.weight = 1 / stratum.chances[i];
      one.stands_for = (one.spot.water.has_value() ? 1 : one.spot.length_m) * *one.weight;
      one.reason =
          (points[s] == 1 ? "drawn from " : "one of " + std::to_string(points[s]) + " spread evenly over ") +
          size_words(stratum.size, waters_alone) + (stratum.name.empty() ? "" : " of " + stratum.name) +
          (stratum.sites.empty()
               ? ""
               : ", beside " + std::to_string(stratum.sites.size()) +
                     (stratum.sites.size() == 1 ? " site" : " sites") + " that are there already") +
          "; it stands for " + size_words(*one.stands_for, one.spot.water.has_value());
      suggestions.list.push_back(std::move(one));
    }
  }
  if (suggestions.list.size() < options.count)
    suggestions.notes.push_back(
        "only " + std::to_string(suggestions.list.size()) + " of the " + std::to_string(options.count) +
        " spots asked for fit: " + std::to_string(found.spots.size()) + " are free in " + options.area.words +
        (sites_there > 0 ? ", some of them spoken for by sites that are there" : ""));
  if (unplaced > 0)
    suggestions.notes.push_back(std::to_string(unplaced) + (unplaced == 1 ? " site has" : " sites have") +
                                " no position and could not be counted in");
  add_facts(suggestions, source);
  return suggestions;
}

}  // namespace brookmark::core
