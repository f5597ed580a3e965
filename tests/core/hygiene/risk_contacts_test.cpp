// What of a risk outlasts the word on it: kit used before a water was cleared, and waters that kit brought it into.
#include <doctest/doctest.h>

#include <algorithm>
#include <set>

#include "core/base/error.hpp"
#include "core/base/random.hpp"
#include "core/hygiene/kit_records.hpp"
#include "core/hygiene/tracing.hpp"
#include "core/hygiene/visit_plan.hpp"
#include "tests/core/hygiene/hygiene_survey.hpp"

using namespace brookmark;
using namespace brookmark::test;

namespace {

HygieneSurvey ponds() {
  HygieneSurvey s;
  s.site("A1", "Heron Pond", at_m(0, 0));
  s.site("B1", "Kiln Pond", at_m(1000, 0));
  s.site("C1", "Moat", at_m(2000, 0));
  for (const char* net : {"N1", "N2"}) {
    s.kit(net, core::KitKind::kNet, net);
    s.clean_well(net, "2025-04-01T12:00");
  }
  return s;
}

bool misses(const core::KitState& state, const char* organism) {
  return std::any_of(state.open.begin(), state.open.end(), [&](const core::OpenWater& open) {
    return std::find(open.missing.begin(), open.missing.end(), *core::find_target(organism)) !=
           open.missing.end();
  });
}

core::Recorded clear(const HygieneSurvey& s, const char* site, const char* organism, const char* since) {
  const HygieneBook book(s.snapshot);
  return core::record_risk({s.snapshot, book.waters, book.history, moment("2025-07-01T12:00")}, s.at(site),
                           organism, core::RiskStatus::kCleared, moment(since).date, "", "");
}

}  // namespace

// Virkon is enough against the routine targets, and no rule says what it does to Crassula.
TEST_CASE("clearing a water does not clear the kit that was used there while it was at risk") {
  HygieneSurvey s = ponds();
  s.risk("A1", "crassula", "2025-05-01");
  s.use("N1", "A1", "2025-05-03T09:00");
  s.clean_well("N1", "2025-05-03T12:00");
  CHECK(misses(s.state("N1", "2025-05-10"), "crassula"));
  s.risk("A1", "crassula", "2025-05-20", core::RiskStatus::kCleared);
  CHECK(misses(s.state("N1", "2025-05-21"), "crassula"));
  CHECK_FALSE(s.warnings("N1", "B1", "2025-05-21").empty());
  // Kit that went in afterwards need not be cleaned of it, and the older stay still counts beside a newer one.
  s.use("N2", "A1", "2025-05-21T09:00");
  s.clean_well("N2", "2025-05-21T12:00");
  CHECK(s.state("N2", "2025-05-22").is_clean());
  s.use("N1", "A1", "2025-05-22T09:00");
  s.clean_well("N1", "2025-05-22T12:00");
  CHECK(misses(s.state("N1", "2025-05-23"), "crassula"));
  s.clean("N1", "2025-05-24T12:00", "hot water", {}, 45, 15);
  CHECK(s.state("N1", "2025-05-25").is_clean());
}

TEST_CASE("what was cleared above a water stays with the kit that was below it") {
  HygieneSurvey s;
  s.channel({at_m(0, 0), at_m(3000, 0)});
  s.site("U", "Upper Brook", at_m(200, 3), core::WaterKind::kStream);
  s.site("L", "Lower Brook", at_m(1200, 3), core::WaterKind::kStream);
  s.kit("N1");
  s.risk("U", "crassula", "2025-05-01");
  s.use("N1", "L", "2025-05-03T09:00");
  s.clean_well("N1", "2025-05-03T12:00");
  s.risk("U", "crassula", "2025-05-20", core::RiskStatus::kCleared);
  CHECK(misses(s.state("N1", "2025-05-21"), "crassula"));
  s.clean("N1", "2025-05-24T12:00", "hot water", {}, 45, 15);
  CHECK(s.state("N1", "2025-05-25").is_clean());
}

TEST_CASE("a clearing from before the suspicion is refused, and one of nothing is told") {
  HygieneSurvey s = ponds();
  s.risk("A1", "crassula", "2025-05-10");
  try {
    clear(s, "A1", "New Zealand pigmyweed", "2025-05-09");
    FAIL("not refused");
  } catch (const Error& error) {
    CHECK(says(error.what(), "suspected in Heron Pond since 10 May 2025"));
  }
  const auto good = clear(s, "A1", "crassula", "2025-05-11");
  CHECK(good.warnings.empty());
  REQUIRE(good.notes.size() == 1);
  CHECK(says(good.notes[0], "before 11 May 2025 still has to be cleaned of Crassula helmsii"));
  const auto nothing = clear(s, "B1", "crassula", "2025-05-11");
  REQUIRE(nothing.warnings.size() == 1);
  CHECK(says(nothing.warnings[0], "nothing to clear"));
}

TEST_CASE("a water that was entered with kit from a water at risk is told wherever it matters") {
  HygieneSurvey s = ponds();
  s.risk("A1", "Crassula helmsii", "2025-05-01");
  s.use("N2", "B1", "2025-05-02T09:00");  // before the contact
  s.clean_well("N2", "2025-05-02T12:00");
  s.use("N1", "A1", "2025-05-03T09:00");
  s.clean_well("N1", "2025-05-03T12:00");  // not against Crassula
  s.use("N1", "B1", "2025-05-04T09:00");
  CHECK(s.state("N2", "2025-05-05").is_clean());
  s.use("N2", "B1", "2025-05-06T09:00");  // after it
  s.clean_well("N2", "2025-05-06T12:00");
  CHECK(misses(s.state("N2", "2025-05-07"), "crassula"));
  const HygieneBook book(s.snapshot);
  const core::Date day = moment("2025-05-08").date;
  const auto told = book.waters.risk_sentences(s.at("B1"), day);
  REQUIRE(told.size() == 1);
  CHECK(told[0] ==
        "may hold Crassula helmsii of Heron Pond too, by kit that was not cleaned of it: N1: Heron Pond on 3 "
        "May "
        "2025 at 09:00, then Kiln Pond on 4 May 2025 at 09:00");
  CHECK_FALSE(book.waters.worst(*book.waters.find("Kiln Pond"), day));
  CHECK(book.waters.contacts(*book.waters.find("Moat"), day).empty());
  const core::KitIndex item = s.item("N2");
  const auto use = core::record_use({s.snapshot, book.waters, book.history, moment("2025-07-01T12:00")},
                                    {&item, 1}, s.at("B1"), moment("2025-05-08T09:00"), "", "");
  REQUIRE_FALSE(use.notes.empty());
  CHECK(says(use.notes[0], "Kiln Pond: may hold Crassula helmsii of Heron Pond too"));
  // In a plan it comes after the moat, of which nothing is known, and before the pond itself.
  core::PlanRequest request;
  request.sites = {s.at("A1"), s.at("B1"), s.at("C1")};
  request.day = day;
  request.clean_sets = 3;
  request.start = at_m(0, 0);
  request.utc_offset_min = 0;
  const core::VisitPlan plan = core::plan_visits(s.snapshot, book.waters, book.history, request);
  REQUIRE(plan.stops.size() == 3);
  CHECK(plan.stops[0].site == s.at("C1"));
  CHECK(plan.stops[1].site == s.at("B1"));
  CHECK(plan.stops[1].by_contact);
  CHECK(says(plan.stops[1].note, "may hold Crassula helmsii of Heron Pond too"));
  CHECK(plan.stops[2].site == s.at("A1"));
  // A word on the water itself counts before that.
  s.risk("B1", "crassula", "2025-05-09", core::RiskStatus::kCleared);
  const HygieneBook later(s.snapshot);
  CHECK(later.waters.contacts(*later.waters.find("Kiln Pond"), moment("2025-05-10").date).empty());
}

TEST_CASE(
    "every water that a trace finds is a contact of the survey, and no other, in 200 random histories") {
  core::Random random(7, core::stream_of("risk contacts"));
  for (int round = 0; round < 200; ++round) {
    CAPTURE(round);
    HygieneSurvey s;
    const std::size_t count = 3 + random.below(5);
    for (std::size_t w = 0; w < count; ++w) s.site("S" + std::to_string(w), "Water " + std::to_string(w));
    for (const char* net : {"N1", "N2", "N3"}) s.kit(net);
    const auto when = [&] {
      return core::format_date({20209 + static_cast<std::int32_t>(random.below(30))}) + "T1" +
             std::to_string(random.below(10)) + ":00";
    };
    for (int u = 0; u < 14; ++u) {
      const std::string net = "N" + std::to_string(1 + random.below(3));
      s.use(net, "S" + std::to_string(random.below(count)), when());
      if (random.below(3) == 0) s.clean_well(net, when());
    }
    s.risk("S0", "ranavirus", core::format_date({20209 + static_cast<std::int32_t>(random.below(20))}));
    const HygieneBook book(s.snapshot);
    const core::Date day{20300};
    core::TraceQuery query = core::told_of(s.snapshot, book.waters, core::BodyIndex(0), "ranavirus")->query;
    query.until = day;
    std::set<std::size_t> traced, told;
    for (const auto& water : core::trace_contacts(s.snapshot, book.waters, book.history, query))
      traced.insert(water.body.value());
    for (std::size_t b = 0; b < book.waters.size(); ++b)
      if (!book.waters.contacts(core::BodyIndex(b), day).empty()) told.insert(b);
    CHECK(told == traced);
  }
}

TEST_CASE("a cleaning that began before the use is told at once not to count") {
  HygieneSurvey s = ponds();
  s.use("N1", "A1", "2025-05-03T09:00");
  const auto record = [&](const char* finished, std::optional<double> minutes) {
    const HygieneBook book(s.snapshot);
    core::Cleaning cleaning;
    cleaning.agent = "Virkon S";
    cleaning.concentration_pct = 1;
    cleaning.contact_min = minutes;
    cleaning.finished = moment(finished);
    const core::KitIndex item = s.item("N1");
    return core::record_cleaning({s.snapshot, book.waters, book.history, moment("2025-07-01T12:00")},
                                 {&item, 1}, cleaning);
  };
  const auto early = record("2025-05-03T09:05", 10);
  CHECK_FALSE(early.counts);
  REQUIRE_FALSE(early.warnings.empty());
  CHECK(says(early.warnings[0],
             "For N1 this cleaning does not count after its use in Heron Pond on 3 May 2025 at 09:00"));
  CHECK(record("2025-05-03T09:11", 10).counts);
  CHECK_FALSE(record("2025-05-03T09:10", 10).counts);
  CHECK(record("2025-05-03T08:00", 10).counts);  // before the use: it is about something else
  CHECK_FALSE(record("2025-05-03", 10).counts);
  // The same as the state of the item says.
  for (const char* finished : {"2025-05-03T09:05", "2025-05-03T09:10", "2025-05-03T09:11"}) {
    HygieneSurvey t = s;
    t.clean_well("N1", finished);
    CHECK(t.state("N1", "2025-05-04").is_clean() == record(finished, 10).counts);
  }
}

TEST_CASE("a live sample in a net, or in a vessel that holds one, is warned of") {
  HygieneSurvey s = ponds();
  s.kit("V1", core::KitKind::kVessel);
  s.clean_well("V1", "2025-05-01T12:00");
  const auto hold = [&](const char* item, const char* site) {
    const HygieneBook book(s.snapshot);
    return core::record_hold({s.snapshot, book.waters, book.history, moment("2025-07-01T12:00")},
                             s.item(item), s.at(site), "larvae", moment("2025-05-05").date, "");
  };
  CHECK(hold("V1", "A1").warnings.empty());
  const auto net = hold("N1", "A1");
  REQUIRE(net.warnings.size() == 1);
  CHECK(says(net.warnings[0], "N1 is listed as net, and a live sample is kept in a vessel"));
  s.hold("V1", "A1", "2025-05-04");
  const auto twice = hold("V1", "A1");
  REQUIRE_FALSE(twice.warnings.empty());
  CHECK(says(twice.warnings.back(), "V1 already holds a live sample of Heron Pond since 4 May 2025"));
}
