#include "core/design/spots.hpp"

#include <doctest/doctest.h>

#include "core/base/error.hpp"
#include "tests/core/design/design_survey.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::core;
using namespace brookmark::test;
using brookmark::Error;

namespace {

const char* const kStream = R"(
    A
    |
    |
    |
    |
    |
    |
    |
    |
    |
    B
)";  // 1,000 m

SpotFrame spots_of(const DesignSurvey& d, const KeepOutOptions& keep_out = {},
                   const SpotOptions& options = {}, const std::string& area = "") {
  const LocalFrame frame(kInventedOrigin);
  const KeepOut out(d.snapshot, keep_out, frame);
  return find_spots(d.snapshot, d.drawn.network, parse_area(area, d.snapshot), options, out, frame);
}

std::string refusal(const std::function<void()>& work) {
  try {
    work();
  } catch (const Error& error) {
    return error.what();
  }
  return "nothing was refused";
}

}  // namespace

TEST_CASE("a channel has a spot every so many metres, which together stand for all of it") {
  const DesignSurvey d(kStream);
  const SpotFrame found = spots_of(d);
  REQUIRE(found.spots.size() == 40);
  double sum = 0;
  for (const Spot& s : found.spots) sum += s.length_m;
  CHECK(near(sum, 1000, 0.01));  // the drawing is right to 0.2 ppm
  CHECK(near(geodesic_m(d.drawn.river.at('A'), found.spots[0].position), 12.5, 0.01));
  CHECK(near(geodesic_m(d.drawn.river.at('B'), found.spots[39].position), 12.5, 0.01));
  // More spots than allowed: the spacing grows.
  const SpotFrame fewer = spots_of(d, {}, {.most = 11});
  CHECK(fewer.spots.size() == 10);
  CHECK(fewer.spacing_m > 99);
}

TEST_CASE("private, unsafe and refused ground, roads and bridges keep spots away, each counted") {
  DesignSurvey d(kStream);
  d.ground(GroundKind::kPrivate, d.square('A', 130));  // spots at 12.5 ... 112.5: five
  d.ground(GroundKind::kRoad,
           Line{d.drawn.river.beside('A', -500, -500), d.drawn.river.beside('A', 500, -500)});
  d.ground(GroundKind::kUnsafe, d.drawn.river.beside('B', 0, 0));  // 50 m around: 962.5 and 987.5
  SpotFrame found = spots_of(d);
  const auto count = [&](Barrier b) { return found.left_out.count[static_cast<std::size_t>(b)]; };
  CHECK(count(Barrier::kPrivate) == 5);
  CHECK(count(Barrier::kRoad) == 8);  // nearer than 100 m to 500: 412.5 ... 587.5
  CHECK(count(Barrier::kUnsafe) == 2);
  CHECK(found.spots.size() == 25);
  CHECK(found.left_out.words() == "5 on private ground, 2 where it is unsafe, 8 too near a road");
  // By brute force: no spot is nearer than 100 m to the road, and none left out was allowed.
  for (const Spot& s : found.spots)
    CHECK(std::abs(geodesic_m(d.drawn.river.at('A'), s.position) - 500) >= 100);
  CHECK(spots_of(d, {.road_m = 0}).spots.size() == 33);
  d.ground(GroundKind::kRefused, d.square('A', 130));
  found = spots_of(d);
  CHECK(count(Barrier::kRefused) == 5);  // said before that it is private
  CHECK(count(Barrier::kPrivate) == 0);
}

TEST_CASE("only spots within the walk from a place of access are left, and a walk needs a place of access") {
  DesignSurvey d(kStream);
  CHECK(refusal([&] { spots_of(d, {.walk_m = 200}); }).find("the survey has none") != std::string::npos);
  d.ground(GroundKind::kAccess, d.drawn.river.beside('A', 0, 0));
  const SpotFrame found = spots_of(d, {.walk_m = 200});
  CHECK(found.spots.size() == 8);  // 12.5 ... 187.5
  CHECK(found.left_out.count[static_cast<std::size_t>(Barrier::kNoAccess)] == 32);
}

TEST_CASE("an area is a catchment or a circle; what is neither is said, with what there is") {
  DesignSurvey d(kStream);
  d.drawn.builder.catchment("HEAD", d.square('A', 260));
  d.refresh();
  CHECK(spots_of(d, {}, {}, "HEAD").spots.size() == 10);
  const LonLat a = d.drawn.river.at('A');
  const std::string centre = std::to_string(a.lon) + "," + std::to_string(a.lat);
  CHECK(spots_of(d, {}, {}, centre + ",260").spots.size() == 10);
  CHECK(refusal([&] { spots_of(d, {}, {}, "FOOT"); }).find("there are HEAD") != std::string::npos);
  CHECK(refusal([&] { spots_of(d, {}, {}, centre + ",-5"); }).find("is not an area") != std::string::npos);
}

TEST_CASE(
    "an area without water, a survey without channels and everything left out are told in a sentence each") {
  DesignSurvey d(kStream);
  const LonLat far = d.drawn.river.beside('A', 5000, 0);
  const std::string empty = std::to_string(far.lon) + "," + std::to_string(far.lat) + ",100";
  CHECK(refusal([&] { spots_of(d, {}, {}, empty); }) ==
        "no channel lies in the circle " + empty + "; choose another area");
  d.ground(GroundKind::kPrivate, d.square('A', 2000));
  CHECK(refusal([&] { spots_of(d); }) ==
        "every one of the 40 spots in the survey is left out: 40 on private ground; ask for permission, "
        "shorten the "
        "distances or widen the area");
  const DesignSurvey none("");
  CHECK(refusal([&] { spots_of(none); }).find("no channel lies in the survey; bring them in") !=
        std::string::npos);
  CHECK(refusal([&] { spots_of(d, {}, {.spacing_m = 0}); }).find("above 0") != std::string::npos);
  CHECK(refusal([&] { spots_of(d, {.road_m = -1}); }).find("zero or more") != std::string::npos);
}

TEST_CASE("a water has one spot on its shore, and none where nobody drew it") {
  DesignSurvey d(kStream);
  d.snapshot.waters.push_back({"w1", "Heron Pool", WaterKind::kPond, d.square('B', 20)});
  d.snapshot.waters.push_back({"w2", "Lost Pool", WaterKind::kPond, {}});
  const SpotFrame found = spots_of(d, {}, {.on = SpotOn::kWaters});
  REQUIRE(found.spots.size() == 1);
  CHECK(found.spots[0].water.value() == 0);
  // Half way round from the south-western corner: the north-eastern one.
  CHECK(near(geodesic_m(found.spots[0].position, d.drawn.river.beside('B', 20, 20)), 0, 0.01));
  CHECK(spots_of(d, {}, {.on = SpotOn::kBoth}).spots.size() == 41);
}
