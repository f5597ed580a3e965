#include "core/hygiene/tracing.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <limits>
#include <map>
#include <set>

#include "core/base/random.hpp"
#include "tests/core/hygiene/hygiene_survey.hpp"

using namespace brookmark;
using namespace brookmark::test;

namespace {

std::vector<core::TracedWater> trace(const HygieneSurvey& s, const std::string& origin,
                                     const char* since = nullptr, const char* target = "ranavirus") {
  const core::SurveyWaters waters(s.snapshot);
  const core::KitHistory history(s.snapshot, waters);
  core::TraceQuery query;
  query.origin = *waters.find(origin);
  if (since != nullptr) query.since = moment(since).date;
  query.target = core::find_target(target);
  return core::trace_contacts(s.snapshot, waters, history, query);
}

// "Kiln Pond direct, Moat through 2": in the order given.
std::string said(const HygieneSurvey& s, const std::vector<core::TracedWater>& traced) {
  const core::SurveyWaters waters(s.snapshot);
  std::string words;
  for (const core::TracedWater& water : traced)
    words += (words.empty() ? "" : ", ") + waters.name(water.body) +
             (water.direct ? " direct" : " through " + std::to_string(water.chain.size()));
  return words;
}

HygieneSurvey ponds() {
  HygieneSurvey s;
  for (const char* name : {"Heron", "Kiln", "Moat", "Alder", "Dene"})
    s.site(name, std::string(name) + " Pond");
  for (const char* kit : {"N1", "N2", "N3"}) s.kit(kit);
  return s;
}

// The same by every pair of uses, to a fixed point. When a water may hold it: the earliest entry by a use that may
// have come after a use in a water that held it by then, with no cleaning surely in between.
struct Brute {
  std::map<std::string, std::int64_t> from;  // water -> minute
  std::set<std::string> direct;
  std::map<std::string, std::set<std::string>> kit;  // water -> items that came in
};
Brute brute_force(const HygieneSurvey& s, const std::string& origin, std::int64_t since,
                  core::TargetIndex target) {
  const core::SurveyWaters waters(s.snapshot);
  const auto water_of = [&](const core::KitUse& use) { return waters.name(waters.of(s.at(use.site_key))); };
  struct Stay {
    std::string kit, water;
    core::TimeSpan when;
    std::int64_t until = 0;  // a cleaning that begins later takes away what was brought from there
  };
  std::vector<Stay> stays;
  for (const core::KitUse& use : s.snapshot.kit_uses)
    stays.push_back({use.kit_key, water_of(use), core::span_of(use.when), core::span_of(use.when).to_min});
  for (const core::Holding& held : s.snapshot.holdings) {
    Stay stay{held.kit_key, waters.name(waters.of(s.at(held.site_key))), core::span_of({held.since, {}, {}}),
              std::numeric_limits<std::int64_t>::max()};
    if (held.until) stay.until = std::int64_t{held.until->days} * 1440 - 1;
    if (held.outcome == core::HoldingOutcome::kReturned)
      for (const core::KitUse& use : s.snapshot.kit_uses)
        if (use.kit_key == held.kit_key && use.when.date == held.until)
          stay.until = std::max(stay.until, core::span_of(use.when).to_min);
    stays.push_back(stay);
  }
  Brute found;
  found.from[origin] = since;
  for (bool changed = true; changed;) {
    changed = false;
    for (const Stay& out : stays) {
      const auto held = found.from.find(out.water);
      if (held == found.from.end() || out.when.to_min < held->second) continue;
      for (const Stay& in : stays) {
        if (in.kit != out.kit || in.water == out.water || in.water == origin) continue;
        if (in.when.to_min < out.when.from_min) continue;
        bool cleaned = false;
        for (const core::Cleaning& c : s.snapshot.cleanings) {
          const core::TimeSpan at = core::span_of(c.finished);
          cleaned = cleaned || (c.kit_key == out.kit && core::is_enough(c, target) &&
                                out.until < at.from_min && at.to_min < in.when.from_min);
        }
        if (cleaned) continue;
        if (out.water == origin) found.direct.insert(in.water);
        found.kit[in.water].insert(in.kit);
        const auto known = found.from.find(in.water);
        if (known != found.from.end() && known->second <= in.when.from_min) continue;
        found.from[in.water] = in.when.from_min;
        changed = true;
      }
    }
  }
  found.from.erase(origin);
  return found;
}

}  // namespace

TEST_CASE("a water that several items came into names each of them, and only the sites that they came to") {
  HygieneSurvey s;
  s.site("N01", "Mere");
  for (int i = 1; i <= 9; ++i) s.site("Q0" + std::to_string(i), "Long Lake");
  for (const char* kit : {"K1", "K2", "K3"}) s.kit(kit);
  s.use("K2", "N01", "2025-05-03T09:00");
  s.use("K1", "N01", "2025-05-03T09:00");
  s.use("K3", "N01", "2025-05-03T09:00");
  s.clean_well("K3", "2025-05-03T20:00");
  s.use("K1", "Q01", "2025-05-04T09:00");
  s.use("K2", "Q08", "2025-05-05T09:00");
  s.use("K3", "Q05", "2025-05-06T09:00");
  const auto traced = trace(s, "Mere", "2025-05-01");
  REQUIRE(traced.size() == 1);
  CHECK(traced[0].kit == std::vector{core::KitIndex(0), core::KitIndex(1)});
  CHECK(traced[0].sites == std::vector{s.at("Q01"), s.at("Q08")});
  CHECK(traced[0].words ==
        "K1: Mere on 3 May 2025 at 09:00, then Long Lake on 4 May 2025 at 09:00; also K2: Q08 on 5 May 2025 "
        "at 09:00");
}

// A history by hand. Heron Pond is suspected from 1 May on.
//   N1: Heron 3 May, Kiln 4 May                     -> Kiln, directly
//   N1: cleaned 5 May, then Moat 6 May              -> Moat is not reached by N1
//   N2: Kiln 7 May, Alder 8 May                     -> Alder, through Kiln
//   N3: Kiln 2 May (before anything came there), Dene 9 May -> Dene is not reached
TEST_CASE("contacts are traced directly and through chains, and a cleaning that is enough ends them") {
  HygieneSurvey s = ponds();
  s.use("N1", "Heron", "2025-05-03T09:00");
  s.use("N1", "Kiln", "2025-05-04T09:00");
  s.clean_well("N1", "2025-05-05T18:00");
  s.use("N1", "Moat", "2025-05-06T09:00");
  s.use("N2", "Kiln", "2025-05-07T09:00");
  s.use("N2", "Alder", "2025-05-08T09:00");
  s.use("N3", "Kiln", "2025-05-02T09:00");
  s.use("N3", "Dene", "2025-05-09T09:00");
  const auto traced = trace(s, "Heron Pond", "2025-05-01");
  CHECK(said(s, traced) == "Kiln Pond direct, Alder Pond through 2");
  CHECK(traced[0].words == "N1: Heron Pond on 3 May 2025 at 09:00, then Kiln Pond on 4 May 2025 at 09:00");
  CHECK(
      traced[1].words ==
      "N1: Heron Pond on 3 May 2025 at 09:00, then Kiln Pond on 4 May 2025 at 09:00; N2: Kiln Pond on 7 May "
      "2025 at 09:00, then Alder Pond on 8 May 2025 at 09:00");
  CHECK_FALSE(traced[1].order_unsure);
  // From the 4th on Heron Pond was entered by nobody.
  CHECK(said(s, trace(s, "Heron Pond", "2025-05-04")) == "");
  // The same cleaning is nothing against an organism without a rule.
  CHECK(said(s, trace(s, "Heron Pond", "2025-05-01", "goldfish disease")) ==
        "Kiln Pond direct, Moat Pond direct, Alder Pond through 2");
}

TEST_CASE("a weak cleaning ends no chain, and a drying none of a virus") {
  HygieneSurvey s = ponds();
  s.use("N1", "Heron", "2025-05-03T09:00");
  s.clean("N1", "2025-05-03T12:00", "bleach", 1, {}, 30);
  s.clean("N1", "2025-05-10T12:00", "drying", {}, {}, 9000);
  s.use("N1", "Kiln", "2025-05-11T09:00");
  CHECK(said(s, trace(s, "Heron Pond")) == "Kiln Pond direct");
  CHECK(said(s, trace(s, "Heron Pond", nullptr, "Bd")) ==
        "Kiln Pond direct");  // what drying does to it is only recalled
  s.clean("N1", "2025-05-10T13:00", "ethanol", 70, {}, 1);
  CHECK(said(s, trace(s, "Heron Pond", nullptr, "Bd")) == "");
}

TEST_CASE("uses of one day without a time of day count in the worse order, and that is told") {
  HygieneSurvey s = ponds();
  s.use("N1", "Heron", "2025-05-03");
  s.use("N1", "Kiln", "2025-05-03T08:00");
  s.clean_well("N1", "2025-05-03T20:00");
  s.use("N1", "Moat", "2025-05-04T08:00");
  const auto traced = trace(s, "Heron Pond");
  // Kiln at eight may have come after Heron. The cleaning at eight in the evening may have come before Heron.
  CHECK(said(s, traced) == "Kiln Pond direct, Moat Pond direct");
  CHECK(traced[0].order_unsure);
  CHECK(traced[0].words.find("a time of day is missing") != std::string::npos);
  CHECK_FALSE(traced[1].order_unsure);
  // With its time there is no doubt.
  s.snapshot.kit_uses[0].when = moment("2025-05-03T10:00");
  CHECK(said(s, trace(s, "Heron Pond")) == "");
}

TEST_CASE("two waters that reach each other on one day without times end the chain all the same") {
  HygieneSurvey s = ponds();
  s.use("N1", "Heron", "2025-05-03T07:00");
  s.use("N1", "Kiln", "2025-05-03T08:00");
  s.use("N1", "Moat", "2025-05-03T09:00");
  s.use("N2", "Kiln", "2025-05-03");
  s.use("N2", "Moat", "2025-05-03");
  const auto traced = trace(s, "Heron Pond");
  CHECK(traced.size() == 2);
  for (const auto& water : traced) CHECK(water.direct);
}

TEST_CASE("tracing agrees with every pair of uses and live samples on random histories") {
  core::Random random(20260131, core::stream_of("tracing"));
  const core::TargetIndex target = *core::find_target("ranavirus");
  for (int round = 0; round < 400; ++round) {
    CAPTURE(round);
    HygieneSurvey s;
    const std::size_t waters = 3 + random.below(6), items = 1 + random.below(4);
    for (std::size_t w = 0; w < waters; ++w) s.site("S" + std::to_string(w), "W" + std::to_string(w));
    for (std::size_t k = 0; k < items; ++k) s.kit("K" + std::to_string(k));
    const auto when = [&] {
      const std::uint64_t day = 1 + random.below(9), hour = 10 + random.below(10);
      const std::string date = "2025-05-0" + std::to_string(day);
      return random.below(3) == 0 ? date : date + "T" + std::to_string(hour) + ":00";
    };
    const std::size_t rows = 2 + random.below(25);
    for (std::size_t r = 0; r < rows; ++r) {
      const std::string kit = "K" + std::to_string(random.below(items));
      if (random.below(4) == 0)
        random.below(2) == 0 ? s.clean_well(kit, when()) : s.clean(kit, when(), "bleach", 1, {}, 10);
      else
        s.use(kit, "S" + std::to_string(random.below(waters)), when());
    }
    for (std::size_t r = random.below(round % 2 == 0 ? 1 : 4); r > 0; --r) {
      const std::uint64_t since = 1 + random.below(9), until = since + random.below(4);
      s.hold("K" + std::to_string(random.below(items)), "S" + std::to_string(random.below(waters)),
             "2025-05-0" + std::to_string(since));
      if (until < 10)
        s.ended("2025-05-0" + std::to_string(until),
                random.below(2) == 0 ? core::HoldingOutcome::kReturned : core::HoldingOutcome::kDisposed);
    }
    const char* since = random.below(2) == 0 ? "2025-05-04" : nullptr;
    const std::int64_t from =
        since != nullptr ? core::span_of(moment(since)).from_min : std::numeric_limits<std::int64_t>::min();
    const Brute wanted = brute_force(s, "W0", from, target);
    const auto traced = trace(s, "W0", since);
    const core::SurveyWaters names(s.snapshot);
    std::map<std::string, std::int64_t> found;
    std::map<std::string, std::set<std::string>> kit;
    for (const core::TracedWater& water : traced) {
      found[names.name(water.body)] = water.when.from_min;
      for (const core::KitIndex item : water.kit)
        kit[names.name(water.body)].insert(s.snapshot.kit[item.value()].code);
      CHECK(water.direct == wanted.direct.contains(names.name(water.body)));
      // The chain begins in the origin, ends in the water, and each step leaves where the one before arrived.
      REQUIRE_FALSE(water.chain.empty());
      CHECK(names.of(water.chain.front().out.site) == names.of(s.at("S0")));
      CHECK(names.of(water.chain.back().in.site) == water.body);
      for (std::size_t i = 1; i < water.chain.size(); ++i)
        CHECK(names.of(water.chain[i].out.site) == names.of(water.chain[i - 1].in.site));
    }
    CHECK(found == wanted.from);
    CHECK(kit == wanted.kit);
  }
}
