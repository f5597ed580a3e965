#include <doctest/doctest.h>

#include <algorithm>

#include "core/scoring/score_note.hpp"
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
  CHECK_FALSE(stream_score("family-biotic-index", {n("Baetidae", 99), absent("Lymnaeidae")}).in_scope);
}

TEST_CASE("only animals that the table scores count towards the minimum") {
  // 95 snails are no arthropods: the mean is that of 5 stoneflies, 5 x 1 / 5 = 1.0, which would be Excellent.
  const auto snails = stream_score("family-biotic-index", {n("Lymnaeidae", 95), n("Perlidae", 5)});
  CHECK(snails.value == 1);
  CHECK_FALSE(snails.in_scope);
  CHECK(snails.class_rank == 0);
  CHECK(snails.reasons == static_cast<std::uint16_t>(ScopeReason::kBelowMinimumCount));
  CHECK(core::reasons_text(snails.reasons, *core::find_method("family-biotic-index")) ==
        "outside the method's scope: it asks for 100 animals of the kinds that it scores, and the sample has "
        "fewer");
  // 60 + 40 of the list are enough, whatever else was there, counted or not.
  for (const Found& beside : {n("Lymnaeidae", 95), present("Oligochaeta")})
    CHECK(stream_score("family-biotic-index", {n("Perlidae", 60), n("Baetidae", 40), beside}).in_scope);
  // A line for larvae does not score adults, nor count them.
  core::Method larvae = *core::find_method("family-biotic-index");
  for (core::ScoreUnit& unit : larvae.units) unit.stage = LifeStage::kLarva;
  SurveyBuilder b;
  b.stream_sample({n("Elmidae", 90, LifeStage::kAdult), n("Perlidae", 10, LifeStage::kLarva)});
  CHECK(has(core::score_samples(b.snapshot(), larvae).metrics[0][0], ScopeReason::kBelowMinimumCount));
  // A method without a table counts every animal.
  core::Method richness = *core::find_method("family-richness");
  richness.minimum_count = 100;
  SurveyBuilder c;
  c.stream_sample({n("Lymnaeidae", 95), n("Copepoda", 5)});
  c.stream_sample({n("Lymnaeidae", 95), n("Copepoda", 4)});
  const auto table = core::score_samples(c.snapshot(), richness);
  CHECK(table.metrics[0][0].in_scope);
  CHECK_FALSE(table.metrics[0][1].in_scope);
}

TEST_CASE("the minimum count is of what was sorted, not of the whole catch") {
  // 30 sorted in a tenth stand for 300, but 30 were looked at.
  const auto tenth = sorted_score("family-biotic-index", {n("Baetidae", 30)}, 0.1);
  CHECK(has(tenth, ScopeReason::kBelowMinimumCount));
}

TEST_CASE("an unknown number is unknown, not below the minimum") {
  const auto unknown = stream_score("family-biotic-index", {n("Baetidae", 60), present("Leuctridae")});
  CHECK(has(unknown, ScopeReason::kCountUnknown));
  CHECK_FALSE(has(unknown, ScopeReason::kBelowMinimumCount));
  CHECK_FALSE(unknown.in_scope);
  // An uncounted snail is none of the animals asked for.
  const auto few = stream_score("family-biotic-index", {n("Baetidae", 60), present("Lymnaeidae")});
  CHECK(has(few, ScopeReason::kBelowMinimumCount));
  CHECK_FALSE(has(few, ScopeReason::kCountUnknown));
  CHECK(few.has_value);
}

TEST_CASE("a pond without counts is outside the scope first, and without a value second") {
  SurveyBuilder b;
  const SampleIndex s =
      b.sample(b.site("P1", WaterKind::kPond), "2024-05-03", {letter("Caenidae", 10, 99), n("Baetidae", 3)});
  const auto score = score_of(b, "family-biotic-index", 0, s);
  CHECK_FALSE(score.in_scope);
  CHECK_FALSE(score.has_value);
  const std::string text =
      core::reasons_text(score.reasons, *core::find_method("family-biotic-index"), WaterKind::kPond);
  INFO(text);
  CHECK(
      text.starts_with("outside the method's scope: it is made for running water, and this is a pond, a "
                       "still water; "));
  CHECK(text.ends_with("; no value: the method needs counts, and some scoring records have none"));
}

TEST_CASE("what is known of the water is said") {
  const core::Method& bmwp = *core::find_method("bmwp-a");
  const auto words = [&](WaterKind kind, const core::Method& method) {
    const std::string text =
        core::reasons_text(static_cast<std::uint16_t>(ScopeReason::kWaterKind), method, kind);
    const std::string start = "outside the method's scope: it is made for ";
    REQUIRE(text.starts_with(start));
    return text.substr(start.size());
  };
  CHECK(words(WaterKind::kPond, bmwp) == "running water, and this is a pond, a still water");
  CHECK(words(WaterKind::kLakeMargin, bmwp) == "running water, and this is a lake margin, a still water");
  CHECK(words(WaterKind::kDitch, bmwp) == "running water, and a ditch may stand or run");
  CHECK(words(WaterKind::kCanal, bmwp) == "running water, and a canal may stand or run");
  CHECK(words(WaterKind::kUnknown, bmwp) == "running water, and the kind of water is not known");
  core::Method still = bmwp;
  still.flow = core::Flow::kStill;
  CHECK(words(WaterKind::kStream, still) == "still water, and this is a stream, a running water");
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
  struct Case {
    std::vector<Found> sheet;
    ScopeReason reason;
  };
  const Case cases[] = {{{}, ScopeReason::kNothingRecorded},
                        {{absent("Baetidae"), absent("Leuctridae")}, ScopeReason::kNothingFound},
                        {{n("Baetidae", 0)}, ScopeReason::kNothingFound},
                        {{unsure(absent("Baetidae"), 0.2F)}, ScopeReason::kTooUncertain},
                        {{unsure(n("Baetidae", 9), 0.2F)}, ScopeReason::kTooUncertain},
                        {{unsure(n("Baetidae", 9), 0.2F), absent("Perlidae")}, ScopeReason::kTooUncertain}};
  for (const core::Method& method : core::shipped_methods())
    for (const Case& c : cases) {
      const auto score = stream_score(method.id, c.sheet);
      CHECK_FALSE(score.has_value);
      CHECK(score.value == 0);
      CHECK(score.class_rank == 0);
      const ScopeReason water = method.flow == core::Flow::kStill ? ScopeReason::kWaterKind : ScopeReason{};
      CHECK(score.reasons == (static_cast<std::uint16_t>(c.reason) | static_cast<std::uint16_t>(water)));
    }
  const core::Method& bmwp = *core::find_method("bmwp-a");
  CHECK(core::reasons_text(512, bmwp) == "no value: no record: it is not known whether anything was found");
  CHECK(core::reasons_text(32, bmwp) == "no value: nothing was found, which is not a value of zero");
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

TEST_CASE("the share of the catch that was sorted changes only abundance codes") {
  const std::vector<Found> sheet = {n("Baetidae", 60), n("Caenidae", 30)};
  for (const core::Method& method : core::shipped_methods()) {
    const bool codes = method.metrics[0].formula == core::FormulaKind::kGroupCodeWeights;
    CHECK((sorted_score(method.id, sheet, 0.5).value == stream_score(method.id, sheet).value) == !codes);
  }
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
  for (int bit = 1; bit <= 1024; bit *= 2) {
    const std::string text = core::reasons_text(static_cast<std::uint16_t>(bit), fbi);
    INFO(text);
    CHECK((text.starts_with("outside the method's scope: ") || text.starts_with("no value: ")));
    CHECK(text.find("; ") == std::string::npos);
  }
  CHECK(
      core::reasons_text(3, fbi) ==
      "outside the method's scope: it is made for running water, and this water is not known to be running; "
      "outside the method's scope: it asks for 100 animals of the kinds that it scores, and the sample has "
      "fewer");
}

TEST_CASE("a survey without samples has an empty table") {
  const core::Snapshot empty;
  const core::ScoreTable table = core::score_samples(empty, core::shipped_methods().front());
  REQUIRE(table.metrics.size() == 2);
  CHECK(table.metrics[0].empty());
}

TEST_CASE(
    "a value from one or two kinds is told to rest on few, where the method asks for no number of animals") {
  const auto note = [](const char* method, const std::vector<Found>& found) {
    return core::score_note(stream_score(method, found), *core::find_method(method), WaterKind::kStream);
  };
  CHECK(note("bmwp-a", {n("Baetidae", 1)}) == "note: few animals or kinds: 1 scoring taxon");
  CHECK(stream_score("bmwp-a", {n("Baetidae", 1)}).in_scope);
  CHECK(note("bmwp-a", {n("Baetidae", 90), n("Asellidae", 9)}) ==
        "note: few animals or kinds: 2 scoring taxa");
  CHECK(note("bmwp-a", {n("Baetidae", 1), n("Asellidae", 1), n("Gammaridae", 1)}).empty());
  CHECK(note("bmwp-a", {}) ==
        core::reasons_text(stream_score("bmwp-a", {}).reasons, *core::find_method("bmwp-a")));
  // This one asks for a hundred animals, and a richness is itself a number of kinds.
  CHECK(note("family-biotic-index", {n("Baetidae", 200)}).empty());
  CHECK(note("ept-richness", {n("Baetidae", 1)}).empty());
}
