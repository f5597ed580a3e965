// Each printed limit: the value just below it, on it, and just above it, after the rounding the source
// prints.
#include <doctest/doctest.h>

#include <cmath>
#include <limits>

#include "core/base/text.hpp"
#include "core/scoring/method.hpp"

namespace core = brookmark::core;

namespace {

struct Case {
  double value;
  int rank;
};

void check(const char* method, const char* metric_id, std::initializer_list<Case> cases) {
  const core::Metric* metric = core::find_method(method)->find_metric(metric_id);
  REQUIRE(metric != nullptr);
  for (const Case& c : cases) {
    INFO(method, " ", metric_id, " ", c.value);
    const core::ClassBand* band = core::class_of(*metric, c.value);
    CHECK((band == nullptr ? 0 : band->rank) == c.rank);
  }
}

}  // namespace

TEST_CASE("BMWP bands A: 85 Excellent, 70 Good, 50 Fair, 15 Poor") {
  check("bmwp-a", "bmwp",
        {{0, 5},
         {14, 5},
         {14.4, 5},
         {14.5, 4},
         {15, 4},
         {49, 4},
         {50, 3},
         {69, 3},
         {70, 2},
         {84, 2},
         {85, 1},
         {400, 1}});
}

TEST_CASE("ASPT bands A are printed to one decimal, and a half goes up") {
  check("bmwp-a", "aspt",
        {{1, 5},
         {2.9, 5},
         {2.94, 5},
         {2.95, 4},
         {3.0, 4},
         {4.1, 4},
         {4.149, 4},
         {4.15, 3},
         {4.2, 3},
         {4.9, 3},
         {4.949, 3},
         {4.95, 2},
         {5.0, 2},
         {5.9, 2},
         {5.94, 2},
         {5.95, 1},
         {6.0, 1},
         {10, 1}});
}

TEST_CASE("BMWP bands B: 151, 101, 61, 36, 15") {
  check("bmwp-b", "bmwp",
        {{14, 6}, {15, 5}, {35, 5}, {36, 4}, {60, 4}, {61, 3}, {100, 3}, {101, 2}, {150, 2}, {151, 1}});
  check("bmwp-b", "aspt", {{1, 0}, {6, 0}});
}

TEST_CASE("family biotic index bands are printed to two decimals, and a half goes up") {
  check("family-biotic-index", "fbi",
        {{0, 1},      {3.75, 1},  {3.7549, 1}, {3.755, 2},  {3.76, 2},   {4.25, 2},  {4.2549, 2},
         {4.255, 3},  {4.26, 3},  {5.0, 3},    {5.0049, 3}, {5.005, 4},  {5.01, 4},  {5.75, 4},
         {5.755, 5},  {5.76, 5},  {6.5, 5},    {6.5049, 5}, {6.505, 6},  {6.51, 6},  {7.25, 6},
         {7.2549, 6}, {7.255, 7}, {7.26, 7},   {10.0, 7},   {10.004, 7}, {10.01, 0}, {-0.01, 0}});
}

TEST_CASE("count rating bands: above 22, 17-22, 11-16, below 11") {
  check("three-group-count", "rating",
        {{0, 4}, {10, 4}, {11, 3}, {16, 3}, {17, 2}, {22, 2}, {23, 1}, {60, 1}});
}

TEST_CASE("weighted rating bands are not rounded: below 20 Poor, 20 to 40 Fair, above 40 Good") {
  check("three-group-abundance", "rating",
        {{0, 3}, {19.9, 3}, {19.9999, 3}, {20, 2}, {20.0001, 2}, {40, 2}, {40.0001, 1}, {90, 1}});
}

TEST_CASE("every value a class table covers has exactly one class") {
  for (const core::Method& method : core::shipped_methods())
    for (const core::Metric& metric : method.metrics) {
      if (metric.bands.empty()) continue;
      for (int step = 0; step <= 20000; ++step) {
        const double value =
            step / 2000.0 * (metric.id == "aspt" || metric.id == "fbi" ? 1 : 20);  // 0-10 or 0-200
        const double rounded = core::round_for_bands(metric, value);
        int fitting = 0;
        for (const core::ClassBand& band : metric.bands) {
          const bool above =
              !band.lower || rounded > *band.lower || (rounded == *band.lower && !band.lower_open);
          const bool below =
              !band.upper || rounded < *band.upper || (rounded == *band.upper && !band.upper_open);
          fitting += above && below ? 1 : 0;
        }
        if (fitting != 1) FAIL_CHECK(method.id, " ", metric.id, " ", value, " fits ", fitting);
      }
    }
}

TEST_CASE("rounding before banding agrees with the number printed beside it") {
  core::Metric metric;
  metric.decimals = 2;
  for (int sum = 0; sum <= 2000; ++sum)
    for (const int count : {7, 40, 150, 200, 1000}) {
      const double value = static_cast<double>(sum) / count;
      const double printed = core::parse_number(core::format_fixed(value, 2)).value();
      if (core::round_for_bands(metric, value) != printed) FAIL_CHECK(sum, " / ", count);
    }
}

TEST_CASE("no class comes from something that is no number") {
  const core::Metric& metric = core::find_method("bmwp-a")->metrics[0];
  CHECK(core::class_of(metric, std::numeric_limits<double>::quiet_NaN()) == nullptr);
  CHECK(core::class_of(metric, std::numeric_limits<double>::infinity()) == nullptr);
}
