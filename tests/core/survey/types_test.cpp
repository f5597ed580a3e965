#include "core/survey/types.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "core/survey/snapshot.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::core;

TEST_CASE("running, still and uncertain waters are told apart") {
  CHECK(flow_of(WaterKind::kStream) == Flow::kRunning);
  CHECK(flow_of(WaterKind::kSpring) == Flow::kRunning);
  CHECK(flow_of(WaterKind::kPond) == Flow::kStill);
  CHECK(flow_of(WaterKind::kLakeMargin) == Flow::kStill);
  CHECK(flow_of(WaterKind::kDitch) == Flow::kUncertain);
  CHECK(flow_of(WaterKind::kCanal) == Flow::kUncertain);
  CHECK(flow_of(WaterKind::kUnknown) == Flow::kUncertain);
}

TEST_CASE("words of the trade are read in any case, and others are refused") {
  CHECK(parse_water_kind("Lake_Margin") == WaterKind::kLakeMargin);
  CHECK(parse_water_kind("brook") == WaterKind::kStream);
  CHECK_FALSE(parse_water_kind("puddle").has_value());
  CHECK(parse_life_stage("Nymphs") == LifeStage::kLarva);
  CHECK(parse_outfall_kind("storm sewage") == OutfallKind::kStormSewage);
  CHECK(parse_site_status("retired") == SiteStatus::kRetired);
  CHECK(parse_sample_kind("BLANK") == SampleKind::kBlank);
  CHECK(parse_rank("suborder") == Rank::kSuborder);
}

TEST_CASE("every value's name reads back to the value") {
  for (int i = 0; i <= static_cast<int>(WaterKind::kLakeMargin); ++i)
    CHECK(parse_water_kind(water_kind_name(static_cast<WaterKind>(i))) == static_cast<WaterKind>(i));
  for (int i = 0; i <= static_cast<int>(OutfallKind::kTrade); ++i)
    CHECK(parse_outfall_kind(outfall_kind_name(static_cast<OutfallKind>(i))) == static_cast<OutfallKind>(i));
  for (int i = 0; i <= static_cast<int>(Rank::kKingdom); ++i)
    CHECK(parse_rank(rank_name(static_cast<Rank>(i))) == static_cast<Rank>(i));
  for (int i = 0; i <= static_cast<int>(LifeStage::kAdult); ++i)
    CHECK(parse_life_stage(life_stage_name(static_cast<LifeStage>(i))) == static_cast<LifeStage>(i));
}

TEST_CASE("an empty survey has no dates and no middle") {
  const Snapshot empty;
  CHECK_FALSE(empty.date_span().has_value());
  CHECK_FALSE(empty.centre().has_value());
  CHECK_FALSE(empty.find_site("S1").has_value());
}

TEST_CASE("the middle of a survey across the date line lies on it") {
  Snapshot snapshot;
  snapshot.outfalls.resize(2);
  snapshot.outfalls[0].position = {179.9, 10};
  snapshot.outfalls[1].position = {-179.9, 12};
  const auto middle = snapshot.centre();
  REQUIRE(middle.has_value());
  CHECK(brookmark::test::near(std::abs(middle->lon), 180, 1e-9));
  CHECK(brookmark::test::near(middle->lat, 11, 1e-9));
}
