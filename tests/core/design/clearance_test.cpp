#include "core/design/clearance.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "core/base/error.hpp"
#include "core/design/spots.hpp"
#include "tests/core/design/design_survey.hpp"

using namespace brookmark::core;
using namespace brookmark::test;
using brookmark::Error;

namespace {

// A to D over a confluence at C; o and p are plain joins, where one drawn line follows another.
const char* const kBeck = R"(
    A
    |
    |
    |
    |
    o
    |
    |
    |
    |
    C<---B
    |
    |
    |
    |
    p
    |
    |
    D
)";

Date day() {
  return parse_date("2024-12-31").value();
}

Barrier at(const DesignSurvey& d, const Clearance& clear, char letter, double down_m) {
  const ChannelPoint point = d.drawn.network.snap(d.drawn.river.beside(letter, 0, -down_m)).value();
  return clear.at(point.edge, point.along_m);
}

}  // namespace

TEST_CASE("spots keep clear of a confluence on every side, and not of a plain join") {
  const DesignSurvey d(kBeck);
  const Clearance clear(d.snapshot, d.drawn.network, day(), {.clear_m = 100});
  CHECK(at(d, clear, 'C', -99) == Barrier::kConfluence);
  CHECK(at(d, clear, 'C', -101) == Barrier::kNone);
  CHECK(at(d, clear, 'C', 99) == Barrier::kConfluence);
  CHECK(at(d, clear, 'C', 101) == Barrier::kNone);
  CHECK(at(d, clear, 'o', 5) == Barrier::kNone);
  CHECK(at(d, clear, 'p', -5) == Barrier::kNone);
  const ChannelPoint arm = d.drawn.network.snap(d.drawn.river.beside('C', 90, 0)).value();
  CHECK(clear.at(arm.edge, arm.along_m) == Barrier::kConfluence);
}

TEST_CASE(
    "below an outfall the mixing distance is kept, past joins and confluences; above it as much as asked") {
  DesignSurvey d(kBeck);
  d.drawn.builder.outfall("OUT", OutfallKind::kTrade, d.drawn.river.beside('o', 0, 20));  // 480 m below A
  d.drawn.builder.outfall("OLD", OutfallKind::kTrade, d.drawn.river.beside('A', 0, -100), "", "2020-01-01");
  d.drawn.builder.outfall("FAR", OutfallKind::kTrade, d.drawn.river.beside('A', 3000, 0));
  d.refresh();
  const Clearance clear(d.snapshot, d.drawn.network, day(), {.clear_m = 60, .mixing_m = 700});
  CHECK(at(d, clear, 'A', 100) == Barrier::kNone);  // OLD is in use no more
  CHECK(at(d, clear, 'A', 415) == Barrier::kNone);
  CHECK(at(d, clear, 'A', 425) == Barrier::kOutfall);
  CHECK(at(d, clear, 'A', 485) == Barrier::kUnmixed);
  CHECK(at(d, clear, 'C', -70) == Barrier::kUnmixed);
  CHECK(at(d, clear, 'C', 175) == Barrier::kUnmixed);  // 480 m + 700 m, and C lies 1,000 m below A
  CHECK(at(d, clear, 'C', 185) == Barrier::kNone);
  // The arm from B is not below it.
  const ChannelPoint arm = d.drawn.network.snap(d.drawn.river.beside('C', 150, 0)).value();
  CHECK(clear.at(arm.edge, arm.along_m) == Barrier::kNone);
  // Not said: as much below as above.
  const Clearance unsaid(d.snapshot, d.drawn.network, day(), {.clear_m = 60});
  CHECK(at(d, unsaid, 'A', 535) == Barrier::kUnmixed);
  CHECK(at(d, unsaid, 'A', 545) == Barrier::kNone);
  CHECK(unsaid_mixing(d.snapshot, day(), {}).find("no single published figure exists") != std::string::npos);
  CHECK(unsaid_mixing(d.snapshot, day(), {.mixing_m = 0}).empty());
  CHECK(unsaid_mixing(DesignSurvey(kBeck).snapshot, day(), {}).empty());
}

TEST_CASE("what is kept below outfalls is what the distances along the channel say, spot by spot") {
  DesignSurvey d(R"(
    A       B       E
     \     /        |
      \   /         |
       \ /          |
        C<----------F
        |
        |
        |
        G---->H
        |
        |
        D
  )");
  d.drawn.builder.outfall("O1", OutfallKind::kTrade, d.drawn.river.beside('A', 100, -100));
  d.drawn.builder.outfall("O2", OutfallKind::kTrade, d.drawn.river.at('F'));
  d.drawn.builder.outfall("O3", OutfallKind::kTrade, d.drawn.river.beside('G', 0, 50));
  d.refresh();
  const LocalFrame frame(kInventedOrigin);
  const KeepOut nothing(d.snapshot, {}, frame);
  std::vector<LonLat> outfalls;
  for (const Outfall& outfall : d.snapshot.outfalls) outfalls.push_back(outfall.position);
  std::size_t kept = 0;
  for (const double mixing_m : {50.0, 333.0, 1200.0}) {
    const Clearance clear(d.snapshot, d.drawn.network, day(), {.clear_m = 0, .mixing_m = mixing_m});
    for (const Spot& spot : find_spots(d.snapshot, d.drawn.network, {}, {}, nothing, frame).spots) {
      const auto above = distances_to(d.drawn.network, spot.position, outfalls, Direction::kUpstream);
      const bool near = !above.empty() && above.front().distance_m && *above.front().distance_m < mixing_m;
      CHECK((clear.at(spot.edge, spot.along_m) == Barrier::kUnmixed) == near);
      kept += near ? 1 : 0;
    }
  }
  CHECK(kept > 50);
}

TEST_CASE("in a channel that runs either way both sides are below an outfall, and circles end") {
  DesignSurvey d(R"(
    A-->B
    ^   |
    |   v
    D<--C
  )");
  d.drawn.builder.outfall("OUT", OutfallKind::kTrade, d.drawn.river.at('A'));
  d.refresh();
  const Clearance round(d.snapshot, d.drawn.network, day(), {.clear_m = 0, .mixing_m = 1e5});
  const LocalFrame frame(kInventedOrigin);
  const KeepOut nothing(d.snapshot, {}, frame);
  for (const Spot& spot : find_spots(d.snapshot, d.drawn.network, {}, {}, nothing, frame).spots)
    CHECK(round.at(spot.edge, spot.along_m) == Barrier::kUnmixed);

  Reach canal;
  canal.key = "canal";
  canal.two_way = true;
  canal.line = {d.drawn.river.at('A'), d.drawn.river.beside('A', 1000, 0)};
  const ChannelNetwork either = build_channels(std::vector<Reach>{canal});
  Snapshot snapshot;
  Outfall outfall;
  outfall.code = "OUT";
  outfall.position = d.drawn.river.beside('A', 500, 0);
  snapshot.outfalls.push_back(outfall);
  const Clearance both(snapshot, either, day(), {.clear_m = 10, .mixing_m = 200});
  for (const double m : {310.0, 690.0}) CHECK(both.at(0, m) == Barrier::kUnmixed);
  for (const double m : {290.0, 710.0}) CHECK(both.at(0, m) == Barrier::kNone);
}

TEST_CASE("a distance that is negative or no number is refused") {
  const DesignSurvey d(kBeck);
  for (const ClearOptions& bad : {ClearOptions{.clear_m = -1}, ClearOptions{.clear_m = std::nan("")},
                                  ClearOptions{.clear_m = 1, .mixing_m = -5}})
    CHECK_THROWS_AS(Clearance(d.snapshot, d.drawn.network, day(), bad), Error);
}
