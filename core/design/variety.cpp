#include "core/design/variety.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/network/stream_order.hpp"

namespace brookmark::core {
namespace {

constexpr std::array<const char*, kHabitatVariables> kNames{"east",     "north", "order",
                                                            "upstream", "bend",  "still"};
// A variable that scatters less than this over the spots is the same everywhere: a metre, half a metre of bend in 100 m, and
// for the others rounding. Common practice, no source.
constexpr std::array<double, kHabitatVariables> kLeastDeviation{1, 1, 1e-6, 1e-4, 0.005, 1e-6};
// Exchanges look at every spot for every spot chosen: only where there are not too many.
constexpr std::size_t kMostExchanged = 20'000;

double squared(std::span<const double> values, std::size_t width, std::uint32_t a, std::uint32_t b) {
  double sum = 0;
  for (std::size_t k = 0; k < width; ++k) {
    const double d = values[a * width + k] - values[b * width + k];
    sum += d * d;
  }
  return sum;
}

// How much the channel winds about a spot, within its edge.
double bend_at(const ChannelNetwork& network, const Spot& spot) {
  const double length_m = network.graph().edges()[spot.edge].length_m;
  const double from_m = std::max(spot.along_m - 100, 0.0), to_m = std::min(spot.along_m + 100, length_m);
  const double straight_m =
      geodesic_m(place_on_edge(network, spot.edge, from_m), place_on_edge(network, spot.edge, to_m));
  return straight_m > 0.1 * (to_m - from_m) ? (to_m - from_m) / straight_m : 10;
}

double value_at(HabitatVariable variable, const Spot& spot, const ChannelNetwork& network,
                const StreamFigures& figures) {
  const bool on_channel = spot.edge != Spot::kOffChannel;
  switch (variable) {
    case HabitatVariable::kEast:
      return spot.plane.x;
    case HabitatVariable::kNorth:
      return spot.plane.y;
    case HabitatVariable::kOrder:
      return on_channel ? figures.order[spot.edge] : 0;
    case HabitatVariable::kUpstream:
      return on_channel ? std::log10(1 + std::max(0.0, figures.upstream_m[spot.edge] -
                                                           network.graph().edges()[spot.edge].length_m +
                                                           spot.along_m))
                        : 0;
    case HabitatVariable::kBend:
      return on_channel ? bend_at(network, spot) : 1;
    case HabitatVariable::kStill:
      break;
  }
  return on_channel ? 0 : 1;
}

// A variable over all free spots.
struct Spread {
  double mean = 0, deviation = 0, median = 0;
  std::size_t spots = 0;
};

struct Standardised {
  std::vector<HabitatVariable> by;
  std::vector<Spread> spread;  // of each of these
  std::vector<double> values;  // by spot, then variable
  std::vector<HabitatVariable> constant;
};

Standardised standardise(const std::vector<Spot>& spots, const ChannelNetwork& network,
                         std::span<const HabitatVariable> wanted) {
  const StreamFigures figures = stream_figures(network.graph());
  std::vector<std::vector<double>> columns;
  Standardised done;
  for (const HabitatVariable variable : wanted) {
    std::vector<double> column;
    double sum = 0, squares = 0;
    for (const Spot& spot : spots) column.push_back(value_at(variable, spot, network, figures));
    for (const double v : column) sum += v;
    const double mean = sum / static_cast<double>(column.size());
    for (const double v : column) squares += (v - mean) * (v - mean);
    const double deviation = std::sqrt(squares / static_cast<double>(column.size()));
    if (!(deviation > kLeastDeviation[static_cast<std::size_t>(variable)])) {
      done.constant.push_back(variable);
      continue;
    }
    std::vector<double> sorted = column;
    const auto middle = sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2);
    std::nth_element(sorted.begin(), middle, sorted.end());
    done.spread.push_back({mean, deviation, *middle, spots.size()});
    for (double& v : column) v = (v - mean) / deviation;
    done.by.push_back(variable);
    columns.push_back(std::move(column));
  }
  for (std::size_t i = 0; i < spots.size(); ++i)
    for (const auto& column : columns) done.values.push_back(column[i]);
  return done;
}

std::string length_words(double m) {
  return m < 1000 ? format_fixed(m, 0) + " m" : format_fixed(m / 1000, 1) + " km";
}

// "stream order 3, where half of all have 1 or less"
std::string difference_words(HabitatVariable variable, double value, const Spread& all) {
  const bool still = value < 1e-9;  // of order and upstream
  const char* than = value > all.median ? " or less" : " or more";
  const auto beside = [&](const std::string& median) { return ", where half of all have " + median + than; };
  switch (variable) {
    case HabitatVariable::kEast:
    case HabitatVariable::kNorth: {
      const bool east = variable == HabitatVariable::kEast, more = value > all.mean;
      return length_words(std::abs(value - all.mean)) + " " +
             (east   ? more ? "east" : "west"
              : more ? "north"
                     : "south") +
             " of the middle of all";
    }
    case HabitatVariable::kOrder:
      if (still) return "no stream order, for it is a still water";
      return "stream order " + format_fixed(value, 0) + beside(format_fixed(all.median, 0));
    case HabitatVariable::kUpstream: {
      if (still) return "no channel upstream, for it is a still water";
      const auto metres = [](double logarithm) { return length_words(std::pow(10, logarithm) - 1); };
      return metres(value) + " of channel upstream" + beside(metres(all.median));
    }
    case HabitatVariable::kBend: {
      const auto per_100 = [](double bend) { return format_fixed(100 * bend, 0) + " m"; };
      return (value > all.median ? "a winding channel, " : "a straight channel, ") + per_100(value) +
             " of it for 100 m as the crow flies" + beside(per_100(all.median));
    }
    case HabitatVariable::kStill:
      break;
  }
  const auto as = [&](double share) {
    const double number = share * static_cast<double>(all.spots);
    return ", as " + format_fixed(number, 0) + (number < 1.5 ? " of all is" : " of all are");
  };
  return value > 0.5 ? "a still water" + as(all.mean) : "a channel" + as(1 - all.mean);
}

// By what a spot differs most, and by what else if it does by more than the usual scatter. The farthest from those chosen may be the
// most usual one of all.
std::string differences(const Standardised& standard, std::size_t row) {
  const std::size_t width = standard.by.size();
  std::vector<std::size_t> order(width);
  for (std::size_t k = 0; k < width; ++k) order[k] = k;
  const auto size_of = [&](std::size_t k) { return std::abs(standard.values[row * width + k]); };
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return size_of(a) > size_of(b); });
  if (size_of(order.front()) < 1)
    return "is an ordinary one, near the middle of all by every variable, unlike the others chosen";
  std::vector<std::string> words;
  for (const std::size_t k : order) {
    if (words.size() == 2 || (!words.empty() && size_of(k) < 1)) break;
    const Spread& all = standard.spread[k];
    words.push_back(
        difference_words(standard.by[k], standard.values[row * width + k] * all.deviation + all.mean, all));
  }
  return "differs from the others by: " + joined(words, "; ");
}

// Exchanges one chosen row for another while the smallest distance grows.
void exchange(std::span<const double> values, std::size_t width, std::vector<std::uint32_t>& chosen) {
  const auto rows = static_cast<std::uint32_t>(values.size() / width);
  for (bool again = true; again;) {
    again = false;
    double smallest = std::numeric_limits<double>::infinity();
    std::size_t one = 0, other = 0;
    for (std::size_t i = 0; i < chosen.size(); ++i)
      for (std::size_t j = i + 1; j < chosen.size(); ++j)
        if (const double d = squared(values, width, chosen[i], chosen[j]); d < smallest)
          smallest = d, one = i, other = j;
    for (const std::size_t out : {one, other}) {
      std::uint32_t best = chosen[out];
      double best_d = smallest * (1 + 1e-12);
      for (std::uint32_t row = 0; row < rows; ++row) {
        double nearest = std::numeric_limits<double>::infinity();
        for (std::size_t i = 0; i < chosen.size() && nearest > best_d; ++i)
          if (i != out) nearest = std::min(nearest, squared(values, width, row, chosen[i]));
        if (nearest > best_d) best_d = nearest, best = row;
      }
      if (best == chosen[out]) continue;
      chosen[out] = best;
      again = true;
      break;
    }
  }
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

std::vector<std::uint32_t> most_different(std::span<const double> values, std::size_t width,
                                          std::size_t count) {
  std::vector<std::uint32_t> chosen;
  if (width == 0 || count == 0) return chosen;
  const auto rows = static_cast<std::uint32_t>(values.size() / width);
  if (rows == 0) return chosen;
  // The first is the one farthest from the middle, which is 0 in every variable.
  std::uint32_t next = 0;
  double farthest = -1;
  for (std::uint32_t row = 0; row < rows; ++row) {
    double sum = 0;
    for (std::size_t k = 0; k < width; ++k) sum += values[row * width + k] * values[row * width + k];
    if (sum > farthest) farthest = sum, next = row;
  }
  std::vector<double> nearest(rows, std::numeric_limits<double>::infinity());
  while (true) {
    chosen.push_back(next);
    nearest[next] = -1;
    if (chosen.size() == std::min<std::size_t>(count, rows)) break;
    double best = -1;
    for (std::uint32_t row = 0; row < rows; ++row) {
      if (nearest[row] < 0) continue;
      nearest[row] = std::min(nearest[row], squared(values, width, row, chosen.back()));
      if (nearest[row] > best) best = nearest[row], next = row;
    }
  }
  if (chosen.size() > 1 && rows <= kMostExchanged) exchange(values, width, chosen);
  std::sort(chosen.begin(), chosen.end());
  return chosen;
}

std::optional<double> smallest_distance(std::span<const double> values, std::size_t width,
                                        std::span<const std::uint32_t> rows) {
  std::optional<double> smallest;
  for (std::size_t i = 0; i < rows.size(); ++i)
    for (std::size_t j = i + 1; j < rows.size(); ++j) {
      const double d = std::sqrt(squared(values, width, rows[i], rows[j]));
      if (!smallest || d < *smallest) smallest = d;
    }
  return smallest;
}

Suggestions suggest_variety(const DesignSource& source, const DesignOptions& options,
                            const VarietyOptions& variety) {
  if (options.count == 0) throw Error(ErrorCode::kBadUse, "ask for one spot at least");
  const LocalFrame frame(source.snapshot.centre().value_or(LonLat{}));
  const KeepOut keep_out(source.snapshot, options.keep_out, frame);
  const SpotFrame found =
      find_spots(source.snapshot, source.network, options.area, options.spots, keep_out, frame);
  std::vector<HabitatVariable> wanted = variety.by;
  if (wanted.empty())
    for (std::size_t v = 0; v < kHabitatVariables; ++v) wanted.push_back(static_cast<HabitatVariable>(v));
  const Standardised standard = standardise(found.spots, source.network, wanted);
  Suggestions suggestions;
  suggestions.spots = found.spots.size();
  suggestions.left_out = found.left_out;
  const std::size_t width = standard.by.size();
  std::vector<std::uint32_t> chosen = most_different(standard.values, width, options.count);
  if (width == 0) chosen = {0};  // all spots are alike: any one of them
  for (const std::uint32_t i : chosen) {
    Suggestion one;
    one.purpose = Purpose::kVariety;
    one.spot = found.spots[i];
    one.reason = width == 0 ? "all spots of " + options.area.words + " are alike"
                            : "of the " + std::to_string(found.spots.size()) + " spots in " +
                                  options.area.words + " it " + differences(standard, i);
    suggestions.list.push_back(std::move(one));
  }
  std::vector<std::string> names, constant;
  for (const HabitatVariable v : standard.by) names.push_back(habitat_variable_name(v));
  for (const HabitatVariable v : standard.constant) constant.push_back(habitat_variable_name(v));
  if (const auto smallest = smallest_distance(standard.values, width, chosen))
    suggestions.notes.push_back("the two most alike of them are " + format_fixed(*smallest, 1) +
                                " standard deviations of these spots apart (by " + joined(names, ", ") + ")");
  if (!constant.empty())
    suggestions.notes.push_back("the same everywhere, so left out: " + joined(constant, ", "));
  if (!options.area.catchment.has_value() && !options.area.centre)
    suggestions.notes.push_back("no area was given: they are chosen over the whole survey");
  if (suggestions.list.size() < options.count)
    suggestions.notes.push_back(
        "only " + std::to_string(suggestions.list.size()) + " of the " + std::to_string(options.count) +
        " spots asked for fit: " + std::to_string(found.spots.size()) + " are free in " + options.area.words);
  add_facts(suggestions, source);
  return suggestions;
}

}  // namespace brookmark::core
