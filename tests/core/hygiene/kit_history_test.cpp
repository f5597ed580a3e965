#include "core/hygiene/kit_history.hpp"

#include <doctest/doctest.h>

#include "tests/core/hygiene/hygiene_survey.hpp"

using namespace brookmark;
using namespace brookmark::test;
using Kind = core::EntryWarning::Kind;

namespace {

HygieneSurvey two_ponds() {
  HygieneSurvey s;
  s.site("A1", "Heron Pond");
  s.site("A2", "heron  pond");  // the same water, as names are compared
  s.site("B1", "Kiln Pond");
  s.site("X1", "");
  s.site("X2", "");
  s.kit("N1");
  s.kit("V1", core::KitKind::kVessel);
  return s;
}

}  // namespace

TEST_CASE("sites of one named water are one water, and a site without a name of water is its own") {
  const HygieneSurvey s = two_ponds();
  const core::SurveyWaters waters(s.snapshot);
  CHECK(waters.size() == 4);
  CHECK(waters.of(s.at("A1")) == waters.of(s.at("A2")));
  CHECK(waters.of(s.at("A1")) != waters.of(s.at("B1")));
  CHECK(waters.of(s.at("X1")) != waters.of(s.at("X2")));
  CHECK(waters.name(waters.of(s.at("A2"))) == "Heron Pond");
  CHECK(waters.name(waters.of(s.at("X2"))) == "site X2");
  CHECK(waters.find("HERON POND") == waters.of(s.at("A1")));
  CHECK(waters.find("B1") == waters.of(s.at("B1")));
  CHECK_FALSE(waters.find("Nowhere"));
}

TEST_CASE("kit belongs to the waters it was in until a cleaning that is enough") {
  HygieneSurvey s = two_ponds();
  s.use("N1", "A1", "2025-05-03T09:00");
  CHECK(s.open("N1", "2025-05-03T08:59") == "");
  CHECK(s.open("N1", "2025-05-03T09:00") == "Heron Pond");
  s.use("N1", "A2", "2025-05-03T10:00");
  s.use("N1", "B1", "2025-05-03T11:00");
  CHECK(s.open("N1", "2025-05-04") == "Kiln Pond, Heron Pond");
  s.clean_well("N1", "2025-05-04T18:00");
  CHECK(s.open("N1", "2025-05-04T17:59") == "Kiln Pond, Heron Pond");
  CHECK(s.open("N1", "2025-05-04T18:00") == "");
  CHECK(says(s.words("N1", "2025-05-05"), "clean: Virkon S 1 %, 10 min on 4 May 2025 at 18:00 against "));
}

TEST_CASE("a vessel belongs to its water until it has been cleaned") {
  HygieneSurvey s = two_ponds();
  s.use("V1", "A1", "2025-05-03T09:00");
  CHECK(says(
      s.words("V1", "2025-05-04"),
      "belongs to Heron Pond until cleaned: used in Heron Pond on 3 May 2025 at 09:00; not cleaned since"));
  CHECK(s.warnings("V1", "A2", "2025-05-04").empty());  // its own water
  REQUIRE(s.warnings("V1", "B1", "2025-05-04").size() == 1);
  CHECK(s.warnings("V1", "B1", "2025-05-04").front().kind == Kind::kOtherWater);
}

TEST_CASE("a cleaning that fails or is not shown leaves the kit where it was, and the warning says why") {
  HygieneSurvey s = two_ponds();
  s.use("N1", "A1", "2025-05-03T09:00");
  s.clean("N1", "2025-05-03T12:00", "permanganate", 0.0005, {}, 60);
  const auto failed = s.warnings("N1", "B1", "2025-05-04");
  REQUIRE(failed.size() == 1);
  CHECK(
      says(failed.front().text,
           "N1 before Kiln Pond: used in Heron Pond on 3 May 2025 at 09:00; cleaned on 3 May 2025 at 12:00"));
  CHECK(says(failed.front().text, "counts as not cleaned against Ranavirus: potassium permanganate, "));
  CHECK_FALSE(says(failed.front().text, "Bryan"));  // the source stands with the verdict, not in the warning
  s.clean("N1", "2025-05-05T12:00", "Virkon S", 1.0);
  CHECK(says(s.warnings("N1", "B1", "2025-05-06").front().text, "its time was not noted"));
}

TEST_CASE("two cleanings can do together what neither does alone") {
  HygieneSurvey s = two_ponds();
  s.use("N1", "A1", "2025-05-03T09:00");
  s.clean("N1", "2025-05-03T12:00", "bleach", 3, {}, 1);  // ranavirus
  CHECK(s.open("N1", "2025-05-04") == "Heron Pond");
  s.clean("N1", "2025-05-03T13:00", "ethanol", 70, {}, 20);  // Bd and crayfish plague
  CHECK(s.open("N1", "2025-05-04") == "");
}

TEST_CASE("a cleaning without a time of day does not count for a use of that day") {
  HygieneSurvey s = two_ponds();
  s.use("N1", "A1", "2025-05-03T09:00");
  s.clean_well("N1", "2025-05-03");
  CHECK(s.open("N1", "2025-05-04") == "Heron Pond");
  CHECK(says(s.words("N1", "2025-05-04"),
             "may have come before it, for a time of day is missing; note the times"));
  // On the next day there is no doubt.
  s.clean_well("N1", "2025-05-04");
  CHECK(s.open("N1", "2025-05-05") == "");
  // Nor where neither has a time.
  s.use("N1", "B1", "2025-05-05");
  s.clean_well("N1", "2025-05-06");
  CHECK(s.open("N1", "2025-05-06") == "");
  s.use("N1", "B1", "2025-05-07");
  s.clean("N1", "2025-05-08", "Virkon S", 1, {}, 2000);  // begun on the day of the use, or before
  CHECK(s.open("N1", "2025-05-09") == "Kiln Pond");
  s.clean_well("N1", "2025-05-10");
  // A use without a time of day, cleaned the same day.
  s.use("N1", "B1", "2025-05-16");
  s.clean_well("N1", "2025-05-16T20:00");
  CHECK(s.open("N1", "2025-05-17") == "Kiln Pond");
}

TEST_CASE("kit without history is unknown, not clean") {
  HygieneSurvey s = two_ponds();
  const auto warnings = s.warnings("N1", "A1", "2025-05-04");
  REQUIRE(warnings.size() == 1);
  CHECK(warnings.front().kind == Kind::kNoHistory);
  CHECK(says(warnings.front().text, "nobody knows which water it was in last"));
  CHECK(says(s.words("N1", "2025-05-04"), "no history"));
  // Cleaned once, it has one.
  s.clean_well("N1", "2025-05-03");
  CHECK(s.warnings("N1", "A1", "2025-05-04").empty());
}

TEST_CASE("kit from a water with a risk must be cleaned of that too") {
  HygieneSurvey s = two_ponds();
  s.use("N1", "A1", "2025-05-03T09:00");
  s.clean_well("N1", "2025-05-03T12:00");
  CHECK(s.open("N1", "2025-05-10") == "");
  // Told later, at another site of the water: hindsight counts.
  s.risk("A2", "New Zealand pigmyweed", "2025-05-06");
  CHECK(s.open("N1", "2025-05-05") == "");
  CHECK(s.open("N1", "2025-05-10") == "Heron Pond");
  CHECK(says(s.words("N1", "2025-05-10"), "Crassula helmsii"));
  s.clean("N1", "2025-05-11T12:00", "hot water", {}, 60, 1);
  CHECK(s.open("N1", "2025-05-12") == "");
  // Cleared again, kit that was there before stays with it until it is cleaned; later kit does not have it.
  s.risk("A1", "crassula", "2025-05-08", core::RiskStatus::kCleared);
  CHECK(s.open("N1", "2025-05-10") == "Heron Pond");
  CHECK(s.open("N1", "2025-05-12") == "");
  s.use("N1", "A1", "2025-05-13T09:00");
  s.clean_well("N1", "2025-05-13T12:00");
  CHECK(s.open("N1", "2025-05-14") == "");
}

TEST_CASE("an organism that no rule speaks of keeps kit with its water, in plain words") {
  HygieneSurvey s = two_ponds();
  s.use("N1", "A1", "2025-05-03T09:00");
  s.risk("A1", "goldfish disease", "2025-05-01");
  s.clean_well("N1", "2025-05-03T12:00");
  CHECK(s.open("N1", "2025-05-04") == "Heron Pond");
  CHECK(says(s.words("N1", "2025-05-04"),
             "\"goldfish disease\" of this water is in none of the cleaning rules"));
}

TEST_CASE("what is still drying, retired, or holds a live sample is told before it goes into a water") {
  HygieneSurvey s = two_ponds();
  s.use("N1", "A1", "2025-05-03T09:00");
  s.clean_well("N1", "2025-05-03T12:00");
  s.clean("N1", "2025-05-06T12:00", "sun drying", {}, {}, 4320);  // from the 3rd at noon on
  const auto drying = s.warnings("N1", "B1", "2025-05-05T10:00");
  REQUIRE(drying.size() == 1);
  CHECK(drying.front().kind == Kind::kDrying);
  CHECK(s.warnings("N1", "B1", "2025-05-06T12:00").empty());
  s.snapshot.kit[0].retired = true;
  CHECK(s.warnings("N1", "B1", "2025-05-06T12:00").front().kind == Kind::kRetired);

  s.clean_well("V1", "2025-05-01");
  s.hold("V1", "A1", "2025-05-02");
  CHECK(s.warnings("V1", "A2", "2025-05-03").empty());
  const auto live = s.warnings("V1", "B1", "2025-05-03");
  REQUIRE(live.size() == 1);
  CHECK(live.front().kind == Kind::kHoldsLive);
  CHECK(says(live.front().text, "a live sample of Heron Pond is in it"));
}

TEST_CASE("the worst of several risks of a water counts, the newest word on each") {
  HygieneSurvey s = two_ponds();
  const core::SurveyWaters none(s.snapshot);
  CHECK_FALSE(none.worst(none.of(s.at("A1")), moment("2025-06-01").date));
  s.risk("A1", "Bd", "2025-05-01", core::RiskStatus::kConfirmed);
  s.risk("A2", "ranavirus", "2025-05-02", core::RiskStatus::kSuspected);
  s.risk("A2", "chytrid", "2025-05-20", core::RiskStatus::kCleared);
  const core::SurveyWaters waters(s.snapshot);
  const core::BodyIndex heron = waters.of(s.at("A1"));
  CHECK_FALSE(waters.worst(heron, moment("2025-04-30").date));
  CHECK(waters.worst(heron, moment("2025-05-10").date) == core::RiskStatus::kConfirmed);
  CHECK(waters.worst(heron, moment("2025-05-20").date) == core::RiskStatus::kSuspected);
  CHECK(waters.risks(heron, moment("2025-05-20").date).size() == 2);
}
