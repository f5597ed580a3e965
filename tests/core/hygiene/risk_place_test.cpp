// Within one stream at risk: above the place where it was found, at it, below it. And what lies below a water that kit entered.
#include <doctest/doctest.h>

#include <algorithm>
#include <numeric>
#include <set>

#include "core/base/random.hpp"
#include "core/hygiene/kit_records.hpp"
#include "core/hygiene/tracing.hpp"
#include "core/hygiene/visit_plan.hpp"
#include "tests/core/hygiene/hygiene_survey.hpp"
#include "tests/support/near.hpp"

using namespace brookmark;
using namespace brookmark::test;

namespace {

const core::Date kDay = moment("2025-06-10").date;

// A brook running east with sites S1 to S4 at 500, 1500, 2500 and 3500 m, and an arm with a site T that joins at 3000 m; all of one
// name.
HygieneSurvey brook() {
  HygieneSurvey s;
  s.channel({at_m(0, 0), at_m(3000, 0)});
  s.channel({at_m(3000, 0), at_m(5000, 0)});
  s.channel({at_m(3000, 2000), at_m(3000, 0)});
  for (int i = 1; i <= 4; ++i)
    s.site("S" + std::to_string(i), "Brook", at_m(i * 1000.0 - 500, 3), core::WaterKind::kStream);
  s.site("T", "Brook", at_m(3003, 1000), core::WaterKind::kStream);
  return s;
}

core::RiskPlace place(const HygieneSurvey& s, const char* code) {
  const HygieneBook book(s.snapshot);
  return book.waters.place_in_risk(s.at(code), kDay).place;
}

core::VisitPlan planned(const HygieneSurvey& s, const std::vector<std::string>& codes, std::size_t sets,
                        core::LonLat start) {
  const HygieneBook book(s.snapshot);
  core::PlanRequest request;
  for (const std::string& code : codes) request.sites.push_back(s.at(code));
  request.day = kDay;
  request.utc_offset_min = -120;
  request.clean_sets = sets;
  request.start = start;
  request.after_dark = true;
  return core::plan_visits(s.snapshot, book.waters, book.history, request);
}

std::string order(const HygieneSurvey& s, const core::VisitPlan& plan) {
  std::string codes;
  for (const core::PlanStop& stop : plan.stops)
    codes += (codes.empty() ? "" : " ") + std::string(s.snapshot.sites.code[stop.site.value()]);
  return codes;
}

}  // namespace

TEST_CASE("a site of a stream at risk lies above the place, at it, below it, or is not known to do either") {
  HygieneSurvey s = brook();
  CHECK(place(s, "S1") == core::RiskPlace::kNone);
  s.risk("S2", "crayfish plague", "2025-06-01");
  CHECK(place(s, "S1") == core::RiskPlace::kAbove);
  CHECK(place(s, "S2") == core::RiskPlace::kAt);
  CHECK(place(s, "S3") == core::RiskPlace::kBelow);
  CHECK(place(s, "S4") == core::RiskPlace::kBelow);
  CHECK(place(s, "T") == core::RiskPlace::kElsewhere);
  {
    const HygieneBook book(s.snapshot);
    CHECK(near(book.waters.place_in_risk(s.at("S4"), kDay).distance_m, 2000, 1));
    CHECK(says(book.waters.risk_sentences(s.at("S1"), kDay).at(0),
               "since 1 June 2025 at S2, 1000 m further down"));
    CHECK(says(book.waters.risk_sentences(s.at("S3"), kDay).at(0),
               "since 1 June 2025 at S2, 1000 m further up"));
    CHECK(
        says(book.waters.risk_sentences(s.at("T"), kDay).at(0), "since 1 June 2025 at S2 of the same water"));
    CHECK(book.waters.risk_sentences(s.at("S2"), kDay).at(0).ends_with("since 1 June 2025"));
  }
  // Found further up as well, S1 is no longer above all of it.
  s.risk("S1", "ranavirus", "2025-06-02");
  CHECK(place(s, "S1") == core::RiskPlace::kAt);
  CHECK(place(s, "S2") == core::RiskPlace::kAt);
  // A place that was cleared is none.
  s.risk("S1", "ranavirus", "2025-06-03", core::RiskStatus::kCleared);
  CHECK(place(s, "S1") == core::RiskPlace::kAbove);
  // A site above one place and beside another is not known to be clear of that.
  s.risk("T", "ranavirus", "2025-06-04");
  CHECK(place(s, "S1") == core::RiskPlace::kElsewhere);
  CHECK(place(s, "S4") == core::RiskPlace::kBelow);
}

TEST_CASE("above the place comes before it, with shared kit and with kit for each site") {
  HygieneSurvey s = brook();
  s.risk("S2", "crayfish plague", "2025-06-01");
  for (const std::size_t sets : {1U, 4U}) {
    CAPTURE(sets);
    // From the foot of the brook, where the way up would be the shorter one.
    const core::VisitPlan plan = planned(s, {"S2", "S1"}, sets, at_m(5000, 0));
    CHECK(order(s, plan) == "S1 S2");
    CHECK(core::risk_words(plan.stops[0]) == "suspected, above the place");
    CHECK(core::risk_words(plan.stops[1]) == "suspected");
  }
  const core::VisitPlan plan = planned(s, {"S4", "S2", "S1"}, 4, at_m(5000, 0));
  CHECK(plan.stops.front().site == s.at("S1"));
  for (const core::PlanStop& stop : plan.stops)
    if (stop.site == s.at("S4")) CHECK(core::risk_words(stop) == "suspected, below the place");
}

TEST_CASE(
    "every plan on a brook at risk is the shortest that keeps the place of the risk, against every order") {
  core::Random random(5, core::stream_of("risk place"));
  for (int round = 0; round < 60; ++round) {
    CAPTURE(round);
    HygieneSurvey s;
    s.channel({at_m(0, 0), at_m(10'000, 0)});
    const std::size_t count = 3 + random.below(4);
    std::vector<double> east;
    for (std::size_t i = 0; i < count; ++i) {
      east.push_back(200 + random.uniform() * 9600);
      s.site("S" + std::to_string(i), i + 1 < count || round % 3 != 0 ? "Brook" : "Pond",
             i + 1 < count || round % 3 != 0 ? at_m(east.back(), 2) : at_m(east.back(), 3000),
             i + 1 < count || round % 3 != 0 ? core::WaterKind::kStream : core::WaterKind::kPond);
    }
    const std::size_t in_brook = round % 3 == 0 ? count - 1 : count;
    std::vector<std::size_t> found{random.below(in_brook)};
    if (round % 2 == 0) found.push_back(random.below(in_brook));
    for (const std::size_t i : found) s.risk("S" + std::to_string(i), "ranavirus", "2025-06-01");
    const bool shared = round % 4 < 2;
    const core::LonLat start = at_m(random.uniform() * 10'000, 500);
    std::vector<std::string> codes;
    for (std::size_t i = 0; i < count; ++i) codes.push_back("S" + std::to_string(i));
    const core::VisitPlan plan = planned(s, codes, shared ? (round % 3 == 0 ? 2 : 1) : count, start);
    // By the places on the line alone: water runs east.
    const double first_found = [&] {
      double least = HUGE_VAL;
      for (const std::size_t i : found) least = std::min(least, east[i]);
      return least;
    }();
    const auto is_pond = [&](std::size_t i) { return i >= in_brook; };
    const auto before = [&](std::size_t a, std::size_t b) {  // a must come before b
      if (is_pond(a) != is_pond(b)) return is_pond(a);       // nothing is known of the pond
      if (is_pond(a)) return false;
      if (east[a] < first_found && east[b] >= first_found) return true;
      return shared && east[a] < east[b];
    };
    std::vector<std::size_t> all(count);
    std::iota(all.begin(), all.end(), 0U);
    double best = HUGE_VAL;
    do {
      bool allowed = true;
      for (std::size_t i = 0; i < count; ++i)
        for (std::size_t j = i + 1; j < count; ++j) allowed = allowed && !before(all[j], all[i]);
      if (!allowed) continue;
      double way = core::geodesic_m(start, s.snapshot.sites.position[all[0]]);
      for (std::size_t i = 1; i < count; ++i)
        way += core::geodesic_m(s.snapshot.sites.position[all[i - 1]], s.snapshot.sites.position[all[i]]);
      best = std::min(best, way);
    } while (std::next_permutation(all.begin(), all.end()));
    REQUIRE(plan.stops.size() == count);
    for (std::size_t i = 0; i < count; ++i)
      for (std::size_t j = i + 1; j < count; ++j)
        CHECK_FALSE(before(plan.stops[j].site.value(), plan.stops[i].site.value()));
    CHECK(near(plan.way_m, best, 1.0));  // of ways within a metre the one down the channel is taken
  }
}

TEST_CASE("a water below one that kit entered is told, ranked, and its kit has to be cleaned of it") {
  HygieneSurvey s;
  s.channel({at_m(0, 0), at_m(5000, 0)});
  s.site("H", "Heron Pond", at_m(0, 3000));
  s.site("U", "Upper Brook", at_m(1000, 3), core::WaterKind::kStream);
  s.site("L", "Lower Brook", at_m(3000, 3), core::WaterKind::kStream);
  s.site("M", "Moat", at_m(6000, 3000));
  for (const char* net : {"N1", "N2"}) s.kit(net);
  s.risk("H", "Crassula helmsii", "2025-05-01");
  s.use("N1", "H", "2025-05-03T09:00");
  s.clean_well("N1", "2025-05-03T12:00");  // not against Crassula
  s.use("N1", "U", "2025-05-04T09:00");
  s.use("N2", "L", "2025-05-06T09:00");
  s.clean_well("N2", "2025-05-06T12:00");
  const HygieneBook book(s.snapshot);
  const core::BodyIndex lower = book.waters.of(s.at("L"));
  const auto& contacts = book.waters.contacts(lower, kDay);
  REQUIRE(contacts.size() == 1);
  REQUIRE(contacts[0].way != nullptr);
  CHECK(contacts[0].entered == book.waters.of(s.at("U")));
  const auto told = book.waters.risk_sentences(s.at("L"), kDay);
  REQUIRE(told.size() == 1);
  CHECK(told[0].starts_with(
      "may hold Crassula helmsii of Heron Pond too: 2000 m below Upper Brook, which was entered with "
      "kit not cleaned of it: N1: Heron Pond on 3 May 2025"));
  const auto crassula = *core::find_target("crassula");
  const auto state = s.state("N2", "2025-05-07");
  REQUIRE(state.open.size() == 1);
  CHECK(std::find(state.open[0].missing.begin(), state.open[0].missing.end(), crassula) !=
        state.open[0].missing.end());
  // Told where the use is written down.
  const core::KitIndex item = s.item("N2");
  const auto use = core::record_use({s.snapshot, book.waters, book.history, moment("2025-07-01T12:00")},
                                    {&item, 1}, s.at("L"), moment("2025-05-08T09:00"), "", "");
  REQUIRE_FALSE(use.notes.empty());
  CHECK(says(use.notes[0], "2000 m below Upper Brook"));
  const core::VisitPlan plan = planned(s, {"L", "M"}, 2, at_m(3000, 0));
  CHECK(order(s, plan) == "M L");
  CHECK(plan.stops[1].below_contact);
  CHECK_FALSE(plan.stops[1].by_contact);
  CHECK(core::risk_words(plan.stops[1]) == "downstream of a contact");
}

TEST_CASE(
    "contacts below a contact are those that a trace finds downstream, in 300 random histories on two "
    "brooks") {
  core::Random random(9, core::stream_of("below contacts"));
  std::size_t seen = 0;
  for (int round = 0; round < 300; ++round) {
    CAPTURE(round);
    HygieneSurvey s;
    s.channel({at_m(0, 0), at_m(9000, 0)});
    s.channel({at_m(0, 4000), at_m(9000, 4000)});
    const std::size_t count = 6;
    for (std::size_t w = 0; w < count; ++w)
      s.site("S" + std::to_string(w), "Water " + std::to_string(w),
             at_m(500 + random.uniform() * 8000, w % 2 == 0 ? 3 : 4003), core::WaterKind::kStream);
    for (const char* net : {"N1", "N2"}) s.kit(net);
    const auto when = [&] {
      return core::format_date({20209 + static_cast<std::int32_t>(random.below(30))}) + "T1" +
             std::to_string(random.below(10)) + ":00";
    };
    for (int u = 0; u < 7; ++u) {
      const std::string net = "N" + std::to_string(1 + random.below(2));
      s.use(net, "S" + std::to_string(random.below(count)), when());
      if (random.below(2) == 0) s.clean_well(net, when());
    }
    s.risk("S0", "ranavirus", core::format_date({20209 + static_cast<std::int32_t>(random.below(20))}));
    const HygieneBook book(s.snapshot);
    const core::Date day{20300};
    core::TraceQuery query =
        core::told_of(s.snapshot, book.waters, book.waters.of(s.at("S0")), "ranavirus")->query;
    query.until = day;
    std::set<std::size_t> traced, told;
    for (const auto& lower : core::trace(s.snapshot, book.waters, book.history, query).below)
      if (lower.source != query.origin) traced.insert(lower.below.body.value());
    for (std::size_t b = 0; b < book.waters.size(); ++b)
      for (const core::RiskByContact& contact : book.waters.contacts(core::BodyIndex(b), day))
        if (contact.way != nullptr) told.insert(b);
    CHECK(told == traced);
    seen += told.size();
  }
  CHECK(seen > 50);
}
