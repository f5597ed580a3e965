#include "core/analysis/trend.hpp"

#include <algorithm>
#include <cmath>

#include "core/analysis/permutation.hpp"
#include "core/base/error.hpp"

namespace brookmark::core {

namespace {

void require_series(std::span<const double> times, std::span<const double> values) {
  if (times.size() != values.size()) throw Error(ErrorCode::kBadUse, "a trend needs as many times as values");
  for (std::size_t i = 0; i < times.size(); ++i) {
    if (!std::isfinite(times[i]) || !std::isfinite(values[i]))
      throw Error(ErrorCode::kBadUse, "a trend needs finite times and values; leave out what is not known");
    if (i > 0 && times[i] <= times[i - 1])
      throw Error(
          ErrorCode::kBadUse,
          "the times of a trend must ascend, one value each; bring several values of one time down to "
          "one first");
  }
}

// z with P(|Z| <= z) = level for a normal Z, by Newton's steps on erfc; good to the last digits.
double two_sided_quantile(double level) {
  if (!(level > 0 && level < 1)) throw Error(ErrorCode::kBadUse, "a level lies above 0 and below 1");
  double z = 1;
  for (int step = 0; step < 60; ++step) {
    const double miss = std::erfc(z / std::sqrt(2.0)) - (1 - level);
    const double move = miss / (2 * std::exp(-z * z / 2) / std::sqrt(2 * std::acos(-1.0)));
    z = std::max(z + move, z / 2);  // never past zero
    if (std::abs(move) < 1e-14) break;
  }
  return z;
}

void add_slopes(std::span<const double> times, std::span<const double> values, std::vector<double>& slopes) {
  for (std::size_t i = 0; i < values.size(); ++i)
    for (std::size_t j = i + 1; j < values.size(); ++j)
      slopes.push_back((values[j] - values[i]) / (times[j] - times[i]));
}

double nth(std::vector<double>& values, std::size_t index) {
  const auto at = values.begin() + static_cast<std::ptrdiff_t>(index);
  std::nth_element(values.begin(), at, values.end());
  return *at;
}

// The value at a 1-based rank that need not be whole, between its neighbours in proportion. Nothing outside 1..size.
std::optional<double> at_rank(std::vector<double>& values, double rank) {
  if (rank < 1 || rank > static_cast<double>(values.size())) return std::nullopt;
  const auto whole = static_cast<std::size_t>(rank);
  const double below = nth(values, whole - 1);
  const double part = rank - static_cast<double>(whole);
  if (part == 0) return below;
  const double above = *std::min_element(values.begin() + static_cast<std::ptrdiff_t>(whole), values.end());
  return below + part * (above - below);
}

void set_slope(TrendTest& test, std::vector<double>& slopes, double level) {
  test.slopes = slopes.size();
  if (slopes.empty()) return;
  const auto count = static_cast<double>(slopes.size());
  test.slope = at_rank(slopes, (count + 1) / 2);
  // Gilbert 1987: the M1-th and (M2 + 1)-th slopes, M = (N -+ z sqrt(var S)) / 2.
  const double reach = two_sided_quantile(level) * std::sqrt(test.var_s);
  const auto low = at_rank(slopes, (count - reach) / 2), high = at_rank(slopes, (count + reach) / 2 + 1);
  if (low && high) test.slope_low = low, test.slope_high = high;
}

// Pairs of equal values, and how many groups of them.
struct Ties {
  double pairs = 0;
  std::size_t groups = 0;
};
Ties ties_of(std::span<const double> values) {
  std::vector<double> sorted(values.begin(), values.end());
  std::sort(sorted.begin(), sorted.end());
  Ties ties;
  for (std::size_t i = 0; i < sorted.size();) {
    std::size_t end = i;
    while (end < sorted.size() && sorted[end] == sorted[i]) ++end;
    const auto t = static_cast<double>(end - i);
    ties.pairs += t * (t - 1) / 2;
    ties.groups += end - i > 1 ? 1 : 0;
    i = end;
  }
  return ties;
}

void set_z(TrendTest& test) {
  if (test.var_s <= 0 || test.s == 0) return;
  const auto s = static_cast<double>(test.s);
  test.z = (s > 0 ? s - 1 : s + 1) / std::sqrt(test.var_s);
  test.p = std::erfc(std::abs(test.z) / std::sqrt(2.0));
}

int sign(double value) {
  return (value > 0) - (value < 0);
}

// Values and ranks of a group at every time of all groups.
struct Spread {
  std::vector<std::optional<double>> value;
  std::vector<double> rank;
  double middle_twice = 0;  // n_g + 1
};

Spread spread(const TrendGroup& group, std::span<const double> all_times) {
  const std::vector<double> ranks = mid_ranks(group.values);
  Spread out;
  out.middle_twice = static_cast<double>(group.values.size() + 1);
  std::size_t at = 0;
  for (const double time : all_times) {
    const bool here = at < group.times.size() && group.times[at] == time;
    out.value.push_back(here ? std::optional(group.values[at]) : std::nullopt);
    out.rank.push_back(here ? ranks[at] : out.middle_twice / 2);
    at += here ? 1 : 0;
  }
  return out;
}

// (K + 4 sum R R' - n (n_g + 1)(n_h + 1)) / 3, Hirsch & Slack 1984, after Dietz & Killeen 1981, J. Am. Stat. Assoc.
// 76:169-174 (memory).
double covariance(const Spread& g, const Spread& h) {
  const std::size_t n = g.value.size();
  double k = 0, products = 0;
  for (std::size_t i = 0; i < n; ++i) {
    products += g.rank[i] * h.rank[i];
    if (!g.value[i] || !h.value[i]) continue;
    for (std::size_t j = i + 1; j < n; ++j)
      if (g.value[j] && h.value[j]) k += sign((*g.value[j] - *g.value[i]) * (*h.value[j] - *h.value[i]));
  }
  return (k + 4 * products - static_cast<double>(n) * g.middle_twice * h.middle_twice) / 3;
}

double covariances(std::span<const TrendGroup> groups) {
  std::vector<double> times;
  for (const TrendGroup& group : groups) times.insert(times.end(), group.times.begin(), group.times.end());
  std::sort(times.begin(), times.end());
  times.erase(std::unique(times.begin(), times.end()), times.end());
  std::vector<Spread> spreads;
  for (const TrendGroup& group : groups) spreads.push_back(spread(group, times));
  double sum = 0;
  for (std::size_t g = 0; g < spreads.size(); ++g)
    for (std::size_t h = g + 1; h < spreads.size(); ++h) sum += 2 * covariance(spreads[g], spreads[h]);
  return sum;
}

}  // namespace

TrendTest mann_kendall(std::span<const double> times, std::span<const double> values,
                       const TrendOptions& options) {
  require_series(times, values);
  TrendTest test;
  test.n = values.size();
  if (test.n < 2) return test;
  test.s = kendall_s(values);
  test.var_s = kendall_variance(values);
  const Ties ties = ties_of(values);
  test.tie_groups = ties.groups;
  const double pairs = static_cast<double>(test.n) * static_cast<double>(test.n - 1) / 2;
  if (ties.pairs < pairs)
    test.tau_b = static_cast<double>(test.s) / std::sqrt(pairs * (pairs - ties.pairs));  // no times are equal
  set_z(test);
  if (test.tie_groups == 0 && test.n <= kMostExactValues) {
    test.p_exact = exact_kendall_p(test.n, test.s);
    test.smallest_p = exact_kendall_p(test.n, static_cast<std::int64_t>(pairs));
  }
  if (options.with_slope && test.n <= kMostSlopeValues) {
    std::vector<double> slopes;
    slopes.reserve(static_cast<std::size_t>(pairs));
    add_slopes(times, values, slopes);
    set_slope(test, slopes, options.level);
  }
  return test;
}

TrendTest grouped_kendall(std::span<const TrendGroup> groups, const TrendOptions& options) {
  TrendTest test;
  double pairs = 0, untied = 0;
  std::size_t slope_count = 0;
  for (const TrendGroup& group : groups) {
    require_series(group.times, group.values);
    const std::size_t n = group.values.size();
    test.n += n;
    if (n < 2) continue;
    const Ties ties = ties_of(group.values);
    test.s += kendall_s(group.values);
    test.var_s += kendall_variance(group.values);
    test.tie_groups += ties.groups;
    const double all = static_cast<double>(n) * static_cast<double>(n - 1) / 2;
    pairs += all;
    untied += all - ties.pairs;
    slope_count += n * (n - 1) / 2;
  }
  if (untied > 0) test.tau_b = static_cast<double>(test.s) / std::sqrt(pairs * untied);
  if (options.covariance) test.var_s = std::max(0.0, test.var_s + covariances(groups));
  set_z(test);
  if (options.with_slope && slope_count <= kMostSlopeValues * (kMostSlopeValues - 1) / 2) {
    std::vector<double> slopes;
    slopes.reserve(slope_count);
    for (const TrendGroup& group : groups) add_slopes(group.times, group.values, slopes);
    set_slope(test, slopes, options.level);
  }
  return test;
}

}  // namespace brookmark::core
