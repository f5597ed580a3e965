#include "core/design/spread.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "core/base/error.hpp"
#include "core/design/balanced_sample.hpp"
#include "tests/core/design/design_survey.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::core;
using namespace brookmark::test;
using brookmark::Error;

namespace {

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
    "each spot of a spread is chosen as often as its chance says, in 10,000 draws, also beside a site, and "
    "no "
    "stretch but the site's own is without a chance" *
    doctest::test_suite("many draws")) {
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
  double weighed = 0, squares = 0;
  for (int draw = 0; draw < kDraws; ++draw) {
    const Suggestions s = suggest_spread(
        d.source(), {.count = 2, .seed = static_cast<std::uint64_t>(draw), .spots = {.spacing_m = 50}});
    REQUIRE(s.list.size() == 2);
    double all_m = 0;
    for (const Suggestion& one : s.list) {
      ++times[one.spot.along_m];
      chances[one.spot.along_m] = one.chance.value();
      all_m += one.weight.value() * one.spot.length_m;
    }
    weighed += all_m;
    squares += all_m * all_m;
  }
  // Two points over 12 spots of 50 m: 1/6 each. 600 m for two points and a site: a patch reaches 100 m to each side, one deviation is
  // 100 / 1.96 m. The site at 100 m stands on the spot of 50 to 100 m; it takes 5/6 of the chance of a spot beside it, less farther off.
  std::map<double, double> left;
  double left_sum = 0;
  for (int i = 0; i < 12; ++i) {
    const double along_m = 50 * i + 25, z = (along_m - 100) / (100 / 1.959963985);
    if (i == 1) continue;
    left[along_m] = 1 - 5.0 / 6 * std::exp(-z * z / 2);
    left_sum += left[along_m];
  }
  REQUIRE(times.size() == 11);
  double sum = 0;
  for (const auto& [along_m, share] : left) {
    const auto known = std::find_if(chances.begin(), chances.end(),
                                    [&](const auto& c) { return std::abs(c.first - along_m) < 0.01; });
    REQUIRE(known != chances.end());
    CHECK(near(known->second, 2 * share / left_sum, 1e-5));  // the line is drawn to the centimetre
    // Five standard errors of a share of 10,000.
    const double chance = known->second;
    CHECK(near(times[known->first] / double{kDraws}, chance, 5 * std::sqrt(chance * (1 - chance) / kDraws)));
    sum += chance;
  }
  CHECK(near(sum, 2, 1e-9));
  // In the mean over the draws the weights of the new spots stand for all but the site's own 50 m.
  const double mean = weighed / kDraws, variance = squares / kDraws - mean * mean;
  CHECK(near(mean, 550, 5 * std::sqrt(variance / kDraws)));
}

TEST_CASE("what spots and sites stand for adds up to the whole, in its own unit, and is told") {
  DesignSurvey d(kFork);
  for (const auto& [code, letter] : {std::pair{"S1", 'A'}, std::pair{"S2", 'B'}, std::pair{"S3", 'D'}})
    d.drawn.site(code, d.drawn.river.at(letter));
  d.refresh();
  for (const auto& [name, letter] :
       {std::pair{"One", 'A'}, std::pair{"Two", 'B'}, std::pair{"Three", 'C'}, std::pair{"Four", 'D'}}) {
    MultiPolygon shape = d.square(letter, 20);
    for (LonLat& p : shape[0].rings[0]) p.lon += 0.01;
    d.snapshot.waters.push_back({name, name, WaterKind::kPond, shape});
  }
  const double channel_m = 2 * 4 * kDiagonalM + 500;
  double channel = 0, waters = 0;
  const Suggestions s = suggest_spread(d.source(), {.count = 7, .spots = {.on = SpotOn::kBoth}});
  std::size_t on_channel = 0;
  for (const Suggestion& one : s.list) {
    const bool water = one.spot.water.has_value();
    CHECK(one.stratum == (water ? "waters" : "channels"));
    (water ? waters : channel) += one.stands_for.value();
    on_channel += water ? 0 : 1;
  }
  REQUIRE(on_channel > 0);
  REQUIRE(on_channel < 7);
  const auto points = static_cast<double>(on_channel);
  CHECK(near(channel, channel_m * points / (points + 3), 0.1));
  CHECK(near(waters, 4, 1e-9));  // no site is at a pond: the spots stand for all of them
  CHECK(says(s.notes, "of 1.6 km of channel the " + std::to_string(on_channel) + " new spots stand for "));
  CHECK(says(s.notes, " and the 3 sites that are there for "));
  CHECK(says(s.notes,
             "near such a site the chance of a spot is lower, and where one stands nothing is drawn again"));
}

TEST_CASE("spots and sites together stand more evenly than spots drawn as if no site were there") {
  // The measure: Stevens & Olsen 2004, voronoi_imbalance().
  DesignSurvey d(kFork);
  d.drawn.site("S1", d.drawn.river.beside('A', 100, -100));
  d.drawn.site("S2", d.drawn.river.beside('C', 0, -250));
  d.refresh();
  const LocalFrame frame(d.snapshot.centre().value());
  const KeepOut nothing(d.snapshot, {}, frame);
  const SpotFrame all = find_spots(d.snapshot, d.drawn.network, {}, {}, nothing, frame);
  std::vector<PlanePoint> places;
  std::vector<double> sizes;
  for (const Spot& spot : all.spots) {
    places.push_back(spot.plane);
    sizes.push_back(spot.length_m);
  }
  const std::vector<double> chances = inclusion_chances(sizes, 6);  // four new ones and the two sites
  const auto imbalance = [&](bool count_sites) {
    double sum = 0;
    for (std::uint64_t seed = 1; seed <= 300; ++seed) {
      std::vector<PlanePoint> units = places;
      std::vector<double> mass = chances;
      std::vector<std::uint32_t> chosen;
      const auto choose = [&](PlanePoint place) {
        chosen.push_back(static_cast<std::uint32_t>(units.size()));
        units.push_back(place);  // without mass of its own
        mass.push_back(0);
      };
      for (const Suggestion& one :
           suggest_spread(d.source(), {.count = 4, .seed = seed}, {.count_sites = count_sites}).list)
        choose(one.spot.plane);
      for (std::size_t i = 0; i < 2; ++i) choose(frame.to_plane(d.snapshot.sites.position[i]));
      sum += voronoi_imbalance(units, mass, chosen);
    }
    return sum / 300;
  };
  const double beside = imbalance(true), blind = imbalance(false);
  MESSAGE("imbalance beside two sites " << beside << ", as if they were not there " << blind);
  CHECK(beside < 0.8 * blind);
}

TEST_CASE("a site outside the area or on ground that is left out is not counted in, and that is told") {
  DesignSurvey d(kFork);
  d.drawn.site("S1", d.drawn.river.at('A'));
  d.drawn.site("S2", d.drawn.river.beside('C', 0, -450));
  d.drawn.builder.catchment("LOW", d.square('D', 350));
  d.refresh();
  SpotArea low = parse_area("LOW", d.snapshot);
  const Suggestions inside = suggest_spread(d.source(), {.count = 2, .area = low});
  CHECK(says(inside.notes,
             "1 site is not counted in: on other waters, outside the area, or where nobody is sent"));
  CHECK(says(inside.notes, "the 1 site that is there for "));
  d.ground(GroundKind::kPrivate, d.square('D', 100));
  CHECK(says(suggest_spread(d.source(), {.count = 2, .area = low}).notes, "2 sites are not counted in"));
}

TEST_CASE("a part that got no point and has no site is named with its length: nothing speaks for it") {
  const DesignSurvey d(kFork);
  const Suggestions s = suggest_spread(d.source(), {.count = 1}, {.strata = Strata::kOrder});
  CHECK(s.list.at(0).stratum == "stream order 1");
  CHECK(
      s.list.at(0).reason.starts_with("drawn from 1.1 km of channel (stream order 1); it stands for 1.1 km"));
  CHECK(says(s.notes,
             "the one new spot does not fall into stream order 2 (500 m): nothing speaks for 500 m of "
             "channel, and no site is there"));
}

TEST_CASE(
    "over 400 seeds the weights of a spread with strata weigh up to what had a chance, and the rest is "
    "named") {
  DesignSurvey d(kFork);
  // 8 sites on the two headwaters, none on the lower 500 m, which takes both points.
  for (int i = 1; i <= 4; ++i)
    for (const char from : {'A', 'B'})
      d.drawn.site(std::string(1, from) + std::to_string(i),
                   d.drawn.river.beside(from, (from == 'A' ? 1 : -1) * 90 * i, -90 * i));
  d.refresh();
  double sum = 0, squares = 0;
  Suggestions s;
  constexpr int kDraws = 400;
  for (int draw = 1; draw <= kDraws; ++draw) {
    s = suggest_spread(d.source(), {.count = 2, .seed = static_cast<std::uint64_t>(draw)},
                       {.strata = Strata::kOrder});
    REQUIRE(s.list.size() == 2);
    double all_m = 0;
    for (const Suggestion& one : s.list) {
      REQUIRE(one.stratum == "stream order 2");
      all_m += one.weight.value() * one.spot.length_m;
    }
    sum += all_m;
    squares += all_m * all_m;
  }
  const double mean = sum / kDraws, error = std::sqrt(std::max(0.0, squares / kDraws - mean * mean) / kDraws);
  CHECK(near(mean, 500, 5 * error + 1e-3));
  CHECK(says(s.notes,
             "the weights of the new spots weigh up, in the mean over many draws, to 500 m of 1.6 km of "
             "channel: to all that had a chance"));
  CHECK(
      says(s.notes,
           "no spot of these 2 falls into stream order 1 (1.1 km): nothing new speaks for 1.1 km of channel, "
           "only the sites that are there"));
  CHECK_FALSE(says(s.notes, "new spots stand for"));  // no site shares the part in which they lie
}

TEST_CASE(
    "beside sites the sum of the weights in the mean is what the message says: all but where sites stand" *
    doctest::test_suite("many draws")) {
  DesignSurvey d(kFork);
  d.drawn.site("S1", d.drawn.river.beside('A', 100, -100));
  d.drawn.site("S2", d.drawn.river.beside('C', 0, -250));
  d.refresh();
  double sum = 0, squares = 0;
  constexpr int kDraws = 2'000;
  for (int draw = 1; draw <= kDraws; ++draw) {
    double all_m = 0;
    for (const Suggestion& one :
         suggest_spread(d.source(),
                        {.count = 4, .seed = static_cast<std::uint64_t>(draw), .spots = {.spacing_m = 100}})
             .list)
      all_m += one.weight.value() * one.spot.length_m;
    sum += all_m;
    squares += all_m * all_m;
  }
  const double mean = sum / kDraws, error = std::sqrt((squares / kDraws - mean * mean) / kDraws);
  // 565.7 m in 6 spots and 500 m in 5: a site on each takes one.
  CHECK(near(mean, 2 * 4 * kDiagonalM + 500 - 4 * kDiagonalM / 6 - 100, 5 * error));
  CHECK(says(suggest_spread(d.source(), {.count = 4, .spots = {.spacing_m = 100}}).notes,
             "to 1.4 km of 1.6 km of channel: to all that had a chance"));
}

TEST_CASE("where one spot has more than 40 % of the weights of a draw that is said, and else not") {
  DesignSurvey d(kFork);
  d.drawn.site("S1", d.drawn.river.at('C'));
  d.refresh();
  bool heavy = false, even = false;
  for (std::uint64_t seed = 1; seed <= 300; ++seed) {
    const Suggestions s = suggest_spread(d.source(), {.count = 3, .seed = seed});
    double sum = 0, most = 0;
    std::string code;
    for (const Suggestion& one : s.list) {
      sum += *one.weight;
      if (*one.weight > most) most = *one.weight, code = one.code;
    }
    CHECK(says(s.notes, "% of the sum of the weights") == (most > 0.4 * sum));
    if (most > 0.4 * sum)
      CHECK(says(s.notes,
                 code + " alone has " + std::to_string(std::lround(100 * most / sum)) + " % of the sum"));
    (most > 0.4 * sum ? heavy : even) = true;
  }
  CHECK(heavy);
  CHECK(even);
  // Of two, one always has half or more: nothing is said of that.
  CHECK_FALSE(says(suggest_spread(d.source(), {.count = 2}).notes, "of the sum of the weights"));
}

TEST_CASE("a proposed site where nobody has sampled is not there; one that is sampled is") {
  DesignSurvey d(kFork);
  d.drawn.sample('A', "2024-05-01", kGood);
  d.drawn.site('B');
  d.drawn.site('D');
  d.refresh();
  for (std::size_t s = 0; s < 2; ++s) d.snapshot.sites.status[s] = SiteStatus::kProposed;
  d.snapshot.sites.status[2] = SiteStatus::kRetired;
  const Suggestions s = suggest_spread(d.source(), {.count = 3});
  CHECK(says(s.notes, "the 1 site that is there for "));
  CHECK(says(s.notes, "1 proposed site where nobody has sampled is not counted as there"));
  CHECK_FALSE(is_only_proposed(d.snapshot, SiteIndex(0)));
  // What is named beside a spot is told for what it is.
  Suggestions one;
  one.list.resize(1);
  const auto point = d.drawn.network.snap(d.drawn.river.beside('D', 0, 50)).value();
  one.list[0].spot.position = point.position;
  one.list[0].spot.edge = point.edge;
  one.list[0].spot.along_m = point.along_m;
  add_facts(one, d.source());
  CHECK(one.list[0].nearest_site.value().code == "D");
  CHECK(one.list[0].nearest_site.value().status == "retired");
  CHECK(one.list[0].note.find("D is retired") != std::string::npos);
  CHECK_FALSE(one.list[0].site_below);
  CHECK(one.list[0].site_above.value().status ==
        (one.list[0].site_above.value().code == "B" ? "proposed" : ""));
  one.list[0].site_above.reset();
  CHECK(around_words(one.list[0]).starts_with("D (retired) 50 m away in a straight line"));
}

TEST_CASE("where sites stand at what is asked for, that is said in plain words") {
  DesignSurvey d(kFork);
  std::vector<Water> waters;
  for (const char letter : {'A', 'B', 'D'}) {
    MultiPolygon shape = d.square(letter, 20);  // far from every channel
    for (LonLat& p : shape[0].rings[0]) p.lon += 0.05;
    LonLat inside = d.drawn.river.at(letter);
    inside.lon += 0.05;
    d.drawn.site(std::string(1, letter), inside, WaterKind::kPond);
    waters.push_back({std::string(1, letter), "", WaterKind::kPond, shape});
  }
  d.refresh();
  d.snapshot.waters = waters;
  const auto first = [&] {
    return suggest_spread(d.source(), {.count = 3, .spots = {.on = SpotOn::kWaters}}).notes.at(0);
  };
  CHECK(first() ==
        "none of the 3 spots asked for fits: a site stands already at each of the 3 waters in the survey "
        "where one may go");
  CHECK_FALSE(
      says(suggest_spread(d.source(), {.count = 3, .spots = {.on = SpotOn::kWaters}}).notes, "of these 0"));
  d.snapshot.sites.status[1] = SiteStatus::kRetired;
  CHECK(first() ==
        "only 1 of the 3 spots asked for fit: a site stands already at 2 of the 3 waters in the survey where "
        "one may go");
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
  REQUIRE(s.notes.size() == 2);
  CHECK(s.notes[0] == "only 8 of the 100 spots asked for fit: 8 are free in the survey");
  CHECK_THROWS_AS(suggest_spread(d.source(), {.count = 0}), Error);
}

TEST_CASE("where nothing is recorded of the ground that is said, kind by kind") {
  DesignSurvey d(kFork);
  const auto notes = [&] { return suggest_spread(d.source(), {.count = 2}).notes; };
  CHECK(says(
      notes(),
      "nothing is recorded about private ground, unsafe stretches, roads and bridges or places of access, "
      "so nothing is left out for it"));
  d.ground(GroundKind::kPrivate, d.square('A', 10));
  d.ground(GroundKind::kBridge, d.drawn.river.beside('A', 3000, 0));
  d.ground(GroundKind::kAccess, d.drawn.river.at('B'));
  CHECK(says(notes(), "nothing is recorded about unsafe stretches, so nothing is left out for it"));
  d.ground(GroundKind::kUnsafe, d.drawn.river.beside('A', 3000, 0));
  CHECK_FALSE(says(notes(), "nothing is recorded"));
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
