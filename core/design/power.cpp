#include "core/design/power.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

#include "core/analysis/site_chain.hpp"
#include "core/base/error.hpp"
#include "core/base/student_t.hpp"

namespace brookmark::core {
namespace {

double normal(double x) {
  return 0.5 * std::erfc(-x / std::sqrt(2.0));
}

// P(T > critical) for the non-central t with these degrees and non-centrality. Simpson's rule over s, which has the density
// 2 (v/2)^(v/2) / Gamma(v/2) s^(v-1) exp(-v s^2 / 2).
double above(double critical, int degrees, double centre) {
  const double v = degrees;
  const double log_scale = std::log(2.0) + v / 2 * std::log(v / 2) - std::lgamma(v / 2);
  const double spread = 1 / std::sqrt(2 * v);
  const double low = std::max(0.0, 1 - 12 * spread), high = 1 + 12 * spread + (degrees < 10 ? 5 : 0);
  constexpr int kSteps = 4000;
  const double step = (high - low) / kSteps;
  const auto at = [&](double s) {
    if (s <= 0) return degrees == 1 ? std::exp(log_scale) * (1 - normal(-centre)) : 0.0;
    return std::exp(log_scale + (v - 1) * std::log(s) - v * s * s / 2) * (1 - normal(critical * s - centre));
  };
  double sum = at(low) + at(high);
  for (int i = 1; i < kSteps; ++i) sum += at(low + i * step) * (i % 2 == 1 ? 4 : 2);
  return std::clamp(sum * step / 3, 0.0, 1.0);
}

void check(const PowerOptions& options) {
  const auto is_share = [](double x) { return x > 0 && x < 1; };
  if (!is_share(options.alpha) || !is_share(options.power))
    throw Error(ErrorCode::kBadUse, "alpha and power are chances: above 0 and below 1");
}

std::optional<std::size_t> fewest(std::size_t least, std::size_t most, double wanted,
                                  const std::function<double(std::size_t)>& power) {
  if (power(most) < wanted) return std::nullopt;
  std::size_t low = least - 1, high = most;
  while (high - low > 1) {
    const std::size_t middle = low + (high - low) / 2;
    (power(middle) < wanted ? low : high) = middle;
  }
  return high;
}

struct VisitValue {
  Date date;
  double value = 0;
  std::string way;
};

// One value a day and way of sampling.
std::vector<VisitValue> visits_of(const SiteValues& values, SiteIndex site) {
  std::map<std::pair<Date, std::string>, std::pair<double, std::size_t>> days;
  for (const SiteValue& v : values.values) {
    if (v.site != site) continue;
    auto& [sum, count] = days[{v.date, v.way}];
    sum += v.value;
    ++count;
  }
  std::vector<VisitValue> found;
  for (const auto& [day, sum] : days)
    found.push_back({day.first, sum.first / static_cast<double>(sum.second), day.second});
  return found;
}

// The middle of a class; of one without a limit on its far side as if it were as wide as its neighbour, and not below 0: no index is.
std::optional<double> middle_of(const Metric& metric, const ClassBand& band) {
  if (band.lower && band.upper) return (*band.lower + *band.upper) / 2;
  std::optional<double> width;
  for (const ClassBand& other : metric.bands)
    if (std::abs(other.rank - band.rank) == 1 && other.lower && other.upper)
      width = *other.upper - *other.lower;
  if (!width) return std::nullopt;
  if (band.lower) return *band.lower + *width / 2;
  if (band.upper) return (std::max(0.0, *band.upper - *width) + *band.upper) / 2;
  return std::nullopt;
}

}  // namespace

double t_test_power(Visits visits, double effect, const PowerOptions& options) {
  check(options);
  const bool paired = visits.second == 0;
  const auto n1 = static_cast<double>(visits.first), n2 = static_cast<double>(visits.second);
  if (visits.first < 1 || visits.first + visits.second < (paired ? 2U : 3U)) return 0;
  const int degrees = static_cast<int>(visits.first + visits.second) - (paired ? 1 : 2);
  const double centre = effect * (paired ? std::sqrt(n1) : std::sqrt(n1 * n2 / (n1 + n2)));
  const double critical = student_t_quantile(1 - options.alpha / (options.two_sided ? 2 : 1), degrees);
  return above(critical, degrees, centre);
}

std::optional<std::size_t> visits_for(double effect, bool paired, const PowerOptions& options,
                                      std::size_t most) {
  check(options);
  if (!(effect > 0)) return std::nullopt;
  return fewest(2, most, options.power, [&](std::size_t n) {
    return t_test_power({n, paired ? 0 : n}, effect, options);
  });
}

std::optional<std::size_t> visits_after(std::size_t before, double effect, const PowerOptions& options,
                                        std::size_t most) {
  check(options);
  if (!(effect > 0) || before < 1) return std::nullopt;
  return fewest(1, most, options.power, [&](std::size_t n) {
    return t_test_power({before, n}, effect, options);
  });
}

WithinSites deviation_within(const SiteValues& values) {
  WithinSites within;
  double squares = 0;
  for (std::size_t i = 0; i < values.values.size();) {
    const SiteIndex site = values.values[i].site;
    while (i < values.values.size() && values.values[i].site == site) ++i;
    std::map<std::pair<int, std::string>, std::vector<double>> groups;
    for (const VisitValue& v : visits_of(values, site))
      groups[{((season_number(v.date) % 4) + 4) % 4, v.way}].push_back(v.value);
    for (const auto& [key, group] : groups) {
      if (group.size() < 2) continue;
      double mean = 0;
      for (const double v : group) mean += v / static_cast<double>(group.size());
      for (const double v : group) squares += (v - mean) * (v - mean);
      within.degrees += static_cast<int>(group.size()) - 1;
      ++within.groups;
    }
  }
  if (within.degrees >= kFewestDegrees) within.deviation = std::sqrt(squares / within.degrees);
  return within;
}

FallOfOneClass fall_of_one_class(const SiteValues& values, const Metric& metric, SiteIndex site) {
  FallOfOneClass found;
  const std::vector<VisitValue> visits = visits_of(values, site);
  if (visits.empty()) {
    found.note = "no visit has a value in the method's scope";
    return found;
  }
  double sum = 0;
  for (const VisitValue& v : visits) {
    if (visits.back().date.days - v.date.days > kSpeaksForDays) continue;
    sum += v.value;
    ++found.visits;
  }
  found.mean = sum / static_cast<double>(found.visits);
  if (metric.bands.empty()) {
    found.note = "the metric has no classes; say how large a fall to look for";
    return found;
  }
  const ClassBand* from = class_of(metric, found.mean);
  if (from == nullptr) {
    found.note = "the mean lies in no class";
    return found;
  }
  found.from_rank = from->rank;
  const auto to = std::find_if(metric.bands.begin(), metric.bands.end(),
                               [&](const ClassBand& b) { return b.rank == from->rank + 1; });
  if (to == metric.bands.end()) {
    found.note = "the site is in the worst class already";
    return found;
  }
  found.to_rank = to->rank;
  const auto middle = middle_of(metric, *to);
  if (!middle) {
    found.note = "the next worse class has no middle";
    return found;
  }
  found.fall = std::abs(found.mean - *middle);
  return found;
}

}  // namespace brookmark::core
