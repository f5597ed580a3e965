#include "core/design/variety_axes_internal.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "core/base/text.hpp"

namespace brookmark::core {
namespace {

// A variable that scatters less than this over the spots is the same everywhere: a metre, half a metre of bend in 100 m, a
// tenth of a metre of fall in 1000 m, and for the others rounding. Common practice, no source.
double least_deviation(HabitatVariable variable) {
  switch (variable) {
    case HabitatVariable::kEast:
    case HabitatVariable::kNorth:
    case HabitatVariable::kAltitude:
      return 1;
    case HabitatVariable::kSlope:
      return 0.1;
    case HabitatVariable::kUpstream:
      return 1e-4;
    case HabitatVariable::kBend:
      return 0.005;
    default:
      return 1e-6;
  }
}

bool add_numbers(HabitatAxis& axis, std::vector<std::vector<double>>& columns) {
  std::vector<double> column;
  double sum = 0, squares = 0;
  for (const auto& v : axis.column.numbers) column.push_back(*v);
  for (const double v : column) sum += v;
  axis.mean = sum / static_cast<double>(column.size());
  for (const double v : column) squares += (v - axis.mean) * (v - axis.mean);
  axis.deviation = std::sqrt(squares / static_cast<double>(column.size()));
  if (!(axis.deviation > least_deviation(axis.column.choice.variable))) return false;
  std::vector<double> sorted = column;
  const auto middle = sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2);
  std::nth_element(sorted.begin(), middle, sorted.end());
  axis.median = *middle;
  for (double& v : column) v = (v - axis.mean) / axis.deviation;
  columns.push_back(std::move(column));
  return true;
}

// A 0 or 1 for each word, together of variance 1.
bool add_words(HabitatAxis& axis, std::vector<std::vector<double>>& columns) {
  const auto& words = axis.column.words;
  std::map<std::string, std::vector<double>> of_word;
  for (std::size_t i = 0; i < words.size(); ++i)
    for (const std::string& word : words[i])
      of_word.try_emplace(word, words.size(), 0.0).first->second[i] = 1;
  double variance = 0;
  for (auto& [word, column] : of_word) {
    double sum = 0;
    for (const double v : column) sum += v;
    const double mean = sum / static_cast<double>(column.size());
    for (double& v : column) v -= mean;
    variance += mean * (1 - mean);
  }
  if (!(variance > 1e-9)) return false;
  axis.width = of_word.size();
  for (auto& [word, column] : of_word) {
    for (double& v : column) v /= std::sqrt(variance);
    columns.push_back(std::move(column));
  }
  return true;
}

std::string length_words(double m) {
  return m < 1000 ? format_fixed(m, 0) + " m" : format_fixed(m / 1000, 1) + " km";
}

std::string as_words(double number) {
  return ", as " + format_fixed(number, 0) + (number < 1.5 ? " of all is" : " of all are");
}

// "riffle and cobbles as habitat, as 12 of all are"
std::string word_difference(const HabitatAxis& axis, std::size_t row) {
  const auto& words = axis.column.words;
  const std::string here = joined(words[row], " and ");
  const auto alike = static_cast<double>(std::count(words.begin(), words.end(), words[row]));
  return (axis.column.choice.variable == HabitatVariable::kKind ? "a " + here : here + " as habitat") +
         as_words(alike);
}

// "stream order 3, where half of all have 1 or less"
std::string difference_words(const HabitatAxis& axis, std::size_t row) {
  if (axis.column.is_words()) return word_difference(axis, row);
  const HabitatVariable variable = axis.column.choice.variable;
  const double value = *axis.column.numbers[row];
  const bool still = value < 1e-9;  // of order and upstream
  const char* than = value > axis.median ? " or less" : " or more";
  const auto beside = [&](const std::string& median) { return ", where half of all have " + median + than; };
  switch (variable) {
    case HabitatVariable::kEast:
    case HabitatVariable::kNorth: {
      const bool east = variable == HabitatVariable::kEast, more = value > axis.mean;
      return length_words(std::abs(value - axis.mean)) + " " +
             (east   ? more ? "east" : "west"
              : more ? "north"
                     : "south") +
             " of the middle of all";
    }
    case HabitatVariable::kOrder:
      if (still) return "no stream order, for it is a still water";
      return "stream order " + format_fixed(value, 0) + beside(format_fixed(axis.median, 0));
    case HabitatVariable::kUpstream: {
      if (still) return "no channel upstream, for it is a still water";
      const auto metres = [](double logarithm) { return length_words(std::pow(10, logarithm) - 1); };
      return metres(value) + " of channel upstream" + beside(metres(axis.median));
    }
    case HabitatVariable::kBend: {
      const auto per_100 = [](double bend) { return format_fixed(100 * bend, 0) + " m"; };
      return (value > axis.median ? "a winding channel, " : "a straight channel, ") + per_100(value) +
             " of it for 100 m as the crow flies" + beside(per_100(axis.median));
    }
    case HabitatVariable::kAltitude:
      return "a height of " + format_fixed(value, 0) + " m" + beside(format_fixed(axis.median, 0) + " m");
    case HabitatVariable::kSlope:
      return "a fall of " + format_fixed(value, 1) + " m in 1000 m" +
             beside(format_fixed(axis.median, 1) + " m");
    case HabitatVariable::kMeasured: {
      const std::string unit = axis.column.unit.empty() ? "" : " " + axis.column.unit;
      const auto amount = [&](double v) { return format_number(std::round(v * 1000) / 1000) + unit; };
      return axis.column.choice.quantity + " of " + amount(value) + " in the mean" +
             beside(amount(axis.median));
    }
    default:
      break;
  }
  const auto all = static_cast<double>(axis.column.numbers.size());
  return value > 0.5 ? "a still water" + as_words(axis.mean * all)
                     : "a channel" + as_words((1 - axis.mean) * all);
}

}  // namespace

std::string differences(const HabitatAxes& standard, std::size_t row) {
  std::vector<std::size_t> order(standard.axes.size());
  for (std::size_t k = 0; k < order.size(); ++k) order[k] = k;
  const auto size_of = [&](std::size_t k) {
    const HabitatAxis& axis = standard.axes[k];
    double sum = 0;
    for (std::size_t c = axis.first; c < axis.first + axis.width; ++c) {
      const double v = standard.values[row * standard.width + c];
      sum += v * v;
    }
    return std::sqrt(sum);
  };
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return size_of(a) > size_of(b); });
  if (size_of(order.front()) < 1)
    return "is an ordinary one, near the middle of all by every variable, unlike the others chosen";
  std::vector<std::string> words;
  for (const std::size_t k : order) {
    if (words.size() == 2 || (!words.empty() && size_of(k) < 1)) break;
    words.push_back(difference_words(standard.axes[k], row));
  }
  return "differs from the others by: " + joined(words, "; ");
}

HabitatAxes standardise(std::vector<HabitatColumn> wanted, std::size_t spots) {
  std::vector<std::vector<double>> columns;
  HabitatAxes done;
  for (HabitatColumn& column : wanted) {
    HabitatAxis axis{std::move(column), columns.size()};
    if (axis.column.is_words() ? add_words(axis, columns) : add_numbers(axis, columns))
      done.axes.push_back(std::move(axis));
    else
      done.constant.push_back(axis.column.choice.name());
  }
  done.width = columns.size();
  for (std::size_t i = 0; i < spots; ++i)
    for (const auto& column : columns) done.values.push_back(column[i]);
  return done;
}

}  // namespace brookmark::core
