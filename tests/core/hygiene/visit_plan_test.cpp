#include "core/hygiene/visit_plan.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "core/base/error.hpp"
#include "tests/core/hygiene/hygiene_survey.hpp"
#include "tests/support/near.hpp"

using namespace brookmark;
using namespace brookmark::test;

namespace {

struct Plan {
  HygieneSurvey& s;
  core::PlanRequest request;

  Plan(HygieneSurvey& survey, const std::vector<std::string>& codes) : s(survey) {
    for (const std::string& code : codes) request.sites.push_back(s.at(code));
    request.day = moment("2025-06-10").date;
    request.utc_offset_min = -120;
  }
  core::VisitPlan make() const {
    const HygieneBook book(s.snapshot);
    return core::plan_visits(s.snapshot, book.waters, book.history, request);
  }
  // "A1 B1 C1"
  std::string order() const {
    std::string codes;
    for (const core::PlanStop& stop : make().stops)
      codes += (codes.empty() ? "" : " ") + std::string(s.snapshot.sites.code[stop.site.value()]);
    return codes;
  }
};

core::Cleaning virkon() {
  core::Cleaning cleaning;
  cleaning.agent = "Virkon S";
  cleaning.concentration_pct = 1;
  cleaning.contact_min = 10;
  return cleaning;
}

bool any_says(const std::vector<std::string>& sentences, const char* part) {
  return std::any_of(sentences.begin(), sentences.end(),
                     [&](const std::string& s) { return s.find(part) != std::string::npos; });
}

// Ponds on a line, 1 km apart.
HygieneSurvey ponds() {
  HygieneSurvey s;
  s.site("A1", "Heron Pond", at_m(0, 0));
  s.site("B1", "Kiln Pond", at_m(1000, 0));
  s.site("C1", "Moat", at_m(2000, 0));
  s.site("D1", "Alder Pond", at_m(3000, 0));
  return s;
}

// A stream running east, with three sites at 200, 1200 and 2200 m.
HygieneSurvey stream() {
  HygieneSurvey s;
  core::Reach reach;
  reach.key = "r";
  reach.line = {at_m(0, 0), at_m(3000, 0)};
  s.snapshot.reaches.push_back(reach);
  s.site("S1", "Brook", at_m(200, 3), core::WaterKind::kStream);
  s.site("S2", "Brook", at_m(1200, 3), core::WaterKind::kStream);
  s.site("S3", "Brook", at_m(2200, 3), core::WaterKind::kStream);
  return s;
}

}  // namespace

TEST_CASE("with a set for each water the order is the shortest way") {
  HygieneSurvey s = ponds();
  Plan plan(s, {"C1", "A1", "D1", "B1"});
  plan.request.clean_sets = 4;
  plan.request.start = at_m(-500, 0);
  CHECK(plan.order() == "A1 B1 C1 D1");
  const core::VisitPlan made = plan.make();
  CHECK(made.exact);
  CHECK(made.lacking.empty());
  CHECK(near(made.way_m, 3500, 0.01));  // the plane is right to 0.2 ppm here
  plan.request.and_back = true;
  CHECK(near(plan.make().way_m, 7000, 0.02));
}

TEST_CASE("clean waters come before suspected ones, and those before confirmed ones, however long the way") {
  HygieneSurvey s = ponds();
  s.risk("A1", "crayfish plague", "2025-06-01", core::RiskStatus::kConfirmed);
  s.risk("B1", "ranavirus", "2025-06-01");
  Plan plan(s, {"A1", "B1", "C1", "D1"});
  plan.request.clean_sets = 4;
  CHECK(plan.order() == "D1 C1 B1 A1");
  const core::VisitPlan made = plan.make();
  CHECK(made.stops[3].risk == core::RiskStatus::kConfirmed);
  CHECK(made.stops[3].note.find("crayfish plague confirmed since 1 June 2025") != std::string::npos);
}

TEST_CASE("shared kit goes down a stream, even where the day begins at its foot") {
  HygieneSurvey s = stream();
  Plan plan(s, {"S3", "S1", "S2"});
  plan.request.start = at_m(3000, 0);
  CHECK(plan.order() == "S1 S2 S3");  // one set is assumed
  // With a set for each site nothing is carried, and the shortest way counts.
  plan.request.clean_sets = 3;
  CHECK(plan.order() == "S3 S2 S1");
}

TEST_CASE("in a canal that flows either way neither site is upstream") {
  HygieneSurvey s = stream();
  s.snapshot.reaches[0].two_way = true;
  Plan plan(s, {"S3", "S1", "S2"});
  plan.request.start = at_m(3000, 0);
  CHECK(plan.order() == "S3 S2 S1");
}

TEST_CASE(
    "fewer sets than waters need a cleaning between them, and without one the plan says what is lacking") {
  HygieneSurvey s = ponds();
  Plan plan(s, {"A1", "B1", "C1"});
  plan.request.clean_sets = 1;
  const core::VisitPlan lacking = plan.make();
  REQUIRE_FALSE(lacking.lacking.empty());
  CHECK(any_says(lacking.lacking, "3 waters and 1 clean set of kit"));
  CHECK(any_says(lacking.lacking, "Bring 2 more clean sets"));
  CHECK(any_says(lacking.lacking, "Virkon S 1 %, 10 min"));
  CHECK(lacking.stops[0].kit_set == "the set");
  CHECK(lacking.stops[1].kit_set.empty());

  plan.request.on_the_way = virkon();
  const core::VisitPlan made = plan.make();
  CHECK(made.lacking.empty());
  CHECK(made.stops[0].cleaning_before.empty());
  CHECK(made.stops[1].cleaning_before == "Virkon S 1 %, 10 min");
  CHECK(made.stops[2].cleaning_before == "Virkon S 1 %, 10 min");
  // 1 km at 4 km/h, ten minutes of contact and ten of handling.
  CHECK(near(made.stops[1].arrive_min - made.stops[0].leave_min, 15 + 20, 1e-3));
  CHECK(near(made.stops[0].leave_min - made.stops[0].arrive_min, 45, 1e-9));
}

TEST_CASE("a cleaning on the way that is not enough after a water is no help, and that is told") {
  HygieneSurvey s = ponds();
  s.risk("A1", "parrot's feather", "2025-06-01");
  s.risk("B1", "parrot's feather", "2025-06-01");
  Plan plan(s, {"A1", "B1"});
  plan.request.clean_sets = 1;
  plan.request.on_the_way = virkon();
  const core::VisitPlan made = plan.make();
  CHECK(any_says(made.lacking, "is not enough after"));
  CHECK(any_says(made.lacking, "no single agent of the rules is enough"));
}

TEST_CASE("with fewer sets than waters a water is finished before its kit is cleaned") {
  HygieneSurvey s = ponds();
  s.site("A2", "Heron Pond", at_m(2100, 0));  // beyond Kiln Pond
  Plan plan(s, {"A1", "A2", "B1"});
  plan.request.start = at_m(-500, 0);
  plan.request.clean_sets = 2;
  CHECK(plan.order() == "A1 B1 A2");
  plan.request.clean_sets = 1;
  plan.request.on_the_way = virkon();
  const std::string order = plan.order();
  CHECK((order == "A1 A2 B1" || order == "B1 A1 A2" || order == "B1 A2 A1"));
  const auto made = plan.make();
  CHECK(std::count_if(made.stops.begin(), made.stops.end(),
                      [](const core::PlanStop& stop) { return !stop.cleaning_before.empty(); }) == 1);
}

TEST_CASE("the survey's kit is used: a set that still belongs to a water serves that water alone") {
  HygieneSurvey s = ponds();
  s.kit("N1", core::KitKind::kNet, "red");
  s.kit("B1", core::KitKind::kFootwear, "red");
  s.kit("N2", core::KitKind::kNet, "blue");
  for (const char* item : {"N1", "B1", "N2"}) s.clean_well(item, "2025-05-01T12:00");
  s.use("N1", "B1", "2025-06-01T10:00");  // the red net was in Kiln Pond and is not clean
  Plan plan(s, {"A1", "B1"});
  const core::VisitPlan made = plan.make();
  CHECK(made.lacking.empty());
  for (const core::PlanStop& stop : made.stops)
    CHECK(stop.kit_set == (s.snapshot.sites.code[stop.site.value()] == "B1" ? "red" : "blue"));
  // For a third water there is none.
  const core::VisitPlan more = Plan(s, {"A1", "B1", "C1"}).make();
  CHECK(any_says(more.lacking, "there is none"));
  // And where Kiln Pond is not on the list, the red set is of no use.
  const core::VisitPlan other = Plan(s, {"A1", "C1"}).make();
  CHECK(any_says(other.lacking, "Set red cannot be used: it belongs to Kiln Pond until cleaned"));
}

TEST_CASE("kit without history is no clean set") {
  HygieneSurvey s = ponds();
  s.kit("N1", core::KitKind::kNet, "red");
  const core::VisitPlan made = Plan(s, {"A1"}).make();
  CHECK(any_says(made.lacking, "nobody knows where part of it was"));
}

TEST_CASE("vessels: its own water first, then clean ones, and none that holds a live sample") {
  HygieneSurvey s = ponds();
  for (const char* vessel : {"V1", "V2", "V3"}) {
    s.kit(vessel, core::KitKind::kVessel);
    s.clean_well(vessel, "2025-05-01T12:00");
  }
  s.use("V3", "B1", "2025-06-01T10:00");
  s.hold("V2", "A1", "2025-06-09");
  Plan plan(s, {"A1", "B1"});
  plan.request.clean_sets = 2;
  const core::VisitPlan made = plan.make();
  CHECK(made.lacking.empty());
  for (const core::PlanStop& stop : made.stops) {
    REQUIRE(stop.vessels.size() == 1);
    const bool kiln = s.snapshot.sites.code[stop.site.value()] == "B1";
    CHECK(s.snapshot.kit[stop.vessels[0].value()].code == (kiln ? "V3" : "V1"));
    CHECK(says(stop.note, "put back here: larvae in V2") != kiln);
  }
  plan.request.vessels_per_stop = 2;
  CHECK(any_says(plan.make().lacking, "No clean vessel is left for"));
  CHECK(any_says(plan.make().lacking, "V2 holds a live sample of Heron Pond"));
}

TEST_CASE("where it costs nothing the way goes down the stream, even with kit for each site") {
  HygieneSurvey s = stream();
  Plan plan(s, {"S3", "S1", "S2"});
  plan.request.clean_sets = 3;
  CHECK(plan.order() == "S1 S2 S3");  // as short as the way up
  // The survey's own sets, and sites that carry no name of a water.
  HygieneSurvey t = stream();
  for (const char* code : {"T1", "T2", "T3"})
    t.site(code, "", at_m(code[1] == '1' ? 300 : code[1] == '2' ? 1300 : 2300, 3), core::WaterKind::kStream);
  for (const char* set : {"red", "blue", "green"}) {
    t.kit(set, core::KitKind::kNet, set);
    t.clean_well(set, "2025-05-01T12:00");
  }
  CHECK(Plan(t, {"T3", "T2", "T1"}).order() == "T1 T2 T3");
}

TEST_CASE("a set that was further down the same water does not go up to a site before it is cleaned") {
  HygieneSurvey s = stream();
  s.kit("N1", core::KitKind::kNet, "red");
  s.clean_well("N1", "2025-05-01T12:00");
  s.use("N1", "S3", "2025-06-01T10:00");
  CHECK(Plan(s, {"S3"}).make().lacking.empty());
  const core::VisitPlan made = Plan(s, {"S1", "S3"}).make();
  CHECK(made.stops[0].kit_set.empty());
  CHECK(made.stops[1].kit_set == "red");
  CHECK(any_says(made.lacking, "for Brook at S1 there is none"));
  Plan cleaned(s, {"S1", "S3"});
  cleaned.request.on_the_way = virkon();
  CHECK(cleaned.make().lacking.empty());
  CHECK(cleaned.make().stops[0].cleaning_before == "Virkon S 1 %, 10 min");
  // A vessel neither.
  s.kit("V1", core::KitKind::kVessel);
  s.clean_well("V1", "2025-05-01T12:00");
  s.use("V1", "S3", "2025-06-01T10:00");
  CHECK(Plan(s, {"S1"}).make().stops[0].vessels.empty());
  CHECK(Plan(s, {"S3"}).make().stops[0].vessels.size() == 1);
}

TEST_CASE("a set taken up where nobody knows the channel does not go on up to a site above where it was") {
  HygieneSurvey s = stream();
  s.site("P", "Brook", at_m(200, 400), core::WaterKind::kStream);  // of the same name, beside no channel
  s.kit("N1", core::KitKind::kNet, "red");
  s.clean_well("N1", "2025-05-01T12:00");
  s.use("N1", "S3", "2025-06-01T10:00");
  Plan plan(s, {"P", "S1"});
  plan.request.start = at_m(200, 500);
  const core::VisitPlan made = plan.make();
  for (std::size_t i = 0; i < 2; ++i)
    if (plan.order().substr(i == 0 ? 0 : plan.order().size() - 2) == "S1")
      CHECK(made.stops[i].kit_set.empty());
  CHECK(any_says(made.lacking, "S1"));
}

TEST_CASE("kit that belongs to no set is named where other kit goes out in sets") {
  HygieneSurvey s = ponds();
  for (const char* code : {"N1", "N9"}) {
    s.kit(code, core::KitKind::kNet, code[1] == '1' ? "red" : "");
    s.clean_well(code, "2025-05-01T12:00");
  }
  CHECK(any_says(Plan(s, {"A1", "B1"}).make().rules, "belongs to no set is not planned with: N9."));
  s.snapshot.kit.back().set = "blue";
  CHECK_FALSE(any_says(Plan(s, {"A1", "B1"}).make().rules, "belongs to no set"));
}

TEST_CASE("waters below a suspected one come after those of which nothing is known, and say why") {
  HygieneSurvey s = stream();
  s.site("U1", "Upper Brook", at_m(20, 3), core::WaterKind::kStream);
  s.site("M", "Moat", at_m(3000, 900));
  s.risk("U1", "ranavirus", "2025-06-01");
  Plan plan(s, {"U1", "S1", "M"});
  plan.request.clean_sets = 3;
  plan.request.start = at_m(0, 0);
  CHECK(plan.order() == "M S1 U1");
  const core::VisitPlan made = plan.make();
  CHECK(made.stops[1].below_risk);
  CHECK(made.stops[1].note == "180 m below Upper Brook: ranavirus suspected since 1 June 2025 there");
  CHECK_FALSE(made.stops[0].below_risk);
}

TEST_CASE("a live sample is put back at the site that it is from") {
  HygieneSurvey s = stream();
  s.kit("V1", core::KitKind::kVessel);
  s.hold("V1", "S2", "2025-06-08", "caddis larvae");
  Plan plan(s, {"S1", "S2", "S3"});
  plan.request.clean_sets = 1;
  for (const core::PlanStop& stop : plan.make().stops)
    CHECK(says(stop.note, "put back here: caddis larvae in V1, held 2 days") == (stop.site == s.at("S2")));
  // Where that is not on the round it is put back nowhere, and that is said.
  for (const char* code : {"S1", "S3"}) {
    const core::VisitPlan other = Plan(s, {code}).make();
    CHECK_FALSE(says(other.stops[0].note, "put back here"));
    CHECK(any_says(other.rules,
                   "caddis larvae in V1, held 2 days, was taken at S2, which is not on this round"));
  }
}

TEST_CASE("a stop on ground that the survey holds as private, unsafe or refused says so") {
  HygieneSurvey s = ponds();
  const auto around = [](double east) {
    const core::Line ring{at_m(east - 60, -60), at_m(east + 60, -60), at_m(east + 60, 60),
                          at_m(east - 60, 60), at_m(east - 60, -60)};
    return core::MultiPolygon{core::Polygon{{ring}}};
  };
  const auto ground = [&](core::GroundKind kind, auto shape) {
    core::Ground row;
    row.key = "ground " + std::to_string(s.snapshot.grounds.size());
    row.kind = kind;
    row.shape = shape;
    s.snapshot.grounds.push_back(row);
  };
  ground(core::GroundKind::kPrivate, around(0));
  ground(core::GroundKind::kUnsafe, around(1000));
  ground(core::GroundKind::kRefused, at_m(2010, 0));
  ground(core::GroundKind::kRoad, core::Line{at_m(2990, -50), at_m(2990, 50)});
  s.site("E1", "New Pond", at_m(4000, 0));
  s.snapshot.sites.status.back() = core::SiteStatus::kProposed;
  const auto made = Plan(s, {"A1", "B1", "C1", "D1", "E1"}).make();
  for (const core::PlanStop& stop : made.stops) {
    const auto code = s.snapshot.sites.code[stop.site.value()];
    CAPTURE(stop.note);
    CHECK(says(stop.note, "ON PRIVATE GROUND") == (code == "A1"));
    CHECK(says(stop.note, "UNSAFE GROUND") == (code == "B1"));
    CHECK(says(stop.note, "REFUSED before") == (code == "C1"));
    CHECK(says(stop.note, "the owner's permission is not recorded") == (code == "E1"));
  }
}

TEST_CASE("bleach in a plan says per cent of what") {
  HygieneSurvey s = ponds();
  Plan plan(s, {"A1", "B1"});
  plan.request.clean_sets = 1;
  CHECK(any_says(plan.make().lacking,
                 "bleach 10 %, 10 min, per cent of household bleach in the solution; follow its label"));
}

TEST_CASE("a start with longitude and latitude exchanged is refused, and one that is far away is told") {
  HygieneSurvey s = ponds();
  Plan plan(s, {"A1", "B1"});
  plan.request.start = core::LonLat{45, -30};
  CHECK_THROWS_AS(plan.make(), Error);
  try {
    plan.make();
  } catch (const Error& error) {
    CHECK(says(error.what(), "with its numbers exchanged; write the longitude first"));
  }
  plan.request.start = core::LonLat{-10, 45};
  CHECK(any_says(plan.make().late, "from the nearest site; look at its longitude and latitude"));
}

TEST_CASE("what ends after sunset is told") {
  HygieneSurvey s = ponds();
  Plan plan(s, {"A1", "B1", "C1", "D1"});
  plan.request.clean_sets = 4;
  plan.request.day = moment("2025-12-20").date;
  const core::VisitPlan made = plan.make();
  REQUIRE(made.sunset_min);
  CHECK(made.late.empty());
  plan.request.stop_min = 150;
  plan.request.after_dark = true;
  const core::VisitPlan late = plan.make();
  CHECK(late.stops.size() == 4);
  CHECK(late.another_day.empty());
  CHECK(late.late.empty());  // it was asked for; what it takes is told
  CHECK(any_says(late.rules, "After sunset"));
  CHECK(any_says(late.rules, "as asked: go with somebody, carry lights"));
  REQUIRE(late.dusk_min);
  CHECK(*late.dusk_min > *late.sunset_min);
  CHECK(any_says(late.rules, ("dark from " + core::clock_words(*late.dusk_min)).c_str()));
  plan.request.stop_min = 45;
  plan.request.leave_min = 300;
  CHECK(any_says(plan.make().rules, "before sunrise"));
  plan.request.after_dark = false;
  CHECK(any_says(plan.make().late, "before sunrise"));
}

TEST_CASE("a site without a position, one named twice, and no site at all get a sentence each") {
  HygieneSurvey s = ponds();
  s.site("Z1", "Lost Pond", core::kUnplaced);
  CHECK_THROWS_WITH_AS(
      Plan(s, {"A1", "Z1"}).make(),
      "site Z1 has no position, so no way to it is known; note its position, or leave it out", Error);
  CHECK_THROWS_WITH_AS(Plan(s, {"A1", "A1"}).make(), "site A1 is named twice; name it once", Error);
  CHECK_THROWS_WITH_AS(Plan(s, {}).make(), "no site is named; name at least one", Error);
}

TEST_CASE("the offset from UTC comes from the newest visit, else from the longitude, and that is told") {
  HygieneSurvey s = ponds();
  Plan plan(s, {"A1"});
  plan.request.utc_offset_min.reset();
  CHECK(plan.make().utc_offset_min == -120);  // 30 degrees west
  CHECK(any_says(plan.make().rules, "taken from the longitude"));
  s.snapshot.visits.site.push_back(s.at("A1"));
  s.snapshot.visits.start.push_back(moment("2025-06-01T10:00-01:00"));
  CHECK(plan.make().utc_offset_min == -60);
  CHECK(any_says(plan.make().rules, "as at the visit of 1 June 2025"));
}

TEST_CASE("times of day are words") {
  CHECK(core::clock_words(0) == "00:00");
  CHECK(core::clock_words(569.6) == "09:30");
  CHECK(core::clock_words(1460) == "00:20 the next day");
  CHECK(core::clock_words(3240) == "06:00 2 days later");
}
