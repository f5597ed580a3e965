#include "core/hygiene/live_samples.hpp"

#include <doctest/doctest.h>

#include "tests/core/hygiene/hygiene_survey.hpp"

using namespace brookmark;
using namespace brookmark::test;

namespace {

HygieneSurvey two_waters() {
  HygieneSurvey s;
  s.site("A1", "Heron Pond");
  s.site("A2", "Heron Pond");
  s.site("B1", "Kiln Pond");
  s.kit("V1", core::KitKind::kVessel);
  s.kit("V2", core::KitKind::kVessel);
  return s;
}

}  // namespace

TEST_CASE("live samples are listed longest first, and those held too long are overdue") {
  HygieneSurvey s = two_waters();
  s.hold("V1", "A1", "2025-05-03", "caddis larvae");
  s.hold("V2", "B1", "2025-05-01");
  const core::SurveyWaters waters(s.snapshot);
  const auto held = core::held_samples(s.snapshot, waters, moment("2025-05-04").date, 2);
  REQUIRE(held.size() == 2);
  CHECK(held[0].vessel == "V2");
  CHECK(held[0].days == 3);
  CHECK(held[0].overdue);
  CHECK(held[0].words.find("return it to Kiln Pond and nowhere else") != std::string::npos);
  CHECK_FALSE(held[1].overdue);
  CHECK(held[1].words.find(
            "caddis larvae of Heron Pond in V1 since 3 May 2025, 1 day: goes back to Heron Pond only") == 0);
  CHECK(core::held_samples(s.snapshot, waters, moment("2025-05-02").date, 2).size() == 1);
}

TEST_CASE("what was returned or disposed of is held no more") {
  HygieneSurvey s = two_waters();
  s.hold("V1", "A1", "2025-05-03");
  s.snapshot.holdings[0].until = moment("2025-05-05").date;
  s.snapshot.holdings[0].outcome = core::HoldingOutcome::kReturned;
  const core::SurveyWaters waters(s.snapshot);
  CHECK(core::held_samples(s.snapshot, waters, moment("2025-05-04").date).size() == 1);
  CHECK(core::held_samples(s.snapshot, waters, moment("2025-05-05").date).empty());
}

TEST_CASE("a live sample goes back to its own water only") {
  HygieneSurvey s = two_waters();
  s.hold("V1", "A1", "2025-05-03");
  const core::SurveyWaters waters(s.snapshot);
  CHECK(core::why_not_return(s.snapshot, waters, s.snapshot.holdings[0], s.at("A2")).empty());
  CHECK(core::why_not_return(s.snapshot, waters, s.snapshot.holdings[0], s.at("B1")) ==
        "it is from Heron Pond, and B1 lies on Kiln Pond; a live sample goes back to its own water or is "
        "disposed of");
}

TEST_CASE("a live sample does not go up its own water") {
  HygieneSurvey s;
  s.channel({at_m(0, 0), at_m(3000, 0)});
  s.site("Q1", "Brook", at_m(200, 3), core::WaterKind::kStream);
  s.site("Q8", "Brook", at_m(2200, 3), core::WaterKind::kStream);
  s.kit("V2", core::KitKind::kVessel);
  s.hold("V2", "Q8", "2025-05-03");
  const HygieneBook book(s.snapshot);
  const core::Holding& held = s.snapshot.holdings[0];
  CHECK(core::why_not_return(s.snapshot, book.waters, held, s.at("Q8")).empty());
  CHECK(says(core::why_not_return(s.snapshot, book.waters, held, s.at("Q1")),
             "it was taken at Q8, and Q1 lies 2000 m further up"));
  const core::LiveSampleEnd end =
      core::end_live_sample(s.snapshot, book.waters, held, s.at("Q1"), moment("2025-05-04T09:00"), "");
  CHECK(says(end.warning, "further up"));
  REQUIRE(end.use);
  CHECK(says(end.use->override_reason, "put in further up, at Q1: no reason given"));
  CHECK(says(end.holding.note, "further up than Q8"));
  CHECK(end.summary == "the live sample in V2 was put in at Q1, further up than Q8, where it was taken");
  // Down the water, where it drifts anyway, nothing is said.
  s.hold("V2", "Q1", "2025-05-05");
  CHECK(core::why_not_return(s.snapshot, book.waters, s.snapshot.holdings[1], s.at("Q8")).empty());
}
