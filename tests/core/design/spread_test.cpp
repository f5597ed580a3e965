#include "core/design/spread.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <map>

#include "core/base/error.hpp"
#include "tests/core/design/design_survey.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::core;
using namespace brookmark::test;
using brookmark::Error;

namespace {

const char* const kFork = R"(
    A       B
     \     /
      \   /
       \ /
        C
        |
        |
        |
        |
        D
)";

std::vector<std::pair<std::uint32_t, double>> places(const Suggestions& s) {
  std::vector<std::pair<std::uint32_t, double>> all;
  for (const Suggestion& one : s.list) all.emplace_back(one.spot.edge, one.spot.along_m);
  return all;
}

}  // namespace

TEST_CASE(
    "a spread gives as many spots as asked, with chances that add up and weights that stand for all the "
    "channel") {
  const DesignSurvey d(kFork);
  const Suggestions s = suggest_spread(d.source(), {.count = 6, .seed = 3});
  REQUIRE(s.list.size() == 6);
  // 2 x 565.7 m (four diagonals of 141.4 m) and 500 m: 1,631 m.
  double stands_for = 0;
  for (const Suggestion& one : s.list) {
    CHECK(one.chance.value() > 0);
    CHECK(near(one.weight.value() * one.chance.value(), 1, 1e-12));
    stands_for += one.stands_for.value();
  }
  CHECK(near(stands_for, 2 * 4 * kDiagonalM + 500, 0.1));
  CHECK(s.list[0].reason.starts_with("one of 6 spread evenly over 1.6 km of channel; it stands for 2"));
  CHECK(s.list[0].code == "NEW-01");
  CHECK(s.list[5].code == "NEW-06");
}

TEST_CASE(
    "each spot of a spread is chosen as often as its chance says, in 10,000 draws, also beside a site") {
  DesignSurvey d(R"(
    A
    |
    |
    |
    |
    |
    B
  )");
  d.drawn.site("S1", d.drawn.river.beside('A', 0, -100));
  d.refresh();
  constexpr int kDraws = 10'000;
  std::map<double, int> times;
  std::map<double, double> chances;
  for (int draw = 0; draw < kDraws; ++draw) {
    const Suggestions s = suggest_spread(
        d.source(), {.count = 2, .seed = static_cast<std::uint64_t>(draw), .spots = {.spacing_m = 50}});
    REQUIRE(s.list.size() == 2);
    for (const Suggestion& one : s.list) {
      ++times[one.spot.along_m];
      chances[one.spot.along_m] = one.chance.value();
    }
  }
  // Three points (a site and two more) over 12 spots of 50 m: 1/4 each. The site at 100 m takes a whole one away from the nearest
  // four: those at 25, 75, 125 and 175 m, which are never chosen.
  double sum = 0;
  CHECK(times.size() == 8);
  for (const auto& [along_m, chance] : chances) {
    CHECK(along_m > 200);
    CHECK(near(chance, 0.25, 1e-9));
    // Five standard errors of a share of 10,000.
    CHECK(near(times[along_m] / double{kDraws}, chance, 5 * std::sqrt(chance * (1 - chance) / kDraws)));
    sum += chance;
  }
  CHECK(near(sum, 2, 1e-9));
}

TEST_CASE("the same seed gives the same spots, another seed others") {
  const DesignSurvey d(kFork);
  const auto with = [&](std::uint64_t seed) {
    return places(suggest_spread(d.source(), {.count = 5, .seed = seed}));
  };
  CHECK(with(1) == with(1));
  CHECK(with(1) != with(2));
}

TEST_CASE("points are shared out: one each first, then to whoever has most for each point it has") {
  const auto share = [](std::vector<double> sizes, std::vector<std::size_t> there,
                        std::vector<std::size_t> most,
                        std::size_t points) { return share_points(sizes, there, most, points); };
  // 70, 20, 10 with 10 points: one each, then to the largest of 70/1.5, 20/1.5, 10/1.5 ...: 7, 2 and 1.
  CHECK(share({70, 20, 10}, {0, 0, 0}, {99, 99, 99}, 10) == std::vector<std::size_t>{7, 2, 1});
  CHECK(share({70, 20, 10}, {0, 0, 0}, {99, 99, 99}, 2) == std::vector<std::size_t>{1, 1, 0});
  CHECK(share({50, 50}, {2, 0}, {99, 99}, 2) == std::vector<std::size_t>{0, 2});
  CHECK(share({50, 50}, {0, 0}, {1, 3}, 9) == std::vector<std::size_t>{1, 3});
}

TEST_CASE("strata by stream order, by catchment and by kind of water each get their share") {
  DesignSurvey d(kFork);
  d.drawn.builder.catchment("LOW", d.square('D', 350));
  d.refresh();
  d.snapshot.waters.push_back({"w", "Pool", WaterKind::kPond, d.square('A', 20)});
  std::map<std::string, int> order, catchment, kind;
  for (const Suggestion& s : suggest_spread(d.source(), {.count = 6}, {.strata = Strata::kOrder}).list)
    ++order[s.stratum];
  // Two headwaters of 566 m are 1,131 m of order 1, beside 500 m of order 2.
  CHECK(order == std::map<std::string, int>{{"stream order 1", 4}, {"stream order 2", 2}});
  for (const Suggestion& s : suggest_spread(d.source(), {.count = 5}, {.strata = Strata::kCatchment}).list)
    ++catchment[s.stratum];
  // 350 m of 1,631 m: one, then 1281 : 350 by 1.5: 854 : 233, 512, 366, 285: all the others outside.
  CHECK(catchment == std::map<std::string, int>{{"catchment LOW", 1}, {"outside every catchment", 4}});
  for (const Suggestion& s :
       suggest_spread(d.source(), {.count = 3, .spots = {.on = SpotOn::kBoth}}, {.strata = Strata::kKind})
           .list)
    ++kind[s.stratum];
  CHECK(kind == std::map<std::string, int>{{"channel", 2}, {"pond", 1}});
}

TEST_CASE("more points than fit: those that fit are given, and a sentence") {
  const DesignSurvey d("A\n|\nB\n");
  const Suggestions s = suggest_spread(d.source(), {.count = 100});
  CHECK(s.list.size() == 8);  // 200 m of channel
  for (const Suggestion& one : s.list) CHECK(one.chance == 1);
  REQUIRE(s.notes.size() == 1);
  CHECK(s.notes[0] == "only 8 of the 100 spots asked for fit: 8 are free in the survey");
  CHECK_THROWS_AS(suggest_spread(d.source(), {.count = 0}), Error);
}

TEST_CASE("a site without a position cannot be counted in, and that is said; a retired one is not counted") {
  DesignSurvey d(kFork);
  d.drawn.site("S1", kUnplaced);
  d.drawn.site("S2", d.drawn.river.at('C'));
  d.refresh();
  d.snapshot.sites.status[1] = SiteStatus::kRetired;
  const Suggestions s = suggest_spread(d.source(), {.count = 3});
  CHECK(says(s.notes, "1 site has no position and could not be counted in"));
  CHECK(s.list[0].reason.find("there already") == std::string::npos);
}

TEST_CASE(
    "a suggestion tells what lies above and below it, its length upstream, order, catchment and nearest "
    "site") {
  DesignSurvey d(kFork);
  d.drawn.builder.outfall("OUT-1", OutfallKind::kTreatedSewage, d.drawn.river.at('A'));
  d.drawn.builder.outfall("OUT-2", OutfallKind::kTreatedSewage, d.drawn.river.at('D'));
  d.drawn.builder.outfall("OLD", OutfallKind::kTreatedSewage, d.drawn.river.at('C'), "", "2020-01-01");
  d.drawn.site("S1", d.drawn.river.at('B'));
  d.drawn.builder.catchment("ALL", d.square('C', 5000));
  d.drawn.builder.catchment("LOW", d.square('D', 450));
  d.refresh();
  Suggestions s;
  s.list.emplace_back();
  // On the lower stretch, 200 m below the confluence.
  const auto point = d.drawn.network.snap(d.drawn.river.beside('C', 0, -200)).value();
  s.list[0].spot.position = point.position;
  s.list[0].spot.edge = point.edge;
  s.list[0].spot.along_m = point.along_m;
  add_facts(s, d.source());
  const Suggestion& one = s.list[0];
  REQUIRE(one.outfall_above);
  CHECK(one.outfall_above->code == "OUT-1");
  CHECK(near(one.outfall_above->distance_m, 4 * kDiagonalM + 200, 0.1));
  REQUIRE(one.outfall_below);
  CHECK(near(one.outfall_below->distance_m, 300, 0.1));
  CHECK(near(one.site_above.value().distance_m, 4 * kDiagonalM + 200, 0.1));
  CHECK_FALSE(one.site_below);
  CHECK(near(one.nearest_site.value().distance_m, std::hypot(400, 600), 0.1));
  CHECK(near(one.upstream_m.value(), 8 * kDiagonalM + 200, 0.1));
  CHECK(one.stream_order == 2);
  CHECK(one.catchment == "LOW");
  CHECK(one.place.starts_with("stroke "));
}

TEST_CASE(
    "suggestions become proposed sites with their reason, and a refused one ground that keeps others away") {
  DesignSurvey d(kFork);
  d.drawn.site("NEW-01", d.drawn.river.at('B'));
  d.refresh();
  const Suggestions s = suggest_spread(d.source(), {.count = 2});
  CHECK(s.list[0].code == "NEW-02");
  const EditBatch batch = proposal_batch(s.list);
  REQUIRE(batch.edits.size() == 2);
  const Site site = std::get<AddSite>(batch.edits[0]).site;
  CHECK(site.status == SiteStatus::kProposed);
  CHECK(site.note.find(s.list[0].reason) != std::string::npos);
  CHECK(site.note.find("landowner") != std::string::npos);
  CHECK_THROWS_AS(proposal_batch({}), Error);
  const Ground ground = refused_ground(s.list[0], " bull in the field ");
  CHECK(ground.note == "bull in the field");
  CHECK_THROWS_AS(refused_ground(s.list[0], " "), Error);
  d.snapshot.grounds.push_back(ground);
  for (std::uint64_t seed = 0; seed < 50; ++seed)
    for (const Suggestion& one : suggest_spread(d.source(), {.count = 2, .seed = seed}).list)
      CHECK(geodesic_m(one.spot.position, s.list[0].spot.position) >= 50);
}

TEST_CASE(
    "a suggestion moved by hand goes to the channel, keeps its code, loses its chance and says what stands "
    "in the way") {
  DesignSurvey d(kFork);
  d.ground(GroundKind::kPrivate, d.square('D', 100));
  const Suggestions s = suggest_spread(d.source(), {.count = 1});
  const Suggestion moved = moved_to(s.list[0], d.drawn.river.beside('D', 30, 50), d.source(), {});
  CHECK(moved.code == s.list[0].code);
  CHECK(near(geodesic_m(moved.spot.position, d.drawn.river.beside('D', 0, 50)), 0, 0.01));
  CHECK(near(moved.upstream_m.value(), 8 * kDiagonalM + 450, 0.1));
  CHECK_FALSE(moved.chance);
  CHECK(moved.note.find("moved by hand over ") != std::string::npos);
  CHECK(moved.note.find("its chance of being chosen no longer holds") != std::string::npos);
  CHECK(moved.note.find("take care: on private ground") != std::string::npos);
  const Suggestion away = moved_to(s.list[0], d.drawn.river.beside('D', 3000, 0), d.source(), {});
  CHECK(away.spot.edge == Spot::kOffChannel);
  CHECK(away.note.find("on no channel") != std::string::npos);
}
