#include "core/design/habitat.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>

#include "core/analysis/reach_assessment.hpp"
#include "core/analysis/reach_runs_internal.hpp"
#include "core/analysis/site_values.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/network/stream_order.hpp"

namespace brookmark::core {
namespace {

constexpr std::array<const char*, kHabitatVariables> kNames{"east",  "north", "order",   "upstream", "bend",
                                                            "still", "kind",  "habitat", "altitude", "slope"};

// So far up and down a spot its channel is looked at, within its edge. Common practice, no source.
constexpr double kLookM = 100;

struct Look {
  double from_m = 0, to_m = 0;
};
Look look_at(const ChannelNetwork& network, const Spot& spot) {
  const double length_m = network.graph().edges()[spot.edge].length_m;
  return {std::max(spot.along_m - kLookM, 0.0), std::min(spot.along_m + kLookM, length_m)};
}

// How much the channel winds about a spot.
double bend_at(const ChannelNetwork& network, const Spot& spot) {
  const Look look = look_at(network, spot);
  const double straight_m = geodesic_m(place_on_edge(network, spot.edge, look.from_m),
                                       place_on_edge(network, spot.edge, look.to_m));
  return straight_m > 0.1 * (look.to_m - look.from_m) ? (look.to_m - look.from_m) / straight_m : 10;
}

std::optional<double> slope_at(const ChannelNetwork& network, const Spot& spot, const HeightAt& height) {
  const Look look = look_at(network, spot);
  if (!(look.to_m - look.from_m >= 1)) return std::nullopt;
  const auto above = height(place_on_edge(network, spot.edge, look.from_m));
  const auto below = height(place_on_edge(network, spot.edge, look.to_m));
  if (!above || !below) return std::nullopt;
  return (*above - *below) / (look.to_m - look.from_m) * 1000;
}

bool is_on_channel(const Spot& spot) {
  return spot.edge != Spot::kOffChannel;
}

std::optional<double> number_at(HabitatVariable variable, const Spot& spot, const ChannelNetwork& network,
                                const StreamFigures& figures, const HeightAt& height) {
  const bool channel = is_on_channel(spot);
  switch (variable) {
    case HabitatVariable::kEast:
      return spot.plane.x;
    case HabitatVariable::kNorth:
      return spot.plane.y;
    case HabitatVariable::kOrder:
      return channel ? figures.order[spot.edge] : 0;
    case HabitatVariable::kUpstream:
      return channel ? std::log10(1 + std::max(0.0, figures.upstream_m[spot.edge] -
                                                        network.graph().edges()[spot.edge].length_m +
                                                        spot.along_m))
                     : 0;
    case HabitatVariable::kBend:
      return channel ? bend_at(network, spot) : 1;
    case HabitatVariable::kAltitude:
      return height(spot.position);
    case HabitatVariable::kSlope:
      return channel ? slope_at(network, spot, height) : 0;
    default:
      break;
  }
  return channel ? 0 : 1;
}

// Means of a quantity by site.
std::map<std::size_t, double> means_of(const SiteValues& values, const std::string& name) {
  std::map<std::size_t, std::pair<double, double>> sums;
  for (const SiteValue& one : values.values) {
    if (one.way != values.values.front().way)
      throw Error(ErrorCode::kBadUse,
                  "\"" + name +
                      "\" was measured in units that cannot be brought to one, so spots cannot be "
                      "compared by it; leave it out");
    auto& [sum, count] = sums[one.site.value()];
    sum += one.value;
    count += 1;
  }
  std::map<std::size_t, double> means;
  for (const auto& [site, both] : sums) means[site] = both.first / both.second;
  return means;
}

}  // namespace

const char* habitat_variable_name(HabitatVariable variable) {
  return kNames[static_cast<std::size_t>(variable)];
}

std::optional<HabitatVariable> parse_habitat_variable(std::string_view word) {
  for (std::size_t i = 0; i < kNames.size(); ++i)
    if (word == kNames[i]) return static_cast<HabitatVariable>(i);
  return std::nullopt;
}

HabitatChoice parse_habitat_choice(std::string_view word, const Snapshot& snapshot, Date until) {
  if (const auto variable = parse_habitat_variable(trim(word))) return {*variable, {}};
  try {
    measured_values(snapshot, trim(word), BelowDetection::kBound, until);
  } catch (const Error& error) {
    std::vector<std::string> names(kNames.begin(), kNames.end());
    const std::string last = names.back();
    names.pop_back();
    throw Error(ErrorCode::kNotFound, "there is no variable \"" + std::string(word) + "\": choose of " +
                                          joined(names, ", ") + " and " + last + "; and " + error.what());
  }
  return {HabitatVariable::kMeasured, std::string(trim(word))};
}

std::size_t HabitatColumn::known() const {
  std::size_t count = 0;
  for (std::size_t i = 0; i < std::max(numbers.size(), words.size()); ++i) count += knows(i) ? 1 : 0;
  return count;
}

std::vector<std::string> habitat_words(std::string_view noted) {
  std::vector<std::string> words;
  std::string word;
  const auto end_word = [&] {
    const std::string folded = fold_name(word);
    if (!folded.empty() && std::find(words.begin(), words.end(), folded) == words.end())
      words.push_back(folded);
    word.clear();
  };
  for (std::size_t i = 0; i < noted.size(); ++i) {
    if (noted[i] == ',' || noted[i] == ';' || noted[i] == '/' || noted[i] == '+') {
      end_word();
    } else if (noted.substr(i).starts_with(" and ")) {
      end_word();
      i += 4;
    } else {
      word += noted[i];
    }
  }
  end_word();
  std::sort(words.begin(), words.end());
  return words;
}

std::vector<std::optional<SiteIndex>> sites_for_spots(const DesignSource& source,
                                                      std::span<const Spot> spots) {
  const SiteColumns& sites = source.snapshot.sites;
  const ReachRuns runs(source.network);
  std::vector<RunMark> marks;
  std::vector<std::size_t> placed;
  std::vector<bool> off_channel(sites.size(), false);
  for (std::size_t s = 0; s < sites.size(); ++s) {
    if (!is_placed(sites.position[s])) continue;
    placed.push_back(s);
    if (const auto point =
            source.network.snap(sites.position[s], snap_limit_m(sites.kind[s], source.network.options())))
      runs.mark(*point, static_cast<std::uint32_t>(s), marks);
    else
      off_channel[s] = true;
  }
  const auto before = [](const RunMark& a, const RunMark& b) {
    return a.run < b.run || (a.run == b.run && a.at_m < b.at_m);
  };
  std::sort(marks.begin(), marks.end(), before);
  std::vector<std::optional<SiteIndex>> found(spots.size());
  std::vector<RunMark> here;
  for (std::size_t i = 0; i < spots.size(); ++i) {
    double nearest_m = std::numeric_limits<double>::infinity();
    const auto offer = [&](double metres, std::size_t site) {
      if (metres >= nearest_m) return;
      nearest_m = metres;
      found[i] = SiteIndex(site);
    };
    if (is_on_channel(spots[i])) {
      here.clear();
      runs.mark({spots[i].edge, spots[i].along_m, 0, spots[i].position}, 0, here);
      for (const RunMark& mark : here) {
        const auto after = std::lower_bound(marks.begin(), marks.end(), mark, before);
        const auto look = [&](auto at) {
          const double metres = std::abs(at->at_m - mark.at_m);
          if (at->run == mark.run && metres <= kMeasuredReachM) offer(metres, at->place);
        };
        if (after != marks.end()) look(after);
        if (after != marks.begin()) look(after - 1);
      }
      continue;
    }
    const Water& water = source.snapshot.waters[spots[i].water.value()];
    for (const std::size_t s : placed) {
      const double metres = geodesic_m(sites.position[s], spots[i].position);
      const bool named = !water.name.empty() && fold_name(sites.water[s]) == fold_name(water.name);
      const bool beside = off_channel[s] && metres <= source.network.options().still_water_snap_m;
      if (named || beside || contains(water.shape, sites.position[s])) offer(metres, s);
    }
  }
  return found;
}

HabitatColumn habitat_column(const DesignSource& source, std::span<const Spot> spots,
                             const HabitatChoice& choice, const HeightAt& height) {
  HabitatColumn column{choice, {}, {}, {}};
  if (!height &&
      (choice.variable == HabitatVariable::kAltitude || choice.variable == HabitatVariable::kSlope))
    throw Error(ErrorCode::kBadUse, "altitude and slope take a terrain model, and none was given");
  switch (choice.variable) {
    case HabitatVariable::kKind: {
      std::map<std::size_t, WaterKind> of_reach;
      for (const Spot& spot : spots) {
        WaterKind kind = WaterKind::kUnknown;
        if (is_on_channel(spot)) {
          const auto [known, fresh] =
              of_reach.emplace(source.network.edges()[spot.edge].reach.value(), WaterKind::kUnknown);
          if (fresh) known->second = kind_at(spot, source);
          kind = known->second;
        } else {
          kind = kind_at(spot, source);
        }
        column.words.push_back(kind == WaterKind::kUnknown ? std::vector<std::string>{}
                                                           : std::vector<std::string>{water_kind_name(kind)});
      }
      return column;
    }
    case HabitatVariable::kHabitat: {
      for (const auto& site : sites_for_spots(source, spots))
        column.words.push_back(site ? habitat_words(source.snapshot.sites.habitat[site->value()])
                                    : std::vector<std::string>{});
      return column;
    }
    case HabitatVariable::kMeasured: {
      const SiteValues values =
          measured_values(source.snapshot, choice.quantity, BelowDetection::kBound, source.day);
      column.unit = values.unit;
      const auto means = means_of(values, choice.quantity);
      for (const auto& site : sites_for_spots(source, spots)) {
        column.numbers.emplace_back();
        if (!site) continue;
        if (const auto mean = means.find(site->value()); mean != means.end())
          column.numbers.back() = mean->second;
      }
      return column;
    }
    default:
      break;
  }
  const StreamFigures figures = stream_figures(source.network.graph());
  for (const Spot& spot : spots)
    column.numbers.push_back(number_at(choice.variable, spot, source.network, figures, height));
  return column;
}

}  // namespace brookmark::core
