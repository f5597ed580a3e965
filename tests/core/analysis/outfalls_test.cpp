#include "core/analysis/outfalls.hpp"

#include <doctest/doctest.h>

#include "tests/support/near.hpp"

using namespace brookmark::core;
using brookmark::test::near;

namespace {

// A straight stream running east along latitude 45 in the open ocean, an outfall near its head, and three sites below it.
Snapshot small_survey() {
  Snapshot s;
  Reach reach;
  reach.line = {{-30.00, 45}, {-29.98, 45}};
  s.reaches = {reach};
  Outfall outfall;
  outfall.code = "O1";
  outfall.position = {-29.999, 45};
  s.outfalls = {outfall};
  const auto site = [&](WaterKind kind, LonLat position) {
    s.sites.kind.push_back(kind);
    s.sites.position.push_back(position);
  };
  site(WaterKind::kStream, {-29.99, 45.0007});  // some 78 m north of the channel
  site(WaterKind::kPond, {-29.99, 45.0007});
  site(WaterKind::kStream, kUnplaced);
  return s;
}

}  // namespace

TEST_CASE("a stream site has its distance along the channel, a pond at the same place has none") {
  const Snapshot s = small_survey();
  const ChannelNetwork network = build_channels(s.reaches);
  const auto stream = outfalls_from_site(s, network, SiteIndex(0), {Direction::kUpstream});
  REQUIRE(stream.size() == 1);
  CHECK(stream[0].relation == Relation::kUpstream);
  CHECK(near(*stream[0].distance_m, geodesic_m({-29.999, 45}, {-29.99, 45}),
             0.5));  // the foot of a parallel bends a little
  const auto pond = outfalls_from_site(s, network, SiteIndex(1), {Direction::kUpstream});
  REQUIRE(pond.size() == 1);
  CHECK(pond[0].relation == Relation::kOffChannel);
  CHECK_FALSE(pond[0].distance_m.has_value());
  CHECK_FALSE(pond[0].note.empty());
}

TEST_CASE("a site without a position has no distances, a point of the map has") {
  const Snapshot s = small_survey();
  const ChannelNetwork network = build_channels(s.reaches);
  CHECK(outfalls_from_site(s, network, SiteIndex(2), {Direction::kAny}).empty());
  CHECK(outfalls_from_point(s, network, {-29.985, 45}, {Direction::kAny}).size() == 1);
}

TEST_CASE("an outfall is in use between its days, both included") {
  Outfall outfall;
  CHECK(in_use(outfall, Date{0}));
  CHECK(days_of_use(outfall).empty());
  outfall.since = parse_date("2019-05-01");
  CHECK(days_of_use(outfall) == "in use since 2019-05-01");
  outfall.until = parse_date("2021-12-31");
  CHECK_FALSE(in_use(outfall, *parse_date("2019-04-30")));
  CHECK(in_use(outfall, *parse_date("2019-05-01")));
  CHECK(in_use(outfall, *parse_date("2021-12-31")));
  CHECK_FALSE(in_use(outfall, *parse_date("2022-01-01")));
  CHECK(days_of_use(outfall) == "in use from 2019-05-01 to 2021-12-31");
}
