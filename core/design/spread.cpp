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
  std::size_t free_spots() const {
    std::vector<std::uint32_t> taken;
    for (const LegacySite& site : sites) taken.push_back(site.unit);
    std::sort(taken.begin(), taken.end());
    const auto different = std::unique(taken.begin(), taken.end()) - taken.begin();
    return spots.size() - static_cast<std::size_t>(different);
  }
};

std::string part_words(double size, bool waters) {
  if (waters) {
    const std::string number = format_number(std::round(size * 10) / 10);
    return number + (number == "1" ? " water" : " waters");
  }
  return size < 1000 ? format_fixed(size, 0) + " m" : format_fixed(size / 1000, 1) + " km";
}
std::string size_words(double size, bool waters) {
  return part_words(size, waters) + (waters ? "" : " of channel");
}

std::string count_words(std::size_t n, const char* one, const char* many) {
  return std::to_string(n) + " " + (n == 1 ? one : many);
}

// What stands for what, of channels or of waters.
struct Account {
  double whole = 0, by_spots = 0, by_sites = 0;
  std::size_t spots = 0, sites = 0;

  void tell(bool waters, std::vector<std::string>& notes) const {
    if (whole <= 0) return;
    const auto part = [&](double size) { return part_words(size, waters); };
    const double nobody = whole - by_spots - by_sites;
    if (sites > 0)
      notes.push_back(
          "of " + size_words(whole, waters) +
          (spots > 0 ? " the " + count_words(spots, "new spot stands", "new spots stand") + " for " +
                           part(by_spots) + " and"
                     : "") +
          " the " + count_words(sites, "site that is there", "sites that are there") + " for " +
          part(by_sites) +
          "; near such a site the chance of a spot is lower, and where one stands nothing is drawn "
          "again");
    if (nobody > 1e-6 * whole)
      notes.push_back(size_words(nobody, waters) + (waters && nobody < 1.5 ? " lies" : " lie") +
                      " in parts that got no point and have no site: nothing stands for " +
                      (waters && nobody < 1.5 ? "it" : "them"));
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
  std::size_t unplaced = 0, elsewhere = 0;
  if (spread.count_sites) {
    const SpotsOfSites spots_of_sites(source, found);
    const SiteColumns& sites = source.snapshot.sites;
    for (std::size_t s = 0; s < sites.size(); ++s) {
      if (sites.status[s] == SiteStatus::kRetired) continue;
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
  for (const Stratum& stratum : strata) {
    sizes.push_back(stratum.waters ? stratum.size * water_size : stratum.size);
    there.push_back(stratum.sites.size());
    most.push_back(stratum.free_spots());
  }
  const std::vector<std::size_t> points = share_points(sizes, there, most, options.count);
  std::array<Account, 2> accounts;  // of channels, of waters
  for (std::size_t s = 0; s < strata.size(); ++s) {
    Stratum& stratum = strata[s];
    Account& account = accounts[stratum.waters ? 1 : 0];
    stratum.points = points[s];
    account.whole += stratum.size;
    account.sites += stratum.sites.size();
    double by_spots = 0;
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
        by_spots += *one.stands_for;
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
        ++account.spots;
      }
    }
    account.by_spots += by_spots;
    if (!stratum.sites.empty()) account.by_sites += stratum.size - by_spots;
  }
  if (suggestions.list.size() < options.count)
    suggestions.notes.push_back(
        "only " + std::to_string(suggestions.list.size()) + " of the " + std::to_string(options.count) +
        " spots asked for fit: " + std::to_string(found.spots.size()) + " are free in " + options.area.words +
        (accounts[0].sites + accounts[1].sites > 0 ? ", those included at which sites stand" : ""));
  for (const bool waters : {false, true}) accounts[waters ? 1 : 0].tell(waters, suggestions.notes);
  if (unplaced > 0)
    suggestions.notes.push_back(count_words(unplaced, "site has", "sites have") +
                                " no position and could not be counted in");
  if (elsewhere > 0)
    suggestions.notes.push_back(
        count_words(elsewhere, "site is", "sites are") +
        " not counted in: on other waters, outside the area, or where nobody is sent");
  add_facts(suggestions, source);
  return suggestions;
}

}  // namespace brookmark::core
