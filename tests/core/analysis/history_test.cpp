// What a chart is drawn from: by hand, and the history of a catchment against assessing every day anew.
#include "core/analysis/history.hpp"

#include <doctest/doctest.h>

#include <random>

#include "tests/core/analysis/drawn_survey.hpp"

using namespace brookmark::test;
namespace core = brookmark::core;

namespace {

core::Date day(const std::string& iso) {
  return core::parse_date(iso).value();
}

}  // namespace

TEST_CASE("the history of an index has every sample but blanks, with and without a value") {
  SurveyBuilder b;
  const SiteIndex site = b.site("S1", WaterKind::kStream);
  b.sample(site, "2022-05-01", kGood);
  b.sample(site, "2022-06-01", kGood, SampleKind::kBlank);
  b.sample(site, "2022-10-01", {absent("Baetidae")});
  b.sample(site, "2023-05-01", kFair);
  const auto scores = core::score_samples(b.snapshot(), *core::find_method("bmwp-a"));
  const auto points = core::index_history(b.snapshot(), scores, 0, site);
  REQUIRE(points.size() == 3);
  CHECK(points[0].value == kGoodScore);
  CHECK_FALSE(points[1].value);
  CHECK(points[1].class_rank == 0);
  CHECK(points[2].value == kFairScore);
  CHECK(
      core::index_history(b.snapshot(), scores, 0, site, core::SeasonSet::of(core::Season::kAutumn)).size() ==
      1);
}

TEST_CASE(
    "animals are counted by order, by the nearest rank above, or by their own name; the rest together") {
  SurveyBuilder b;
  b.own_taxon("wriggler", "");
  const SiteIndex site = b.site("S1", WaterKind::kStream);
  b.sample(
      site, "2022-05-01",
      {n("Baetidae", 10), n("Heptageniidae", 5), n("Oligochaeta", 7), n("wriggler", 2), present("Perlidae")});
  b.sample(site, "2022-10-01",
           {n("Baetidae", 1), letter("Chironomidae", 10, 99), absent("Perlidae"),
            unsure(n("Leuctridae", 50), 0.2F)});
  const auto h = core::group_history(b.snapshot(), site, 9);
  REQUIRE(h.samples.size() == 2);
  const auto row = [&](const std::string& group) {
    const auto at = std::find(h.groups.begin(), h.groups.end(), group);
    REQUIRE_MESSAGE(at != h.groups.end(), group);
    return h.counts[static_cast<std::size_t>(at - h.groups.begin())];
  };
  CHECK(h.groups.front() == "Ephemeroptera");
  CHECK(row("Ephemeroptera")[0].animals == 15);
  CHECK(row("Ephemeroptera")[1].animals == 1);
  CHECK(row("wriggler")[0].animals == 2);
  // Noted as present: there, and nobody knows how many; the absence later is no animal, and the doubtful name no evidence.
  CHECK(row("Plecoptera")[0].animals == 0);
  CHECK(row("Plecoptera")[0].more);
  CHECK_FALSE(row("Plecoptera")[1].more);
  CHECK(row("Diptera")[1].more);
  const auto few = core::group_history(b.snapshot(), site, 2);
  REQUIRE(few.groups.size() == 3);
  CHECK(few.groups.back() == core::kOtherGroups);
  std::int64_t all = 0;
  for (const auto& counts : few.counts) all += counts[0].animals;
  CHECK(all == 24);  // 10 + 5 + 7 + 2
}

TEST_CASE("events are the days of use of outfalls, oldest first") {
  SurveyBuilder b;
  b.outfall("A", core::OutfallKind::kTrade, {-1, 52}, "2020-01-01", "2022-06-30");
  b.outfall("B", core::OutfallKind::kTrade, {-1, 52}, "2021-01-01");
  b.outfall("C", core::OutfallKind::kTrade, {-1, 52});
  const std::vector<core::OutfallIndex> all{core::OutfallIndex(0), core::OutfallIndex(1),
                                            core::OutfallIndex(2)};
  const auto events = core::outfall_events(b.snapshot(), all);
  REQUIRE(events.size() == 3);
  CHECK(events[0].date == day("2020-01-01"));
  CHECK(events[1].outfall == core::OutfallIndex(1));
  CHECK(events[2].date == day("2022-06-30"));
  CHECK_FALSE(events[2].begins);
}

TEST_CASE("measured values make one series a quantity and unit, and a bound stays a bound") {
  SurveyBuilder b;
  const SiteIndex site = b.site("S1", WaterKind::kStream), other = b.site("S2", WaterKind::kStream);
  b.sample(site, "2022-10-01", kGood);
  b.sample(other, "2022-05-01", kGood);
  core::Snapshot s = b.snapshot();
  const auto visit = [&](SiteIndex at, const std::string& date) {
    s.visits.site.push_back(at);
    s.visits.start.push_back({day(date), {}, {}});
    return core::VisitIndex(s.visits.site.size() - 1);
  };
  const auto measure = [&](core::VisitIndex at, const char* quantity, const char* unit,
                           std::optional<double> value, bool below = false) {
    s.measurements.quantity.append(quantity);
    s.measurements.unit.append(unit);
    s.measurements.visit.push_back(at);
    s.measurements.value.push_back(value);
    s.measurements.below_detection.push_back(below);
  };
  const auto late = visit(site, "2022-10-01"), early = visit(site, "2022-05-01"),
             there = visit(other, "2022-05-01");
  measure(late, "Ammonia", "mg/l", 0.4);
  measure(early, "ammonia", "mg/l", 0.05, true);
  measure(early, "ammonia", "ug/l", 30);
  measure(there, "ammonia", "mg/l", 9);
  measure(early, "pH", "", std::nullopt, true);
  const auto series = core::measured_history(s, site);
  REQUIRE(series.size() == 2);
  CHECK(series[0].unit == "mg/l");
  REQUIRE(series[0].points.size() == 2);
  CHECK(series[0].points[0].below);
  CHECK(series[0].points[1].value == 0.4);
  CHECK(series[1].unit == "ug/l");
}

TEST_CASE("the history of a catchment is what assessing every day anew says of it") {
  std::mt19937 random(20261127);
  const std::vector<std::vector<Found>> trays{kGood, kFair, kPoor, {absent("Baetidae")}};
  const auto below = [&](std::uint32_t limit) { return static_cast<std::uint32_t>(random() % limit); };
  for (int round = 0; round < 60; ++round) {
    CAPTURE(round);
    SurveyBuilder b;
    core::CatchmentNesting nesting;
    nesting.parent = {core::CatchmentIndex::none(), core::CatchmentIndex(0), core::CatchmentIndex(0)};
    nesting.area_m2 = {3, 1, 1};
    for (int i = 0; i < 5; ++i) {
      const SiteIndex site = b.site("S" + std::to_string(i), WaterKind::kStream);
      nesting.site_smallest.push_back(below(5) == 0 ? core::CatchmentIndex::none()
                                                    : core::CatchmentIndex(below(3)));
      core::Date date{19000};
      for (std::uint32_t k = below(6); k > 0; --k) {
        date.days += static_cast<int>(below(4)) * 60;  // some on one day
        const auto& tray = trays[below(4)];
        b.sample(site, core::format_date(date), tray,
                 below(5) == 0 ? SampleKind::kReplicate : SampleKind::kRoutine);
      }
    }
    const core::SeasonSet seasons =
        below(2) == 0 ? core::SeasonSet()
                      : core::SeasonSet::of(core::Season::kSpring).with(core::Season::kSummer);
    const auto scores = core::score_samples(b.snapshot(), *core::find_method("bmwp-a"));
    for (std::size_t c = 0; c < 3; ++c) {
      core::Date last{0};
      for (const core::CatchmentPoint& point :
           core::catchment_history(b.snapshot(), scores, 0, nesting, core::CatchmentIndex(c), seasons)) {
        CHECK(point.date > last);
        last = point.date;
        const auto whole =
            core::assess(b.snapshot(), scores, 0, nesting, {point.date, {}, seasons}).catchments[c];
        CHECK(point.known.sites == whole.sites);
        CHECK(point.known.assessed_sites == whole.assessed_sites);
        CHECK(point.known.worst_rank == whole.worst_rank);
        CHECK(point.known.median_rank == whole.median_rank);
        CHECK(point.known.median_value == whole.median_value);
        CHECK(point.known.median_site == whole.median_site);
      }
    }
  }
}
