// Why: how many visits does it take to see that quality fell by one class? Few visits see nothing, and nothing seen is then taken for
// nothing there.
// Use: t_test_power({.first = 4, .second = 4}, 1.5, {})   visits_for(1.5, {})
//
// Student's t test between visits before and after (two samples of one variance), or of differences between two sites visited on the
// same days (paired). Its power is that of the non-central t distribution:
// P(T > t_crit) = integral over s of [1 - Phi(t_crit s - delta)] f(s), s being the estimated deviation over the true one (Johnson, Kotz &
// Balakrishnan 1995, Continuous Univariate Distributions 2, ch. 31; memory). Checked against R 4.2.2's power.t.test.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/analysis/site_values.hpp"
#include "core/scoring/method.hpp"

namespace brookmark::core {

struct PowerOptions {
  double alpha = 0.05;  // chance of crying wolf, above 0 and below 1
  double power =
      0.8;  // wanted chance of seeing the fall, above 0 and below 1. Both: common practice, no source
  bool two_sided =
      false;  // false: only a fall is looked for. Of two sides the wrong one is not counted as seen
};

struct Visits {
  std::size_t first = 0, second = 0;  // before and after; paired: first pairs, second is 0
};

// The chance of seeing a difference of `effect` standard deviations. 0 for numbers that allow no test (fewer than two
// visits in all beyond the groups). Absolute error below 1e-9. Throws Error(kBadUse) for options outside their range.
double t_test_power(Visits visits, double effect, const PowerOptions& options);

// The fewest visits, as many before as after (paired: pairs), with the wanted power. Nothing above `most`, or for an effect of 0.
std::optional<std::size_t> visits_for(double effect, bool paired, const PowerOptions& options,
                                      std::size_t most = 1000);
// The fewest visits after, where so many before are there already.
std::optional<std::size_t> visits_after(std::size_t before, double effect, const PowerOptions& options,
                                        std::size_t most = 1000);

// How much visits of one site in one season of the year differ from each other, over all sites: the deviation within.
struct WithinSites {
  std::optional<double> deviation;  // absent with fewer than kFewestDegrees
  int degrees = 0;                  // visits beyond the first of each site and season
  std::size_t groups = 0;           // sites and seasons with two visits or more
};
inline constexpr int kFewestDegrees = 3;  // common practice, no source
// Values of one day count as one visit, their mean. Two ways of sampling are never brought together.
WithinSites deviation_within(const SiteValues& values);

// What a fall of one class is at a site.
struct FallOfOneClass {
  double mean = 0;         // of the site's visits in the last kSpeaksForDays before the newest
  std::size_t visits = 0;  // behind it
  int from_rank = 0, to_rank = 0;
  std::optional<double>
      fall;          // from the mean to the middle of the next worse class, in the metric's unit; above 0
  std::string note;  // why there is none
};
FallOfOneClass fall_of_one_class(const SiteValues& values, const Metric& metric, SiteIndex site);

}  // namespace brookmark::core
