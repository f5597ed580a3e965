#include "core/design/variety.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "core/analysis/reach_assessment.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/design/variety_axes_internal.hpp"

namespace brookmark::core {
namespace {

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

namespace {

void keep_rows(HabitatColumn& column, const std::vector<std::size_t>& rows) {
  HabitatColumn kept{column.choice, column.unit, {}, {}};
  for (const std::size_t row : rows) {
    if (column.is_words())
      kept.words.push_back(std::move(column.words[row]));
    else
      kept.numbers.push_back(column.numbers[row]);
  }
  column = std::move(kept);
}

constexpr const char* kNamedTwice = " was asked for more than once and counts once";

// The variables, and the spots at which all of them are known.
struct Known {
  std::vector<HabitatColumn> columns;
  std::vector<std::size_t> spots;  // of all
  std::vector<std::string> notes;
};

// What was asked for is known at each spot that is left; of what was not asked for, only what is known at all.
Known known_at(const DesignSource& source, const DesignOptions& options, const VarietyOptions& variety,
               const std::vector<Spot>& spots) {
  Known known;
  std::vector<std::string> sparse;
  if (variety.by.empty()) {
    for (std::size_t v = 0; v < kHabitatVariables; ++v) {
      const HabitatChoice choice{static_cast<HabitatVariable>(v), {}};
      if (!variety.height &&
          (choice.variable == HabitatVariable::kAltitude || choice.variable == HabitatVariable::kSlope))
        continue;
      HabitatColumn column = habitat_column(source, spots, choice, variety.height);
      const std::size_t count = column.known();
      if (count == spots.size())
        known.columns.push_back(std::move(column));
      else if (count > 0)
        sparse.push_back(choice.name() + " (" + std::to_string(count) + ")");
    }
  } else {
    for (const HabitatChoice& choice : variety.by) {
      // Twice would weigh double.
      const auto same = [&](const HabitatColumn& column) { return column.choice == choice; };
      if (std::none_of(known.columns.begin(), known.columns.end(), same))
        known.columns.push_back(habitat_column(source, spots, choice, variety.height));
      else if (known.notes.empty() || known.notes.back() != choice.name() + kNamedTwice)
        known.notes.push_back(choice.name() + kNamedTwice);
    }
  }
  for (std::size_t i = 0; i < spots.size(); ++i)
    if (std::all_of(known.columns.begin(), known.columns.end(), [i](const auto& c) { return c.knows(i); }))
      known.spots.push_back(i);
  if (known.spots.empty()) {
    std::vector<std::string> counts;
    for (const HabitatColumn& column : known.columns)
      counts.push_back(column.choice.name() + " at " + std::to_string(column.known()));
    throw Error(ErrorCode::kNotFound,
                "of the " + std::to_string(spots.size()) + " spots in " + options.area.words +
                    " none has all that was asked for: known is " + joined(counts, ", ") +
                    "; what is noted or measured at a site speaks for " + format_fixed(kMeasuredReachM, 0) +
                    " m of its channel up and down, to the next confluence, or for its own still water");
  }
  for (HabitatColumn& column : known.columns) keep_rows(column, known.spots);
  if (!sparse.empty())
    known.notes.push_back("not at each of the " + std::to_string(spots.size()) +
                          " spots known, so left out unless asked for: " + joined(sparse, ", "));
  if (known.spots.size() < spots.size())
    known.notes.push_back("chosen among the " + std::to_string(known.spots.size()) + " of " +
                          std::to_string(spots.size()) + " spots at which all that was asked for is known");
  return known;
}

}  // namespace

Suggestions suggest_variety(const DesignSource& source, const DesignOptions& options,
                            const VarietyOptions& variety) {
  if (options.count == 0) throw Error(ErrorCode::kBadUse, "ask for one spot at least");
  const LocalFrame frame(source.snapshot.centre().value_or(LonLat{}));
  const KeepOut keep_out(source.snapshot, options.keep_out, frame);
  const SpotFrame found =
      find_spots(source.snapshot, source.network, options.area, options.spots, keep_out, frame);
  Known known = known_at(source, options, variety, found.spots);
  const HabitatAxes standard = standardise(std::move(known.columns), known.spots.size());
  Suggestions suggestions;
  suggestions.spots = known.spots.size();
  suggestions.left_out = found.left_out;
  std::vector<std::uint32_t> chosen = most_different(standard.values, standard.width, options.count);
  if (standard.width == 0) chosen = {0};  // all spots are alike: any one of them
  for (const std::uint32_t i : chosen) {
    Suggestion one;
    one.purpose = Purpose::kVariety;
    one.spot = found.spots[known.spots[i]];
    one.reason = standard.width == 0 ? "all spots of " + options.area.words + " are alike"
                                     : "of the " + std::to_string(known.spots.size()) + " spots in " +
                                           options.area.words + " it " + differences(standard, i);
    suggestions.list.push_back(std::move(one));
  }
  std::vector<std::string> names;
  for (const HabitatAxis& axis : standard.axes) names.push_back(axis.column.choice.name());
  if (const auto smallest = smallest_distance(standard.values, standard.width, chosen))
    suggestions.notes.push_back("the two most alike of them are " + format_fixed(*smallest, 1) +
                                " standard deviations of these spots apart (by " + joined(names, ", ") + ")");
  if (!standard.constant.empty())
    suggestions.notes.push_back("the same everywhere, so left out: " + joined(standard.constant, ", "));
  suggestions.notes.insert(suggestions.notes.end(), known.notes.begin(), known.notes.end());
  if (!options.area.catchment.has_value() && !options.area.centre)
    suggestions.notes.push_back("no area was given: they are chosen over the whole survey");
  if (suggestions.list.size() < options.count)
    suggestions.notes.push_back(
        "only " + std::to_string(suggestions.list.size()) + " of the " + std::to_string(options.count) +
        " spots asked for fit: " + std::to_string(known.spots.size()) + " are free in " + options.area.words);
  add_facts(suggestions, source);
  return suggestions;
}

}  // namespace brookmark::core
