#include <doctest/doctest.h>

#include <algorithm>

#include "tests/core/scoring/survey_builder.hpp"
#include "tests/support/files.hpp"

using namespace brookmark::test;  // the field sheet's words
namespace core = brookmark::core;
using core::ScopeReason;

namespace {

const std::vector<Found> kGoodSheet = {n("Heptageniidae", 60), n("Leuctridae", 60), n("Baetidae", 60)};

core::SampleScore at_water(WaterKind kind, const std::string& method) {
  SurveyBuilder b;
  const SampleIndex s = b.sample(b.site("S1", kind), "2024-05-03", kGoodSheet);
  return score_of(b, method, 0, s);
}

}  // namespace

TEST_CASE("a pond under a running-water method shows its value out of scope and is never classed") {
  for (const char* method :
       {"bmwp-a", "bmwp-b", "family-biotic-index", "three-group-abundance", "three-group-count"}) {
    INFO(method);
    CHECK(at_water(WaterKind::kStream, method).class_rank != 0);
    for (const WaterKind kind : {WaterKind::kPond, WaterKind::kPool, WaterKind::kLakeMargin,
                                 WaterKind::kUnknown, WaterKind::kDitch, WaterKind::kCanal}) {
      const auto score = at_water(kind, method);
      CHECK(score.has_value);
      CHECK(score.value == at_water(WaterKind::kStream, method).value);
      CHECK_FALSE(score.in_scope);
      CHECK(score.class_rank == 0);
      CHECK(has(score, ScopeReason::kWaterKind));
    }
  }
  CHECK(at_water(WaterKind::kPond, "ept-richness").in_scope);
}

TEST_CASE("a sample below the minimum count is out of scope") {
  const auto few = stream_score("family-biotic-index", {n("Baetidae", 99)});
  CHECK(few.value == 4);
  CHECK_FALSE(few.in_scope);
  CHECK(few.class_rank == 0);
  CHECK(has(few, ScopeReason::kBelowMinimumCount));
  const auto enough = stream_score("family-biotic-index", {n("Baetidae", 100)});
  CHECK(enough.in_scope);
  CHECK(enough.class_rank == 2);  // 4.00: 3.76-4.25 Very good
  // All animals of the sample count towards the hundred, scoring or not; absent ones do not.
  CHECK(stream_score("family-biotic-index", {n("Baetidae", 60), n("Lymnaeidae", 40)}).in_scope);
  CHECK_FALSE(stream_score("family-biotic-index", {n("Baetidae", 99), absent("Lymnaeidae")}).in_scope);
}

TEST_CASE("an unknown number is unknown, not below the minimum") {
  const auto unknown = stream_score("family-biotic-index", {n("Baetidae", 60), present("Lymnaeidae")});
  CHECK(has(unknown, ScopeReason::kCountUnknown));
  CHECK_FALSE(has(unknown, ScopeReason::kBelowMinimumCount));
  CHECK_FALSE(unknown.in_scope);
  CHECK(unknown.has_value);
}

TEST_CASE("a blank sample is never scored") {
  SurveyBuilder b;
  const SiteIndex site = b.site("S1", WaterKind::kStream);
  const SampleIndex s = b.sample(site, "2024-05-03", kGoodSheet, SampleKind::kBlank);
  for (const core::Method& method : core::shipped_methods()) {
    const auto score = score_of(b, method.id, 0, s);
    CHECK_FALSE(score.has_value);
    CHECK_FALSE(score.in_scope);
    CHECK(score.class_rank == 0);
    CHECK(score.reasons == static_cast<std::uint16_t>(ScopeReason::kBlankSample));
  }
}

TEST_CASE("a sample without a record, or with absences only, has no score: blank is not zero") {
  for (const core::Method& method : core::shipped_methods())
    for (const std::vector<Found>& sheet :
         {std::vector<Found>{}, {absent("Baetidae"), absent("Leuctridae")}, {n("Baetidae", 0)}}) {
      const auto score = stream_score(method.id, sheet);
      CHECK_FALSE(score.has_value);
      CHECK(score.value == 0);
      CHECK(score.class_rank == 0);
      CHECK(score.reasons == static_cast<std::uint16_t>(ScopeReason::kNothingFound));
    }
}

TEST_CASE("absent animals change nothing") {
  std::vector<Found> sheet = kGoodSheet;
  for (const char* name : {"Perlidae", "Oligochaeta", "Chironomidae", "wriggly thing"})
    sheet.push_back(absent(name));
  for (const core::Method& method : core::shipped_methods()) {
    CHECK(stream_score(method.id, sheet).value == stream_score(method.id, kGoodSheet).value);
    CHECK(stream_score(method.id, sheet).unscored_taxa == stream_score(method.id, kGoodSheet).unscored_taxa);
  }
}

TEST_CASE("records that no line takes give no value, neither for a mean nor for a sum") {
  for (const char* method :
       {"bmwp-a", "bmwp-b", "family-biotic-index", "three-group-abundance", "three-group-count"}) {
    const auto score = stream_score(method, {n("Copepoda", 500), n("Insecta", 5)});
    CHECK_FALSE(score.has_value);
    CHECK(has(score, ScopeReason::kNoScoringTaxa));
    CHECK(score.unscored_taxa == 2);
  }
}

TEST_CASE("the share of the catch that was sorted changes nothing") {
  SurveyBuilder b;
  const SampleIndex s = b.stream_sample({n("Baetidae", 60), n("Caenidae", 60)});
  core::Snapshot halved = b.snapshot();
  halved.samples.subsample_share[s.value()] = 0.5;
  for (const core::Method& method : core::shipped_methods())
    CHECK(core::score_samples(halved, method).metrics[0][0].value ==
          core::score_samples(b.snapshot(), method).metrics[0][0].value);
}

TEST_CASE("an excluded season is out of scope, and the southern hemisphere has the other one") {
  core::Method method = *core::find_method("bmwp-a");
  method.excluded_seasons = {core::Season::kWinter};
  SurveyBuilder b;
  const SiteIndex north = b.site("N", WaterKind::kStream, 52), south = b.site("S", WaterKind::kStream, -35);
  const SampleIndex winter = b.sample(north, "2024-01-10", kGoodSheet),
                    spring = b.sample(north, "2024-04-10", kGoodSheet);
  const SampleIndex summer = b.sample(south, "2024-01-10", kGoodSheet),
                    july = b.sample(south, "2024-07-10", kGoodSheet);
  const core::ScoreTable table = core::score_samples(b.snapshot(), method);
  const auto& scores = table.metrics[0];
  CHECK(has(scores[winter.value()], ScopeReason::kSeason));
  CHECK(scores[winter.value()].class_rank == 0);
  CHECK(scores[winter.value()].has_value);
  CHECK(scores[spring.value()].in_scope);
  CHECK(scores[summer.value()].in_scope);
  CHECK_FALSE(scores[july.value()].in_scope);
  CHECK(core::reasons_text(scores[winter.value()].reasons, method) ==
        "outside the method's scope: it excludes samples taken in winter");
}

TEST_CASE("every reason has its words, and several are joined") {
  const core::Method& fbi = *core::find_method("family-biotic-index");
  CHECK(core::reasons_text(0, fbi).empty());
  for (int bit = 1; bit <= 256; bit *= 2) {
    const std::string text = core::reasons_text(static_cast<std::uint16_t>(bit), fbi);
    INFO(text);
    CHECK((text.starts_with("outside the method's scope: ") || text.starts_with("no value: ")));
    CHECK(text.find("; ") == std::string::npos);
  }
  CHECK(
      core::reasons_text(3, fbi) ==
      "outside the method's scope: it is made for running water, and this water is not known to be running; "
      "outside the method's scope: fewer than the 100 animals it asks for");
}

TEST_CASE("a survey without samples has an empty table") {
  const core::Snapshot empty;
  const core::ScoreTable table = core::score_samples(empty, core::shipped_methods().front());
  REQUIRE(table.metrics.size() == 2);
  CHECK(table.metrics[0].empty());
}
