// What does not end before sunset is left for another day: as little as can be, and told.
#include <doctest/doctest.h>

#include <algorithm>
#include <numeric>

#include "core/base/random.hpp"
#include "core/hygiene/visit_plan.hpp"
#include "tests/core/hygiene/hygiene_survey.hpp"
#include "tests/support/near.hpp"

using namespace brookmark;
using namespace brookmark::test;

namespace {

core::VisitPlan planned(const HygieneSurvey& s, const core::PlanRequest& request) {
  const HygieneBook book(s.snapshot);
  return core::plan_visits(s.snapshot, book.waters, book.history, request);
}

bool any_says(const std::vector<std::string>& sentences, const std::string& part) {
  return std::any_of(sentences.begin(), sentences.end(),
                     [&](const std::string& s) { return s.find(part) != std::string::npos; });
}

// A winter day on foot, with a clean set for every pond.
core::PlanRequest winter(const HygieneSurvey& s) {
  core::PlanRequest request;
  for (std::size_t i = 0; i < s.snapshot.sites.size(); ++i) request.sites.emplace_back(i);
  request.day = moment("2025-12-20").date;
  request.utc_offset_min = -120;
  request.clean_sets = s.snapshot.sites.size();
  return request;
}

}  // namespace

TEST_CASE("the far pond that the day is too short for is left, and not the last one of the round") {
  HygieneSurvey s;
  s.site("A", "Ash Pond", at_m(500, 0));
  s.site("B", "Birch Pond", at_m(1000, 0));
  s.site("FAR", "Far Pond", at_m(1000, 12'000));
  s.site("C", "Cherry Pond", at_m(1500, 0));
  core::PlanRequest request = winter(s);
  request.start = at_m(0, 0);
  request.stop_min = 100;
  const core::VisitPlan plan = planned(s, request);
  REQUIRE(plan.another_day.size() == 1);
  CHECK(plan.another_day[0] == s.at("FAR"));
  REQUIRE(plan.stops.size() == 3);
  CHECK(plan.stops[0].site == s.at("A"));
  CHECK(plan.stops[2].site == s.at("C"));
  CHECK(plan.stops[2].leave_min <= *plan.sunset_min);
  CHECK(plan.exact);
  CHECK(any_says(plan.late, "All 4 stops would end at "));
  CHECK(any_says(plan.late, ", and the sun sets at " + core::clock_words(*plan.sunset_min)));
  CHECK(any_says(plan.late, ": left for another day is FAR."));
  CHECK_FALSE(any_says(plan.late, "After sunset"));
  CHECK(any_says(plan.rules, "By daylight no choice of these stops holds more of them."));
  // In June there is light enough.
  request.day = moment("2025-06-20").date;
  const core::VisitPlan summer = planned(s, request);
  CHECK(summer.another_day.empty());
  CHECK(summer.stops.size() == 4);
  CHECK(summer.late.empty());
}

TEST_CASE("where an earlier start would do for all, the plan says by how much") {
  HygieneSurvey s;
  s.site("A", "Ash Pond", at_m(0, 0));
  s.site("B", "Birch Pond", at_m(1000, 0));
  core::PlanRequest request = winter(s);
  request.leave_min = 15 * 60;
  const core::VisitPlan late = planned(s, request);
  REQUIRE(late.another_day.size() == 1);
  // 15:00, 45 minutes, a quarter of an hour on foot, 45 minutes.
  const double over = std::ceil(15 * 60 + 105 - *late.sunset_min);
  REQUIRE(over > 0);
  CHECK(any_says(late.late,
                 "Begun " + std::to_string(static_cast<int>(over)) + " min earlier, all of them would end"));
  request.leave_min = 15 * 60 - static_cast<int>(over);
  CHECK(planned(s, request).another_day.empty());
  CHECK(planned(s, request).late.empty());
}

TEST_CASE("where not even one stop ends before sunset all stay, and that is told") {
  HygieneSurvey s;
  s.site("A", "Ash Pond", at_m(0, 0));
  s.site("B", "Birch Pond", at_m(1000, 0));
  core::PlanRequest request = winter(s);
  request.leave_min = 20 * 60;
  const core::VisitPlan plan = planned(s, request);
  CHECK(plan.stops.size() == 2);
  CHECK(plan.another_day.empty());
  CHECK(any_says(plan.late, "After sunset"));
  CHECK(any_says(plan.late, ": leave them for another day, or begin earlier."));
}

TEST_CASE(
    "no choice of stops holds more by daylight, against every order of every choice, in 40 random rounds") {
  core::Random random(11, core::stream_of("plan by daylight"));
  int shortened = 0;
  for (int round = 0; round < 40; ++round) {
    CAPTURE(round);
    HygieneSurvey s;
    const std::size_t count = 3 + random.below(4);
    for (std::size_t i = 0; i < count; ++i)
      s.site("S" + std::to_string(i), "Pond " + std::to_string(i),
             at_m(random.uniform() * 9000, random.uniform() * 9000));
    if (round % 2 == 0) s.risk("S0", "ranavirus", "2025-06-01");  // it comes last
    core::PlanRequest request = winter(s);
    request.start = at_m(0, 0);
    request.stop_min = 60 + random.uniform() * 60;
    const core::VisitPlan plan = planned(s, request);
    // Every order of every choice, on the same clock: nine, or sunrise.
    const double begin = std::max(540.0, std::ceil(*plan.sunrise_min));
    std::size_t most = 0;
    double earliest = HUGE_VAL;
    std::vector<std::size_t> order(count);
    std::iota(order.begin(), order.end(), 0U);
    do {
      double now = begin;
      core::LonLat at = *request.start;
      for (std::size_t k = 0; k < count; ++k) {
        const core::LonLat next = s.snapshot.sites.position[order[k]];
        now += core::geodesic_m(at, next) * 60 / 4000 + request.stop_min;
        at = next;
        if (now > *plan.sunset_min) break;
        if (round % 2 == 0 && k + 1 < count && order[k] == 0)
          break;  // before others of this order: not allowed
        if (k + 1 > most) most = k + 1, earliest = HUGE_VAL;
        if (k + 1 == most) earliest = std::min(earliest, now);
      }
    } while (std::next_permutation(order.begin(), order.end()));
    // The suspected pond may also come last of fewer stops.
    if (round % 2 == 0)
      for (std::uint32_t choice = 0; choice < (1U << (count - 1)); ++choice) {
        std::vector<std::size_t> kept;
        for (std::size_t i = 1; i < count; ++i)
          if ((choice >> (i - 1) & 1U) != 0) kept.push_back(i);
        do {
          double now = begin;
          core::LonLat at = *request.start;
          std::vector<std::size_t> all = kept;
          all.push_back(0);
          for (const std::size_t i : all) {
            now += core::geodesic_m(at, s.snapshot.sites.position[i]) * 60 / 4000 + request.stop_min;
            at = s.snapshot.sites.position[i];
          }
          if (now > *plan.sunset_min) continue;
          if (all.size() > most) most = all.size(), earliest = HUGE_VAL;
          if (all.size() == most) earliest = std::min(earliest, now);
        } while (std::next_permutation(kept.begin(), kept.end()));
      }
    if (most == 0) continue;  // all stay, see above
    CHECK(plan.stops.size() == most);
    CHECK(plan.stops.size() + plan.another_day.size() == count);
    CHECK(plan.stops.back().leave_min <= *plan.sunset_min);
    // The clock runs on rounded lengths of ways only in words; the same sums here.
    if (most < count) CHECK(near(plan.stops.back().leave_min, earliest, 1e-6));
    shortened += most < count ? 1 : 0;
  }
  MESSAGE(shortened << " of 40 rounds had to be shortened");
  CHECK(shortened >= 15);
}

TEST_CASE("of a long round stop after stop is left until the rest ends before sunset, and no stop is lost") {
  HygieneSurvey s;
  for (int i = 0; i < 16; ++i)
    s.site("S" + std::to_string(i), "Pond " + std::to_string(i), at_m(i * 200.0, 0));
  core::PlanRequest request = winter(s);
  request.start = at_m(-100, 0);
  const core::VisitPlan plan = planned(s, request);
  // In a line from the start nothing is better than to leave the far end: 45 minutes each, 3 minutes between them.
  const double begin = std::max(540.0, std::ceil(*plan.sunrise_min));
  const auto fit = static_cast<std::size_t>((*plan.sunset_min - begin - 1.5 + 3) / 48);
  REQUIRE(fit < 16);
  CHECK(plan.stops.size() == fit);
  for (std::size_t i = 0; i < plan.stops.size(); ++i)
    CHECK(plan.stops[i].site == s.at("S" + std::to_string(i)));
  CHECK(plan.stops.size() + plan.another_day.size() == 16);
  CHECK(any_says(plan.rules, "another choice may hold one more"));
}
