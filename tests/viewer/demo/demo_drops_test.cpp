// Where the invented brook falls, and which parts of it are known, asked through the public API as the map asks it.
#include <doctest/doctest.h>

#include "core/analysis/drops.hpp"
#include "core/analysis/rank_driver.hpp"
#include "tests/support/near.hpp"
#include "tests/viewer/demo/demo_fixture.hpp"

namespace brookmark {
namespace {

using test::default_method;
using test::made;
using test::outfall;
using test::site;

std::vector<core::Drop> drops_on(const char* day, const core::Method& method = default_method(),
                                 std::size_t metric = 0) {
  return core::find_drops(made().survey, core::score_samples(made().survey, method), metric, made().channels,
                          *core::parse_date(day));
}

const core::Drop* stretch(const std::vector<core::Drop>& drops, const char* up, const char* down) {
  for (const core::Drop& drop : drops)
    if (drop.up.value() == site(up) && drop.down.value() == site(down)) return &drop;
  return nullptr;
}

}  // namespace

TEST_CASE("once the overflow fails, the stretch that it enters is the worst of all, and was not before") {
  // It spills from spring 2022; the animals are gone from winter 2022/23 on (demo_area/story.cpp).
  for (const char* day : {"2023-06-30", "2023-12-31", "2024-12-31", "2025-12-31"}) {
    INFO(day);
    const auto drops = drops_on(day);
    REQUIRE_FALSE(drops.empty());
    const core::Drop& worst = drops.front();
    CHECK(worst.up.value() == site("Q03"));
    CHECK(worst.down.value() == site("Q04"));
    CHECK(worst.is_worse());
    // OUT-2 enters here and nothing else, 117 m above Q04 and 360 m below Q03: see demo_test.cpp for where the metres
    // come from.
    REQUIRE(worst.outfalls.size() == 1);
    CHECK(worst.outfalls[0].outfall.value() == outfall("OUT-2"));
    CHECK(test::near(worst.outfalls[0].distance_m, 117, 1));
    CHECK_FALSE(worst.outfalls[0].from_side);
    CHECK(test::near(worst.stretch.length_m, 117 + 360, 2));
    CHECK(worst.tributaries.empty());
  }
  for (const char* day : {"2020-12-31", "2021-12-31"}) {
    INFO(day);
    const auto drops = drops_on(day);
    const core::Drop* later = stretch(drops, "Q03", "Q04");
    REQUIRE(later != nullptr);
    CHECK(drops.front().down.value() != site("Q04"));
    if (later->newest()->fall) CHECK(later->newest()->rank_up == later->newest()->rank_down);
  }
}

TEST_CASE("the failing stretch has been worse since the year of the failure, in every season since") {
  const core::Method& method = default_method();
  auto drops = drops_on("2025-12-31");
  core::add_confidence(drops, made().survey, method, 0);
  const core::Drop* drop = stretch(drops, "Q03", "Q04");
  REQUIRE(drop != nullptr);
  REQUIRE(drop->since.has_value());
  // Not before the overflow spills, and not for the one point between two good samples of the winter before.
  CHECK(*drop->since >= *core::parse_date("2022-03-01"));
  CHECK(core::year_month_day(*drop->since).year == 2022);
  // Four seasons a year at both sites: sixteen pairs from spring 2022 to autumn 2025 at least fifteen of them since.
  CHECK(drop->worse_in_a_row >= 15);
  std::size_t seasons[4] = {};
  for (const core::SamplePair& pair : drop->pairs)
    if (pair.is_worse() && made().survey.samples.date[pair.down.value()] >= *drop->since)
      ++seasons[static_cast<std::size_t>(pair.season)];
  for (const std::size_t count : seasons) CHECK(count >= 3);
  CHECK(method.metrics[0].higher_is_better);
}

TEST_CASE(
    "the beck below the works was the second story: it fell there while they ran, and no outfall is named "
    "after") {
  const core::Drop* before = nullptr;
  const auto then = drops_on("2021-12-31");
  before = stretch(then, "T01", "T02");
  REQUIRE(before != nullptr);
  CHECK(before->is_worse());
  REQUIRE(before->outfalls.size() == 1);
  CHECK(before->outfalls[0].outfall.value() == outfall("OUT-1"));
  const auto now = drops_on("2025-12-31");
  const core::Drop* after = stretch(now, "T01", "T02");
  REQUIRE(after != nullptr);
  CHECK(after->outfalls.empty());
  CHECK(after->newest()->rank_down < before->newest()->rank_down);
}

TEST_CASE(
    "neighbours on the demo's brook are never on two branches, and ponds and the ditch are in no pair") {
  const auto drops = drops_on("2025-12-31");
  for (const core::Drop& drop : drops) {
    const auto code = [&](core::SiteIndex s) { return std::string(made().survey.sites.code[s.value()]); };
    INFO(code(drop.up), " ", code(drop.down));
    const std::vector<core::LonLat> target{made().survey.sites.position[drop.down.value()]};
    const auto way = core::distances_to(made().channels, made().survey.sites.position[drop.up.value()],
                                        target, core::Direction::kDownstream);
    REQUIRE(way.size() == 1);
    CHECK(test::near(*way[0].distance_m, drop.stretch.length_m, 1e-6));
    for (const core::SiteIndex s : {drop.up, drop.down})
      CHECK(code(s).find_first_of("ND") == std::string::npos);
  }
  CHECK(stretch(drops, "Q09", "Q04") == nullptr);
  CHECK(stretch(drops, "P02", "T03") == nullptr);
}

TEST_CASE("every metric of the running-water methods puts the failing stretch first by class or fall") {
  for (const core::Method& method : core::shipped_methods())
    for (std::size_t m = 0; m < method.metrics.size(); ++m) {
      if (method.flow != core::Flow::kRunning) continue;
      INFO(method.id, " ", method.metrics[m].id);
      const auto drops = drops_on("2025-12-31", method, m);
      const core::Drop* failing = stretch(drops, "Q03", "Q04");
      REQUIRE(failing != nullptr);
      CHECK(failing->is_worse());
    }
}

TEST_CASE(
    "in the demo some of the brook is measured, some inferred, and what no site speaks for stays unknown") {
  core::Assessment end = test::on("2025-12-31");
  const auto reaches = core::assess_reaches(made().survey, end, made().channels);
  CHECK(reaches.measured_m > 0);
  CHECK(reaches.inferred_m > 0);
  CHECK(reaches.unknown_m > 0);
  double drawn_m = 0;
  for (const core::GraphEdge& edge : made().channels.graph().edges()) drawn_m += edge.length_m;
  CHECK(test::near(reaches.measured_m + reaches.inferred_m + reaches.unknown_m, drawn_m, 1e-3));
  const core::CatchmentChannels inside = core::channels_in_catchments(made().survey, made().channels);
  core::add_channel_shares(end, reaches, inside);
  const auto drops = drops_on("2025-12-31");
  const core::RankedSurvey ranked{made().survey, end, made().nesting, reaches, inside, drops};
  const core::CatchmentIndex middle(test::catchment("C4"));
  CHECK(core::worst_first(end, core::CatchmentRule::kWorst).front() == middle);
  const std::string words = core::rank_driver(ranked, middle, core::CatchmentRule::kWorst);
  for (const char* part : {"Q04 is Seriously polluted", "Q03", "OUT-2 storm sewage"})
    CHECK(words.find(part) != std::string::npos);
}

}  // namespace brookmark
