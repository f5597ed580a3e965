#include <doctest/doctest.h>

#include <random>

#include "core/scoring/assessment.hpp"
#include "tests/core/scoring/survey_builder.hpp"

using namespace brookmark::test;  // the field sheet's words
namespace core = brookmark::core;

namespace {

constexpr auto kStream = WaterKind::kStream;

core::Date day(const std::string& iso) {
  return core::parse_date(iso).value();
}

core::Assessment assess(const SurveyBuilder& b, const std::string& until,
                        const std::string& method = "bmwp-a", const core::CatchmentNesting& nesting = {},
                        std::size_t metric = 0) {
  const core::ScoreTable table = core::score_samples(b.snapshot(), *core::find_method(method));
  return core::assess(b.snapshot(), table, metric, nesting, day(until));
}

// BMWP 10, 20, ... from families of 10.
std::vector<Found> worth(int tens) {
  static const char* const names[] = {"Heptageniidae", "Leuctridae",  "Perlidae",  "Goeridae",
                                      "Capniidae",     "Ephemeridae", "Beraeidae", "Molannidae",
                                      "Phryganeidae",  "Leptoceridae"};
  std::vector<Found> sheet;
  for (int i = 0; i < tens; ++i) sheet.push_back(present(names[i]));
  return sheet;
}

// Catchment 0 holds 1 and 2; each site lies in the one named.
core::CatchmentNesting nesting_of(std::vector<core::CatchmentIndex> sites) {
  core::CatchmentNesting nesting;
  nesting.parent = {core::CatchmentIndex::none(), core::CatchmentIndex(0), core::CatchmentIndex(0)};
  nesting.area_m2 = {100, 40, 30};
  nesting.site_smallest = std::move(sites);
  return nesting;
}

}  // namespace

TEST_CASE("a site shows its newest sample on or before the date") {
  SurveyBuilder b;
  const SiteIndex site = b.site("S1", kStream);
  const auto first = b.sample(site, "2022-05-01", worth(2)), second = b.sample(site, "2023-05-01", worth(9));
  CHECK_FALSE(assess(b, "2022-04-30").sites[0].sample.has_value());
  CHECK_FALSE(assess(b, "2022-04-30").sites[0].newest_sample.has_value());
  CHECK(assess(b, "2022-05-01").sites[0].sample == first);
  CHECK(assess(b, "2022-05-01").sites[0].value == 20);
  CHECK(assess(b, "2022-05-01").sites[0].class_rank == 4);  // 15-49 Poor
  CHECK(assess(b, "2023-04-30").sites[0].sample == first);
  const auto now = assess(b, "2030-01-01");
  CHECK(now.sites[0].sample == second);
  CHECK(now.sites[0].class_rank == 1);  // 90: Excellent
  CHECK(now.sites[0].in_scope);
  CHECK(now.metric_info().id == "bmwp");
  CHECK(now.until() == day("2030-01-01"));
}

TEST_CASE("an older sample in scope goes before a newer one out of scope") {
  SurveyBuilder b;
  const SiteIndex site = b.site("S1", kStream);
  const auto full = b.sample(site, "2022-05-01", {n("Baetidae", 120)});
  const auto small = b.sample(site, "2023-05-01", {n("Baetidae", 20)});
  const auto now = assess(b, "2024-01-01", "family-biotic-index").sites[0];
  CHECK(now.sample == full);
  CHECK(now.in_scope);
  CHECK(now.has_value);
  CHECK(now.newest_sample == small);
  CHECK(now.superseded);  // a newer sample, of 2023, has no class
}

TEST_CASE("failing one in scope, the newest with a value is shown without a class") {
  SurveyBuilder b;
  const SiteIndex pond = b.site("P1", WaterKind::kPond);
  b.sample(pond, "2021-05-01", worth(3));
  const auto second = b.sample(pond, "2022-05-01", worth(2));
  const auto empty = b.sample(pond, "2023-05-01", {});
  const auto now = assess(b, "2024-01-01").sites[0];
  CHECK(now.sample == second);
  CHECK(now.value == 20);
  CHECK_FALSE(now.in_scope);
  CHECK(now.class_rank == 0);
  CHECK(now.newest_sample == empty);
}

TEST_CASE("a site with nothing but blanks and empty samples has no value") {
  SurveyBuilder b;
  const SiteIndex site = b.site("S1", kStream);
  const auto nothing = b.sample(site, "2022-05-01", {});
  b.sample(site, "2022-06-01", worth(9), SampleKind::kBlank);
  b.site("S2", kStream);
  const auto now = assess(b, "2024-01-01");
  CHECK_FALSE(now.sites[0].sample.has_value());
  CHECK(now.sites[0].newest_sample == nothing);
  CHECK(now.sites[0].class_rank == 0);
  CHECK_FALSE(now.sites[1].newest_sample.has_value());
}

TEST_CASE("of one day's samples a routine one goes before a replicate") {
  SurveyBuilder b;
  const SiteIndex site = b.site("S1", kStream);
  b.sample(site, "2021-05-01", worth(1));
  const auto routine = b.sample(site, "2022-05-01", worth(5));
  b.sample(site, "2022-05-01", worth(9), SampleKind::kReplicate);
  b.sample(site, "2022-05-01", worth(9), SampleKind::kBlank);
  CHECK(assess(b, "2024-01-01").sites[0].sample == routine);
  SurveyBuilder c;
  const SiteIndex other = c.site("S1", kStream);
  c.sample(other, "2021-05-01", worth(1));
  const auto replicate = c.sample(other, "2022-05-01", worth(9), SampleKind::kReplicate);
  CHECK(assess(c, "2024-01-01").sites[0].sample == replicate);
}

TEST_CASE("a catchment counts its sites and those of its sub-catchments, with worst and median") {
  SurveyBuilder b;
  const core::CatchmentIndex outer(0), left(1), right(2);
  // Classes: 90 -> 1, 80 -> 2, 60 -> 3, 20 -> 4; the pond has a value but no class; S6 was never sampled.
  const int tens[] = {9, 8, 6, 2};
  for (int i = 0; i < 4; ++i)
    b.sample(b.site(std::to_string(i), kStream), std::to_string(2020 + i) + "-05-01", worth(tens[i]));
  b.sample(b.site("S4", WaterKind::kPond), "2029-05-01", worth(1));
  b.site("S5", kStream);
  b.sample(b.site("S6", kStream), "2010-05-01", worth(1));  // outside every catchment
  const auto nesting = nesting_of({left, left, left, outer, left, right, core::CatchmentIndex::none()});
  const auto now = assess(b, "2030-01-01", "bmwp-a", nesting);
  REQUIRE(now.catchments.size() == 3);
  const auto &whole = now.catchments[0], &part = now.catchments[1], &other = now.catchments[2];
  CHECK(whole.sites == 6);
  CHECK(whole.assessed_sites == 4);
  CHECK(whole.worst_rank == 4);
  CHECK(whole.median_rank == 3);      // of 1 2 3 4 the worse of 2 and 3
  CHECK(whole.median_value == 60.0);  // that site's: of 90 80 60 20 the worse of 80 and 60
  CHECK(whole.median_site == core::SiteIndex(2));
  CHECK(whole.first == day("2020-05-01"));
  CHECK(whole.last == day("2023-05-01"));
  CHECK(part.sites == 4);
  CHECK(part.assessed_sites == 3);
  CHECK(part.worst_rank == 3);
  CHECK(part.median_rank == 2);  // of 1 2 3
  CHECK(part.median_value == 80.0);
  CHECK(part.median_site == core::SiteIndex(1));
  CHECK(other.sites == 1);
  CHECK(other.assessed_sites == 0);
  CHECK(other.worst_rank == 0);
  CHECK(other.median_rank == 0);
  CHECK_FALSE(other.median_value.has_value());
  CHECK_FALSE(other.median_site.has_value());
  CHECK_FALSE(other.first.has_value());
  // Two years earlier there were two of them.
  const auto then = assess(b, "2021-12-31", "bmwp-a", nesting);
  CHECK(then.catchments[0].assessed_sites == 2);
  CHECK(then.catchments[0].median_rank == 2);
}

TEST_CASE("where lower is better the median is still the worse of the middle two") {
  SurveyBuilder b;
  b.sample(b.site("S1", kStream), "2022-05-01", {n("Baetidae", 100)});  // 4
  b.sample(b.site("S2", kStream), "2022-05-01", {n("Asellus", 100)});   // 8
  const auto now = assess(b, "2024-01-01", "family-biotic-index",
                          nesting_of({core::CatchmentIndex(1), core::CatchmentIndex(1)}));
  CHECK(now.catchments[1].median_value == 8.0);  // of 4 and 8
  CHECK(now.catchments[1].median_rank == 7);     // 7.26-10 Very poor, against 2
}

TEST_CASE("a collapse takes the older class away: animals were found, and none of them scores") {
  SurveyBuilder b;
  const SiteIndex site = b.site("S1", kStream);
  const auto good = b.sample(site, "2022-05-01", worth(9));
  const auto bare = b.sample(site, "2023-05-01", {n("Copepoda", 40), n("Culicidae", 60)});
  CHECK(assess(b, "2023-04-30").sites[0].sample == good);
  const auto now = assess(b, "2024-01-01").sites[0];
  CHECK(now.sample == bare);
  CHECK_FALSE(now.has_value);
  CHECK(now.class_rank == 0);
  CHECK(now.value == 0);
  CHECK_FALSE(now.superseded);
  // It is no longer one of the assessed sites of its catchment.
  const auto within = assess(b, "2024-01-01", "bmwp-a", nesting_of({core::CatchmentIndex(1)}));
  CHECK(within.catchments[1].sites == 1);
  CHECK(within.catchments[1].assessed_sites == 0);
  CHECK_FALSE(within.catchments[1].median_value.has_value());
  // A later sample that is merely too small says nothing, and does not bring the old class back.
  const auto full = b.sample(site, "2023-06-01", {n("Baetidae", 120)});
  const auto worms = b.sample(site, "2023-07-01", {n("Oligochaeta", 500)});
  const auto few = b.sample(site, "2023-08-01", {n("Baetidae", 20)});
  const auto then = assess(b, "2024-01-01", "family-biotic-index").sites[0];
  CHECK(assess(b, "2023-06-30", "family-biotic-index").sites[0].sample == full);
  CHECK(then.sample == worms);
  CHECK(then.class_rank == 0);
  CHECK_FALSE(then.has_value);
  CHECK(then.newest_sample == few);
  CHECK(then.superseded);
}

TEST_CASE("a sample of absences only takes the older class away too, for classes and for plain values") {
  SurveyBuilder b;
  const SiteIndex site = b.site("S1", kStream);
  b.sample(site, "2022-05-01", worth(9));
  const auto nothing = b.sample(site, "2023-05-01", {absent("Baetidae"), absent("Oligochaeta")});
  for (const char* method : {"bmwp-a", "three-group-count", "ept-richness", "family-richness"}) {
    const auto now = assess(b, "2024-01-01", method, nesting_of({core::CatchmentIndex(0)}));
    CHECK(now.sites[0].sample == nothing);
    CHECK_FALSE(now.sites[0].has_value);
    CHECK(now.sites[0].class_rank == 0);
    CHECK(now.catchments[0].assessed_sites == 0);
  }
}

TEST_CASE("what proves no collapse keeps the older class, and says that it is superseded") {
  struct Case {
    std::vector<Found> sheet;
    SampleKind kind;
  };
  const Case cases[] = {
      {{}, SampleKind::kRoutine},                                          // nothing recorded
      {{n("Copepoda", 400)}, SampleKind::kReplicate},                      // a replicate alone
      {{n("Baetidae", 99)}, SampleKind::kRoutine},                         // too few
      {{n("Baetidae", 60), present("Leuctridae")}, SampleKind::kRoutine},  // no counts
      {{unsure(n("Baetidae", 400), 0.2F)}, SampleKind::kRoutine},          // too uncertain to use
  };
  for (const Case& c : cases) {
    SurveyBuilder b;
    const SiteIndex site = b.site("S1", kStream);
    const auto good = b.sample(site, "2022-05-01", {n("Perlidae", 100)});
    const auto newer = b.sample(site, "2023-05-01", c.sheet, c.kind);
    const auto now = assess(b, "2024-01-01", "family-biotic-index").sites[0];
    CHECK(now.sample == good);
    CHECK(now.class_rank == 1);  // 1.0: Excellent
    CHECK(now.newest_sample == newer);
    CHECK(now.superseded);
    CHECK_FALSE(assess(b, "2022-12-31", "family-biotic-index").sites[0].superseded);
  }
  // In an excluded season, the missing animals may only be asleep.
  core::Method method = *core::find_method("bmwp-a");
  method.excluded_seasons = {core::Season::kWinter};
  SurveyBuilder b;
  const SiteIndex site = b.site("S1", kStream);
  const auto good = b.sample(site, "2022-05-01", worth(9));
  b.sample(site, "2023-01-10", {n("Copepoda", 40)});
  const auto now =
      core::assess(b.snapshot(), core::score_samples(b.snapshot(), method), 0, {}, day("2024-01-01"));
  CHECK(now.sites[0].sample == good);
  CHECK(now.sites[0].superseded);
  // A pond has no class to lose.
  SurveyBuilder c;
  const SiteIndex pond = c.site("P1", WaterKind::kPond);
  const auto old = c.sample(pond, "2022-05-01", worth(9));
  c.sample(pond, "2023-05-01", {n("Copepoda", 40)});
  CHECK(assess(c, "2024-01-01").sites[0].sample == old);
  CHECK_FALSE(assess(c, "2024-01-01").sites[0].in_scope);
}

TEST_CASE("of one day's samples a value goes before a collapse, but a replicate's does not") {
  SurveyBuilder b;
  const SiteIndex site = b.site("S1", kStream), other = b.site("S2", kStream);
  const auto found = b.sample(site, "2022-05-01", worth(5));
  b.sample(site, "2022-05-01", {n("Copepoda", 4)});
  const auto bare = b.sample(other, "2022-05-01", {n("Copepoda", 4)});
  b.sample(other, "2022-05-01", worth(5), SampleKind::kReplicate);
  const auto now = assess(b, "2024-01-01");
  CHECK(now.sites[0].sample == found);
  CHECK_FALSE(now.sites[0].superseded);
  CHECK(now.sites[1].sample == bare);
  CHECK_FALSE(now.sites[1].has_value);
}

TEST_CASE("a metric without classes is assessed by its values") {
  SurveyBuilder b;
  b.sample(b.site("S1", WaterKind::kPond), "2022-05-01", {n("Baetis", 1), n("Caenis", 1)});
  const auto now = assess(b, "2024-01-01", "ept-richness", nesting_of({core::CatchmentIndex(2)}));
  CHECK(now.catchments[2].assessed_sites == 1);
  CHECK(now.catchments[2].median_value == 2.0);
  CHECK(now.catchments[2].worst_rank == 0);
}

TEST_CASE(
    "the middle site of any catchment is the one that counting finds, and class and value are its own") {
  std::mt19937 random(20);
  for (int trial = 0; trial < 60; ++trial) {
    INFO("trial ", trial);
    SurveyBuilder b;
    const auto count = 1 + random() % 9;
    std::vector<core::CatchmentIndex> smallest;
    for (std::size_t i = 0; i < count; ++i) {
      b.sample(b.site(std::to_string(i), kStream), "2022-05-01", worth(1 + static_cast<int>(random() % 9)));
      smallest.push_back(core::CatchmentIndex(0));
    }
    const auto now = assess(b, "2024-01-01", "bmwp-a", nesting_of(smallest));
    const auto& c = now.catchments[0];
    REQUIRE(c.median_site.has_value());
    const auto& middle = now.sites[c.median_site.value()];
    CHECK(c.median_value == middle.value);
    CHECK(c.median_rank == middle.class_rank);
    // At least half of the sites are as bad or worse, and at least half as good or better; of two such values this
    // is the worse, so that fewer than half are worse than it.
    std::size_t worse = 0, better = 0;
    for (const auto& site : now.sites) {
      worse += site.value < middle.value ? 1U : 0U;
      better += site.value > middle.value ? 1U : 0U;
    }
    CHECK(2 * worse < count);
    CHECK(2 * better <= count);
    CHECK(core::class_of(now.metric_info(), *c.median_value)->rank == c.median_rank);
  }
}

TEST_CASE("an empty survey has an empty assessment") {
  const core::Snapshot empty;
  const core::ScoreTable table = core::score_samples(empty, core::shipped_methods().front());
  const auto now = core::assess(empty, table, 0, {}, day("2024-01-01"));
  CHECK(now.sites.empty());
  CHECK(now.catchments.empty());
}
