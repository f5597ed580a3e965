// The story that demo_area/README.md tells, asked through the public API as the map asks it.
#include <doctest/doctest.h>

#include "core/analysis/check.hpp"
#include "core/scoring/still_water.hpp"
#include "tests/support/near.hpp"
#include "tests/viewer/demo/demo_fixture.hpp"

namespace brookmark {
namespace {

using test::catchment;
using test::class_name;
using test::default_method;
using test::made;
using test::on;
using test::site;
using test::to_outfall;

}  // namespace

TEST_CASE("before the overflow fails the whole main stream is good") {
  const core::Assessment before = on("2021-12-31");
  for (const char* code : {"Q01", "Q02", "Q03", "Q04", "Q05", "Q06", "Q07", "Q08", "Q09"}) {
    INFO(code);
    CHECK(before.sites[site(code)].in_scope);
    CHECK(class_name(before, code) == "Good");
  }
}

TEST_CASE("a year on, sites below the overflow have fallen, most next to it, and those above have not") {
  for (const char* day : {"2023-06-30", "2025-12-31"}) {
    INFO(day);
    const core::Assessment after = on(day);
    for (const char* code : {"Q01", "Q02", "Q03"}) CHECK(class_name(after, code) == "Good");
    CHECK(class_name(after, "Q04") == "Seriously polluted");
    CHECK(class_name(after, "Q05") == "Poor");
    CHECK(class_name(after, "Q06") == "Poor");
    CHECK(class_name(after, "Q07") == "Fair");
    CHECK(class_name(after, "Q08") == "Fair");
    CHECK(class_name(after, "Q09") == "Good");
  }
}

TEST_CASE("the failing overflow lies upstream of every fallen site and of no site above") {
  double last = 0;
  for (const char* code : {"Q04", "Q05", "Q06", "Q07", "Q08", "Q09"}) {
    INFO(code);
    const core::ChannelDistance way = to_outfall(code, "OUT-2");
    CHECK(way.relation == core::Relation::kUpstream);
    REQUIRE(way.distance_m.has_value());
    CHECK(*way.distance_m > last);  // listed from the outfall down
    CHECK(*way.distance_m > way.straight_m * 0.99);
    last = *way.distance_m;
  }
  for (const char* code : {"Q01", "Q02", "Q03"})
    CHECK(to_outfall(code, "OUT-2").relation == core::Relation::kDownstream);
  for (const char* code : {"T02", "E01"})
    CHECK(to_outfall(code, "OUT-2").relation == core::Relation::kDownstream);
  CHECK(to_outfall("P02", "OUT-2").relation == core::Relation::kViaConfluence);

  // Added up along the drawn line in degrees times the metres of a degree at 45 N (78846.8 east, 111131.8
  // north; both from the WGS 84 ellipsoid), by a separate script: good to a metre over these lengths.
  CHECK(test::near(to_outfall("Q04", "OUT-2").distance_m.value_or(0), 117, 1));
  CHECK(test::near(to_outfall("Q06", "OUT-2").distance_m.value_or(0), 1214, 1));
  CHECK(test::near(to_outfall("Q09", "OUT-2").distance_m.value_or(0), 4251, 2));
  CHECK(test::near(to_outfall("Q03", "OUT-2").distance_m.value_or(0), 360, 1));
}

TEST_CASE("Tarrow Beck below the works starts poor and is good by 2024") {
  CHECK(class_name(on("2020-12-31"), "T02") == "Poor");
  CHECK(class_name(on("2021-12-31"), "T02") == "Poor");
  CHECK(class_name(on("2023-06-30"), "T02") == "Fair");
  CHECK(class_name(on("2024-06-30"), "T02") == "Good");
  CHECK(class_name(on("2025-12-31"), "T02") == "Good");
  for (const char* day : {"2020-12-31", "2021-12-31"}) CHECK(class_name(on(day), "T03") == "Poor");
  CHECK(class_name(on("2023-06-30"), "T03") == "Fair");
  for (const char* code : {"T02", "T03"}) CHECK(class_name(on("2023-12-31"), code) == "Good");
  CHECK(class_name(on("2025-12-31"), "T03") == "Good");
  CHECK(on("2020-12-31").sites[site("T01")].class_rank == 2);
  CHECK(to_outfall("T02", "OUT-1").relation == core::Relation::kUpstream);
  CHECK(to_outfall("T01", "OUT-1").relation == core::Relation::kDownstream);
}

TEST_CASE("the urban tributary stays poor and the headwater excellent, every year") {
  for (const char* day :
       {"2020-12-31", "2021-12-31", "2022-12-31", "2023-12-31", "2024-12-31", "2025-12-31"}) {
    INFO(day);
    const core::Assessment year = on(day);
    CHECK(class_name(year, "P01") == "Poor");
    CHECK(class_name(year, "P02") == "Poor");
    CHECK(class_name(year, "E01") == "Excellent");
    CHECK(class_name(year, "E02") == "Excellent");
  }
}

TEST_CASE("a thin sample drops a class, and the method that asks for 100 animals says so") {
  CHECK(class_name(on("2024-06-30"), "S01") == "Good");
  CHECK(class_name(on("2024-12-31"), "S01") == "Fair");
  CHECK(class_name(on("2025-06-30"), "S01") == "Good");
  const core::Method* index = core::find_method("family-biotic-index");
  REQUIRE(index != nullptr);
  const core::ScoreTable scores = core::score_samples(made().survey, *index);
  const auto sample = made().survey.find_sample("S01-2024-10");
  REQUIRE(sample.has_value());
  const core::SampleScore& score = scores.metrics[0][sample->value()];
  CHECK_FALSE(score.in_scope);
  CHECK(score.class_rank == 0);
  CHECK((score.reasons & static_cast<unsigned>(core::ScopeReason::kBelowMinimumCount)) != 0);
}

TEST_CASE("every shipped running-water metric with classes tells the same story") {
  for (const core::Method& method : core::shipped_methods())
    for (std::size_t m = 0; m < method.metrics.size(); ++m) {
      if (method.flow != core::Flow::kRunning) continue;
      INFO(method.id, " ", method.metrics[m].id);
      const double up = method.metrics[m].higher_is_better ? 1 : -1;
      const core::Assessment before = on("2021-12-31", method, m), after = on("2025-12-31", method, m);
      const auto value = [](const core::Assessment& a, const char* code) {
        CHECK(a.sites[site(code)].in_scope);
        return a.sites[site(code)].value;
      };
      for (const char* code : {"Q04", "Q05", "Q06"})
        CHECK(up * value(before, code) > up * value(after, code));
      for (const char* code : {"T02", "T03"}) CHECK(up * value(before, code) < up * value(after, code));
      CHECK(up * value(after, "E01") > up * value(after, "P02"));
      if (method.metrics[m].bands.empty()) continue;
      CHECK(after.sites[site("Q04")].class_rank > before.sites[site("Q04")].class_rank);
      CHECK(after.sites[site("T02")].class_rank < before.sites[site("T02")].class_rank);
    }
}

TEST_CASE("ponds have no class under a method for running water") {
  const core::Assessment end = on("2025-12-31");
  REQUIRE(default_method().flow == core::Flow::kRunning);
  for (const char* code : {"N01", "N02", "N03"}) {
    INFO(code);
    CHECK(end.sites[site(code)].newest_sample.has_value());
    CHECK_FALSE(end.sites[site(code)].in_scope);
    CHECK(end.sites[site(code)].class_rank == 0);
  }
  CHECK(end.sites[site("D01")].class_rank == 0);  // a ditch may stand or flow
}

TEST_CASE(
    "the three ponds are read from their animals: two point to good, of the one with bare clay too little is "
    "found") {
  const core::StillWaterReader reader(made().survey);
  const core::Assessment end = on("2025-12-31");
  const auto newest = [&](const char* code) { return reader.read(end.sites[site(code)].newest_sample); };
  const auto piece = [](const core::StillReading& reading, const std::string& start) {
    for (const core::Evidence& evidence : reading.evidence)
      if (evidence.item.starts_with(start)) return evidence;
    return core::Evidence{};
  };
  // Heron and Alder Pond have caddisflies and mayflies; Kiln Pond has one mayfly family and much that bears poor water.
  for (const char* code : {"N01", "N03"}) {
    INFO(code);
    CHECK(newest(code).verdict == core::Verdict::kGood);
    CHECK(piece(newest(code), "Sensitive").strength == core::Strength::kStrong);
  }
  CHECK(newest("N02").verdict == core::Verdict::kTooLittle);
  CHECK(newest("N02").why.find("weak evidence only, leaning to good") != std::string::npos);
  CHECK(piece(newest("N02"), "Sensitive").strength == core::Strength::kWeak);
  // Two other ponds are too few to compare families with, and that is said.
  for (const char* code : {"N01", "N02", "N03"}) {
    INFO(code);
    const core::Evidence families = piece(newest(code), "Families against");
    CHECK(families.pointing == core::Pointing::kNeutral);
    CHECK(families.finding.find("2 of the 5 other still waters needed") != std::string::npos);
  }
  CHECK(newest("Q01").verdict == core::Verdict::kOutOfScope);
  CHECK(newest("D01").caution.find("may stand or run") != std::string::npos);
}

TEST_CASE("at the end of 2025 the sub-catchment of the failing stretch is the worst") {
  const core::Assessment end = on("2025-12-31");
  const core::CatchmentAssessment& middle = end.catchments[catchment("C4")];
  CHECK(middle.assessed_sites == 5);
  for (const char* code : {"C1", "C2", "C3", "C3a", "C3b", "C5", "C6"}) {
    INFO(code);
    const core::CatchmentAssessment& other = end.catchments[catchment(code)];
    CHECK(other.assessed_sites > 0);
    CHECK(middle.worst_rank > other.worst_rank);
    CHECK(middle.median_rank >= other.median_rank);
  }
  // It was as good as any other on the main stream before.
  CHECK(on("2021-12-31").catchments[catchment("C4")].worst_rank <= 2);
}

TEST_CASE("checking the demo gives findings but no errors") {
  const auto findings = core::check_survey(made().survey, made().channels, core::make_date({2026, 1, 5}));
  CHECK_FALSE(findings.empty());
  for (const core::Finding& one : findings) {
    INFO(one.what, " | ", one.where, " | ", one.text);
    CHECK(one.severity != core::Severity::kError);
  }
}

}  // namespace brookmark
