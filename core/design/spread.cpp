#include "core/design/spread.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numeric>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/design/balanced_sample.hpp"
#include "core/design/legacy_sites.hpp"
#include "core/design/spread_account_internal.hpp"
#include "core/design/spread_strata_internal.hpp"

namespace brookmark::core {
namespace {

constexpr double kPi = 3.14159265358979323846;

struct Stratum {
  std::string name;
  bool waters = false;  // else of metres of channel
  std::vector<std::uint32_t> spots;
  std::vector<PlanePoint> plane;
  std::vector<double> sizes;  // metres, or 1 for a water
  std::vector<LegacySite> sites;
  double size = 0;
  std::size_t points = 0;

  // The radius of the patch of one point, where all is parted among points and sites.
  double patch_radius_m() const {
    const auto parts = static_cast<double>(points + sites.size());
    return waters ? std::sqrt(convex_area_m2(plane) / parts / kPi) : size / parts / 2;
  }
  // At which sites stand, each once.
  std::vector<std::uint32_t> taken() const {
    std::vector<std::uint32_t> units;
    for (const LegacySite& site : sites) units.push_back(site.unit);
    std::sort(units.begin(), units.end());
    units.erase(std::unique(units.begin(), units.end()), units.end());
    return units;
  }
};

std::vector<Stratum> strata_of(const DesignSource& source, const SpotFrame& found, Strata by, SpotOn on,
                               std::vector<std::uint32_t>& of_spot,
                               std::vector<std::uint32_t>& unit_of_spot) {
  const StratumOf stratum_of(source, by, on);
  const bool one = by == Strata::kNone && on != SpotOn::kBoth;
  std::map<std::string, std::uint32_t> number;
  std::vector<Stratum> strata;
  if (one) strata.emplace_back().waters = on == SpotOn::kWaters;
  of_spot.assign(found.spots.size(), 0);
  unit_of_spot.assign(found.spots.size(), 0);
  for (std::uint32_t i = 0; i < found.spots.size(); ++i) {
    const Spot& spot = found.spots[i];
    if (!one) {
      const auto [at, is_new] =
          number.try_emplace(stratum_of(spot), static_cast<std::uint32_t>(strata.size()));
      if (is_new) {
        Stratum& made = strata.emplace_back();
        made.name = at->first;
        made.waters = spot.water.has_value();
      }
      of_spot[i] = at->second;
    }
    Stratum& stratum = strata[of_spot[i]];
    unit_of_spot[i] = static_cast<std::uint32_t>(stratum.spots.size());
    stratum.spots.push_back(i);
    stratum.plane.push_back(spot.plane);
    stratum.sizes.push_back(stratum.waters ? 1 : spot.length_m);
    stratum.size += stratum.sizes.back();
  }
  return strata;
}

// Where fewer fit than were asked for.
std::string too_few_words(std::size_t fit, const DesignOptions& options, std::size_t spots,
                          std::size_t taken) {
  const char* what = options.spots.on == SpotOn::kWaters ? " waters" : " spots";
  if (taken == 0)
    return "only " + std::to_string(fit) + " of the " + std::to_string(options.count) +
           " spots asked for fit: " + std::to_string(spots) + " are free in " + options.area.words;
  return (fit == 0 ? "none" : "only " + std::to_string(fit)) + " of the " + std::to_string(options.count) +
         (fit == 0 ? " spots asked for fits: " : " spots asked for fit: ") +
         (taken == spots ? "a site stands already at each of the "
                         : "a site stands already at " + std::to_string(taken) + " of the ") +
         std::to_string(spots) + what + " in " + options.area.words + " where one may go";
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

  std::vector<std::uint32_t> of_spot, unit_of_spot;
  std::vector<Stratum> strata =
      strata_of(source, found, spread.strata, options.spots.on, of_spot, unit_of_spot);
  std::size_t unplaced = 0, elsewhere = 0, proposed = 0;
  if (spread.count_sites) {
    const SpotsOfSites spots_of_sites(source, found);
    const SiteColumns& sites = source.snapshot.sites;
    for (std::size_t s = 0; s < sites.size(); ++s) {
      if (sites.status[s] == SiteStatus::kRetired) continue;
      if (is_only_proposed(source.snapshot, SiteIndex(s))) {
        ++proposed;
        continue;
      }
      if (!is_placed(sites.position[s])) {
        ++unplaced;
      } else if (const auto spot = spots_of_sites.spot_of(s)) {
        strata[of_spot[*spot]].sites.push_back({frame.to_plane(sites.position[s]), unit_of_spot[*spot]});
      } else {
        ++elsewhere;
      }
    }
  }

  // Where channels and waters are drawn together, a water weighs as one spot of channel in sharing out the points.
  const double water_size = options.spots.on == SpotOn::kBoth ? found.spacing_m : 1;
  std::vector<double> sizes;
  std::vector<std::size_t> there, most;
  std::size_t taken = 0;
  for (const Stratum& stratum : strata) {
    sizes.push_back(stratum.waters ? stratum.size * water_size : stratum.size);
    there.push_back(stratum.sites.size());
    const std::size_t with_site = stratum.taken().size();
    most.push_back(stratum.spots.size() - with_site);
    taken += with_site;
  }
  const std::vector<std::size_t> points = share_points(sizes, there, most, options.count);
  std::array<SpreadAccount, 2> accounts{SpreadAccount(false), SpreadAccount(true)};
  for (std::size_t s = 0; s < strata.size(); ++s) {
    Stratum& stratum = strata[s];
    stratum.points = points[s];
    DrawnPart part{stratum.name, stratum.size, stratum.size, 0, points[s], stratum.sites.size()};
    for (const std::uint32_t unit : stratum.taken()) part.with_chance -= stratum.sizes[unit];
    if (stratum.points > 0) {
      const std::vector<double> chances = chances_beside_sites(stratum.plane, stratum.sizes, stratum.sites,
                                                               stratum.points, stratum.patch_radius_m());
      // As if spots and sites had been drawn together, each would stand for as much as its chance says.
      const std::vector<double> together =
          inclusion_chances(stratum.sizes, static_cast<double>(stratum.points + stratum.sites.size()));
      Random random(options.seed, stream_of("spread " + stratum.name));
      for (const std::uint32_t i : balanced_sample(stratum.plane, chances, random)) {
        Suggestion one;
        one.purpose = Purpose::kSpread;
        one.spot = found.spots[stratum.spots[i]];
        one.stratum = stratum.name;
        one.chance = chances[i];
        one.weight = 1 / chances[i];
        one.stands_for = stratum.sizes[i] / together[i];
        part.by_spots += *one.stands_for;
        one.reason =
            (stratum.points == 1 ? "drawn from "
                                 : "one of " + std::to_string(stratum.points) + " spread evenly over ") +
            size_words(stratum.size, stratum.waters) +
            (spread.strata == Strata::kNone ? "" : " (" + stratum.name + ")") +
            (stratum.sites.empty() ? ""
                                   : ", beside " + count_words(stratum.sites.size(), "site that is there",
                                                               "sites that are there")) +
            "; it stands for " + part_words(*one.stands_for, stratum.waters);
        suggestions.list.push_back(std::move(one));
      }
    }
    accounts[stratum.waters ? 1 : 0].add(std::move(part));
  }
  if (suggestions.list.size() < options.count)
    suggestions.notes.push_back(too_few_words(suggestions.list.size(), options, found.spots.size(), taken));
  for (const SpreadAccount& account : accounts) account.tell(suggestions.list.size(), suggestions.notes);
  if (unplaced > 0)
    suggestions.notes.push_back(count_words(unplaced, "site has", "sites have") +
                                " no position and could not be counted in");
  if (elsewhere > 0)
    suggestions.notes.push_back(
        count_words(elsewhere, "site is", "sites are") +
        " not counted in: on other waters, outside the area, or where nobody is sent");
  if (proposed > 0)
    suggestions.notes.push_back(count_words(proposed, "proposed site where nobody has sampled is",
                                            "proposed sites where nobody has sampled are") +
                                " not counted as there");
  add_facts(suggestions, source);
  tell_heavy_weights(suggestions.list, suggestions.notes);
  return suggestions;
}

}  // namespace brookmark::core
