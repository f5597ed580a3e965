#include <doctest/doctest.h>

#include "core/design/bracket.hpp"
#include "core/design/narrow.hpp"
#include "core/design/spread.hpp"
#include "core/design/variety.hpp"
#include "tests/core/design/design_survey.hpp"

using namespace brookmark::core;
using namespace brookmark::test;

namespace {

// A runs to C past S; B is an arm of its own that joins at C.
const char* const kBeck = R"(
         A
         |
         S
         |
         |
         |
         |
    B----C
         |
         |
         |
         |
         D
)";

constexpr const char* kClean = ": go there last and clean after";

struct Risky : DesignSurvey {
  Risky() : DesignSurvey(kBeck) {
    drawn.site('S');
    refresh();
  }
  void risk(std::size_t site, const std::string& target, RiskStatus status, const char* since) {
    WaterRisk risk;
    risk.site_key = std::string(snapshot.sites.key[site]);
    risk.target = target;
    risk.status = status;
    risk.since = parse_date(since).value();
    snapshot.risks.push_back(risk);
  }
  // What is said of a spot there, which stands for any purpose.
  Suggestion at(LonLat place) const {
    Suggestions s;
    Suggestion& one = s.list.emplace_back();
    one.reason = "why";
    if (const auto point = drawn.network.snap(place)) {
      one.spot.position = point->position;
      one.spot.edge = point->edge;
      one.spot.along_m = point->along_m;
    }
    add_facts(s, source());
    return s.list[0];
  }
};

}  // namespace

TEST_CASE(
    "a spot below a water with a risk says so in reason and reminder; one above it or on another arm does "
    "not") {
  Risky d;
  d.risk(0, "ranavirus", RiskStatus::kSuspected, "2024-05-03");
  const Suggestion below = d.at(d.drawn.river.beside('C', 0, -100));
  // S lies 500 m above C.
  CHECK(below.caution ==
        "600 m below site S: ranavirus suspected since 3 May 2024 there" + std::string(kClean));
  CHECK(below.reason == "why; " + below.caution);
  CHECK(below.reminder.starts_with(kSpotReminder));
  CHECK(below.reminder.ends_with(
      "600 m below site S: ranavirus suspected since 3 May 2024 there: go there last and clean after."));
  for (const LonLat& place : {d.drawn.river.beside('A', 0, -50), d.drawn.river.at('B')}) {
    const Suggestion other = d.at(place);
    CHECK(other.caution.empty());
    CHECK(other.reason == "why");
    CHECK(other.reminder == kSpotReminder);
  }
  // One that was cleared, or is not known yet on the day, is none.
  d.risk(0, "ranavirus", RiskStatus::kCleared, "2024-09-01");
  d.risk(0, "crayfish plague", RiskStatus::kConfirmed, "2026-01-01");
  CHECK(d.at(d.drawn.river.beside('C', 0, -100)).caution.empty());
}

TEST_CASE(
    "a spot at a water with a risk names the water, whether a site says its name or lies in its shape") {
  for (const bool named : {true, false}) {
    DesignSurvey d("A\n|\nB\n");
    MultiPolygon shape = d.square('A', 20);
    LonLat inside = d.drawn.river.at('A');
    for (LonLat& p : shape[0].rings[0]) p.lon += 0.05;
    inside.lon += named ? 0.1 : 0.05;
    d.drawn.site("K1", inside, WaterKind::kPond);
    d.refresh();
    if (named) {
      d.snapshot.sites.water = {};
      d.snapshot.sites.water.append("Kiln Pond");
    }
    d.snapshot.waters.push_back({"k", "Kiln Pond", WaterKind::kPond, shape});
    WaterRisk risk;
    risk.site_key = std::string(d.snapshot.sites.key[0]);
    risk.target = "ranavirus";
    risk.status = RiskStatus::kConfirmed;
    risk.since = parse_date("2024-05-03").value();
    d.snapshot.risks.push_back(risk);
    DesignOptions options;
    options.count = 1;
    options.spots.on = SpotOn::kWaters;
    const std::string caution =
        std::string(named ? "Kiln Pond" : "site K1") + ": ranavirus confirmed since 3 May 2024" + kClean;
    for (const Suggestions& s : {suggest_spread(d.source(), options, {.count_sites = false}),
                                 suggest_variety(d.source(), options, {})}) {
      REQUIRE(s.list.size() == 1);
      CHECK(s.list[0].caution == caution);
      CHECK(s.list[0].reason.ends_with("; " + caution));
      CHECK(proposed_site(s.list[0]).note.ends_with("ranavirus confirmed since 3 May 2024" +
                                                    std::string(kClean) + "."));
      // Moved elsewhere it no longer says so.
      const Suggestion moved = moved_to(s.list[0], d.drawn.river.at('B'), d.source(), {});
      CHECK(moved.reason.find("ranavirus") == std::string::npos);
    }
  }
}

TEST_CASE("bracket and narrow tell of a risk above too") {
  Risky d;
  d.drawn.builder.outfall("OUT", OutfallKind::kRoadDrain, d.drawn.river.beside('S', 0, -150));
  d.drawn.sample('A', "2024-05-01", kGood);
  d.drawn.sample('D', "2024-05-01", kPoor);
  d.refresh();
  d.risk(d.snapshot.find_site("S")->value(), "ranavirus", RiskStatus::kSuspected, "2024-05-03");
  const Suggestions bracket = suggest_bracket(d.source(), {}, {.clear = {.mixing_m = 150}});
  REQUIRE(!bracket.list.empty());
  CHECK(bracket.list.back().reason.ends_with(kClean));
  const auto falls = d.drawn.drops("2024-12-31");
  const Suggestions narrow = suggest_narrow(d.source(), {.count = 1}, worst_fall(falls), {});
  REQUIRE(narrow.list.size() == 1);
  CHECK(narrow.list[0].reason.starts_with("it parts "));
  CHECK(narrow.list[0].reason.ends_with("ranavirus suspected since 3 May 2024 there" + std::string(kClean)));
}

TEST_CASE("a spot on a named channel takes the kind on which the sites of that name agree") {
  DesignSurvey d("A\n|\nB\n");
  d.drawn.site('A', WaterKind::kDitch);
  d.refresh();
  d.snapshot.sites.water = {};
  d.snapshot.sites.water.append("Long Drain");
  CHECK(suggest_spread(d.source(), {.count = 1}).list.at(0).kind == WaterKind::kUnknown);
  for (Reach& reach : d.snapshot.reaches) reach.name = "Long drain";
  CHECK(suggest_spread(d.source(), {.count = 1}).list.at(0).kind == WaterKind::kDitch);
}
