// Why: a survey has visits, not a series: some seasons three of them, some none, and one year a new net. This brings values of a
// site or a catchment down to one a season, keeps apart what was taken in different ways, and says in words what the
// rank tests (trend.hpp) show and what they cannot.
// Use: for (const TrendRow& row : site_trends(snapshot, values, sites, {})) ...
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/analysis/catchments.hpp"
#include "core/analysis/site_values.hpp"
#include "core/analysis/trend.hpp"

namespace brookmark::core {

// p below this is called a trend. Common practice, no source.
inline constexpr double kTrendLevel = 0.05;
// From this many years on the covariance between seasons or sites can be estimated (Hirsch & Slack 1984; memory).
inline constexpr std::size_t kCovarianceYears = 10;
// Comparisons within seasons (or sites) that a grouped test needs: as many as four values of one series have.
inline constexpr std::size_t kFewestPairs = kFewestTrendValues * (kFewestTrendValues - 1) / 2;

// What several values come down to before they are compared: their median. Several visits in one season tell the same
// season twice; counted apart they make chance look like a trend.
enum class TrendStep : std::uint8_t {
  kSeason,  // of a year: December to February belong to the year of the January
  kYear,    // calendar year
  kDay      // every day its own value
};
// Groups that are compared only with themselves: four seasons, or twelve months.
enum class TrendGroups : std::uint8_t { kNone, kSeasons, kMonths };

struct SurveyTrendOptions {
  TrendStep step =
      TrendStep::kSeason;  // not used with groups: there each season (month) of a year is one value
  TrendGroups groups = TrendGroups::kNone;  // with groups there are two rows: without and with covariance
  double level = 0.95;                      // of the slope's interval
};

enum class TrendAnswer : std::uint8_t { kNoAnswer, kNone, kRising, kFalling };

struct TrendRow {
  bool is_catchment = false;
  std::string place;  // the code of the site or catchment
  std::string of;
  // "none"; "seasons", "months", "sites", "sites and seasons" ..., with ", covariance" where that is added to var S.
  std::string season_method;
  std::size_t n = 0;              // values after coming down to one a step
  std::optional<TrendTest> test;  // absent: too few values, or values below detection
  // Of the two rows of one series the one to go by: from kCovarianceYears on that with covariance, before that, or where
  // it leaves no variance, the more careful, with the larger p. False where there is no test.
  bool counts = false;
  bool no_variance = false;         // with covariance: the estimate leaves none, so z and p are not given
  std::optional<Date> first, last;  // of the values behind it
  std::string way;                  // sampling protocol or unit of this part of the series
  TrendAnswer answer = TrendAnswer::kNoAnswer;
  std::string words;  // "falling, for the worse (p < 0.05)", "no trend shown", "no answer"
  std::string note;   // why there is none; what was left out, what was split and what to be careful of
};

// One row a site and way of taking; two with groups. A site without any value has one row that says why.
std::vector<TrendRow> site_trends(const Snapshot& snapshot, const SiteValues& values,
                                  std::span<const SiteIndex> sites, const SurveyTrendOptions& options = {});

// Each site compared only with itself, S summed over the sites inside (sub-catchments included): a site that joins later, or
// is given up, makes no trend. Two rows each: sites taken as independent, and with their covariance.
std::vector<TrendRow> catchment_trends(const Snapshot& snapshot, const SiteValues& values,
                                       const CatchmentNesting& nesting,
                                       std::span<const CatchmentIndex> catchments,
                                       const SurveyTrendOptions& options = {});

}  // namespace brookmark::core
