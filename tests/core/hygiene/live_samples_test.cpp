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
