#include "core/hygiene/plain_words.hpp"

#include <doctest/doctest.h>

#include "core/hygiene/kit_history.hpp"
#include "tests/core/hygiene/hygiene_survey.hpp"

using namespace brookmark;
using namespace brookmark::test;

TEST_CASE("days, times and lengths are told as people say them") {
  CHECK(core::plain_day(moment("2025-05-03").date) == "3 May 2025");
  CHECK(core::plain_moment(moment("2025-05-03T09:05-02:00")) == "3 May 2025 at 09:05");
  CHECK(core::plain_moment(moment("2025-12-31")) == "31 December 2025");
  CHECK(core::plain_list({}) == "");
  CHECK(core::plain_list({"A"}) == "A");
  CHECK(core::plain_list({"A", "B", "C"}) == "A, B and C");
  CHECK(core::plain_duration(20) == "20 s");
  CHECK(core::plain_duration(90) == "90 s");
  CHECK(core::plain_duration(900) == "15 min");
  CHECK(core::plain_duration(9000) == "2.5 h");
  CHECK(core::plain_duration(72.0 * 3600) == "72 h");
  CHECK(core::plain_duration(6666.666 * 3600) == "278 days");
  CHECK(core::plain_number(4.3333333, 1) == "4.3");
  CHECK(core::plain_number(4.0, 1) == "4");
  CHECK(core::plain_number(0.05, 1) == "0.1");
  CHECK(core::plain_distance(840.4) == "840 m");
  CHECK(core::plain_distance(12'400) == "12.4 km");
  CHECK(core::plain_sentence("it was") == "It was.");
}

TEST_CASE("what has not come yet is told, by the clock that is given") {
  const core::Moment now = moment("2025-06-10T12:00-02:00");
  CHECK(core::why_not_yet(moment("2030-01-01"), now) ==
        "1 January 2030 has not come yet: today is 10 June 2025. Write when it was");
  CHECK(core::why_not_yet(moment("2025-06-10T11:59-02:00"), now).empty());
  CHECK(core::why_not_yet(moment("2025-06-10T12:30-02:00"), now).empty());  // clocks differ
  CHECK_FALSE(core::why_not_yet(moment("2025-06-10T14:00-02:00"), now).empty());
  CHECK(core::why_not_yet(moment("2025-06-10T14:00+00:00"), now).empty());  // the same moment
  CHECK(core::why_not_yet(moment("2025-06-11"), now).empty());              // it can be tomorrow elsewhere
  CHECK_FALSE(core::why_not_yet(moment("2025-06-12"), now).empty());
}

TEST_CASE("a drying may end later than now, if it has begun") {
  const core::Moment now = moment("2025-06-10T12:00Z");
  core::Cleaning drying;
  drying.agent = "drying";
  drying.finished = moment("2025-06-13T12:00Z");
  drying.contact_min = 5.0 * 1440;
  CHECK(core::why_not_yet(drying, now).empty());
  drying.contact_min = 1440;
  CHECK(core::why_not_yet(drying, now) ==
        "13 June 2025 at 12:00 has not come yet: today is 10 June 2025. Write when it was; a cleaning that "
        "is not "
        "finished must have begun");
  drying.contact_min.reset();
  CHECK_FALSE(core::why_not_yet(drying, now).empty());
}

TEST_CASE("clean names every cleaning since the last use, and what each was enough against") {
  HygieneSurvey s;
  s.site("A1", "Heron Pond");
  s.kit("N1");
  s.use("N1", "A1", "2025-05-03T09:00");
  s.clean("N1", "2025-05-03T12:00", "bleach", 3, {}, 1);  // ranavirus
  s.clean("N1", "2025-05-03T13:00", "heat", {}, 60, 5);   // crayfish plague (and Bd, which is only recalled)
  s.clean("N1", "2025-05-03T14:00", "permanganate", 0.0005, {}, 60);
  CHECK_FALSE(s.state("N1", "2025-05-04").is_clean());
  s.clean("N1", "2025-05-03T15:00", "ethanol", 70, {}, 1);  // Bd
  const core::KitState state = s.state("N1", "2025-05-04");
  REQUIRE(state.is_clean());
  REQUIRE(state.done.size() == 3);
  CHECK(state.done[0].cleaning == 0);
  CHECK(core::target_names(state.done[0].against) == "Ranavirus");
  CHECK(core::target_names(state.done[1].against) == "Aphanomyces astaci (crayfish plague)");
  CHECK(core::target_names(state.done[2].against) == "Batrachochytrium dendrobatidis");
  CHECK(says(state.words,
             "clean: bleach 3 %, 60 s on 3 May 2025 at 12:00 against Ranavirus; heat, 60 °C, 5 min on "
             "3 May 2025 at 13:00 against "));
  CHECK(says(state.words, ", since it was used on 3 May 2025 at 09:00"));
  CHECK_FALSE(says(state.words, "permanganate"));
}

TEST_CASE("an item that was cleaned and never used is clean only of what that cleaning is enough against") {
  HygieneSurvey s;
  s.site("A1", "Heron Pond");
  s.kit("N1");
  s.kit("N2");
  s.clean("N1", "2025-05-03T12:00", "bleach", 3, {}, 1);
  const core::KitState state = s.state("N1", "2025-05-04");
  CHECK(state.has_history());
  CHECK_FALSE(state.is_clean());
  CHECK(state.unmet.size() == 2);
  CHECK(says(state.words,
             "not clean: nobody knows where it was before, and no cleaning of it is shown to be enough "
             "against "));
  const auto warnings = s.warnings("N1", "A1", "2025-05-04");
  REQUIRE(warnings.size() == 1);
  CHECK(warnings[0].kind == core::EntryWarning::Kind::kNoHistory);
  s.clean("N1", "2025-05-03T13:00", "heat", {}, 60, 5);
  CHECK_FALSE(s.state("N1", "2025-05-04").is_clean());
  s.clean("N1", "2025-05-03T14:00", "ethanol", 70, {}, 1);
  CHECK(s.state("N1", "2025-05-04").is_clean());
  CHECK(says(s.words("N1", "2025-05-04"), "not used since it was listed"));
  CHECK(s.warnings("N1", "A1", "2025-05-04").empty());
  s.clean_well("N2", "2025-05-03T12:00");
  CHECK(s.state("N2", "2025-05-04").is_clean());
}
