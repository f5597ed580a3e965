// Why: whether a water gets better or worse over the years is asked of few, crooked, tied values. The rank tests of water
// work ask only for the order of values, and say how fast in the unit of the metric.
// Use: TrendTest t = mann_kendall(years, values);  t.z, t.p, t.slope
//      TrendTest r = grouped_kendall(seasons);     // each season (or site) compared only with itself
//
// Sources (recalled, `memory`; the formulas are checked against tests/reference/trend and tests/reference/methods/10):
// Mann 1945, Econometrica 13:245-259; Kendall 1975, Rank Correlation Methods (variance with ties, continuity
// correction); Theil 1950 and Sen 1968, J. Am. Stat. Assoc. 63:1379-1389 (slope); Gilbert 1987, Statistical Methods for
// Environmental Pollution Monitoring, sec. 16.5 (interval of the slope); Hirsch, Slack & Smith 1982, Water Resour. Res.
// 18:107-121 (by season); Hirsch & Slack 1984, Water Resour. Res. 20:727-732 (covariance between seasons); Helsel & Frans
// 2006, Environ. Sci. Technol. 40:4066-4073 (sites in place of seasons).
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

namespace brookmark::core {

// All slopes of a series are listed up to this many values (8 million slopes, 64 MB); above it the slope is absent.
inline constexpr std::size_t kMostSlopeValues = 4000;
// Up to this many values, without ties, the exact distribution of S is counted beside the normal approximation. Printed
// tables stop here as well; from eleven values on the two differ by less than 0.003 where p lies between 0.02 and 0.12.
inline constexpr std::size_t kMostExactValues = 10;
// Fewer values than this carry no trend: with three, even a steady rise has p = 0.33.
inline constexpr std::size_t kFewestTrendValues = 4;

struct TrendTest {
  std::size_t n = 0;   // values
  std::int64_t s = 0;  // rises minus falls over all pairs
  double var_s = 0;    // of S, corrected for ties; with the covariance between groups where asked
  double z = 0;        // with continuity correction: (S - sign S) / sqrt(var S); 0 where var S is 0
  double p = 1;        // two-sided, from the normal approximation; 1 where var S is 0
  std::optional<double> p_exact;     // two-sided, counted: one group, no ties, n up to kMostExactValues
  std::optional<double> smallest_p;  // the p_exact of a steady rise of n values
  std::size_t tie_groups = 0;        // of equal values, over all groups
  std::optional<double> tau_b;       // -1..1, corrected for ties; absent where all values are equal
  // Median of the slopes between all pairs, per unit of time, and its interval at `level` (Gilbert's interpolated
  // ranks). Absent beyond kMostSlopeValues; the interval also where it would reach beyond the slopes there are.
  std::optional<double> slope, slope_low, slope_high;
  std::size_t slopes = 0;

  double best_p() const { return p_exact.value_or(p); }
};

struct TrendOptions {
  double level = 0.95;      // of the slope's interval
  bool covariance = false;  // grouped_kendall: add the covariance of the groups that share times to var S
  bool with_slope = true;   // false leaves the slope absent: the test alone is n log n
};

// S of a series in time order, in n log n steps (merge sort, after Knight 1966, J. Am. Stat. Assoc. 61:436-439, memory).
std::int64_t kendall_s(std::span<const double> values);
// Var S = (n(n-1)(2n+5) - sum over ties t(t-1)(2t+5)) / 18.
double kendall_variance(std::span<const double> values);
// P(|S| >= |s|) among all orders of n different values, counted. n up to 20 (their number must fit 64 bits).
double exact_kendall_p(std::size_t n, std::int64_t s);

// `times` strictly ascending, as many as values. Throws Error(kBadUse) for times that do not ascend, spans of
// different length or anything not finite. Fewer than two values give n and nothing else.
TrendTest mann_kendall(std::span<const double> times, std::span<const double> values,
                       const TrendOptions& options = {});

// One season, or one site: its own series.
struct TrendGroup {
  std::vector<double> times, values;
};
// Sum of S over groups, each compared only with itself; the slope is the median over the slopes within all groups.
// Without covariance the groups count as independent. With it, the covariance of each two groups is estimated from the
// ranks at the times of both, a missing value at its group's middle rank; that needs about ten years of each (Hirsch &
// Slack 1984: memory) and is never below zero in sum. Errors as mann_kendall.
TrendTest grouped_kendall(std::span<const TrendGroup> groups, const TrendOptions& options = {});

}  // namespace brookmark::core
