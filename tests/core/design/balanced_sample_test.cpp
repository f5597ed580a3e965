#include "core/design/balanced_sample.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numeric>

#include "core/base/error.hpp"
#include "core/design/neighbour_tree_internal.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::core;
using brookmark::Error;
using brookmark::test::near;

namespace {

std::vector<PlanePoint> scattered(std::size_t count, std::uint64_t seed) {
  Random random(seed, stream_of("places"));
  std::vector<PlanePoint> places(count);
  for (PlanePoint& p : places) p = {random.uniform() * 1000, random.uniform() * 400};
  return places;
}

std::vector<std::uint32_t> simple_random(std::size_t units, std::size_t n, Random& random) {
  std::vector<std::uint32_t> all(units);
  std::iota(all.begin(), all.end(), 0U);
  for (std::size_t i = 0; i < n; ++i) std::swap(all[i], all[i + random.below(units - i)]);
  all.resize(n);
  return all;
}

// How far the share of draws may lie from the chance: five standard errors of a binomial share, so that one of 1.7 million
// fair comparisons fails; the seeds are fixed.
double allowed(double chance, double draws) {
  return 5 * std::sqrt(chance * (1 - chance) / draws) + 1e-12;
}

}  // namespace

TEST_CASE("chances are in proportion to size, none above one, and add up to the number asked") {
  const std::vector<double> sizes{1, 2, 3, 4};
  const auto two = inclusion_chances(sizes, 2);  // 2/10 of each
  CHECK(near(two[0], 0.2, 1e-12));
  CHECK(near(two[3], 0.8, 1e-12));
  // Three: 4 would have 1.2 and is certain; the others share 2 over 6.
  const auto three = inclusion_chances(sizes, 3);
  CHECK(three[3] == 1);
  CHECK(near(three[0], 2.0 / 6, 1e-12));
  CHECK(near(three[2], 1.0, 1e-12));
  const auto more = inclusion_chances(sizes, 9);
  for (const double chance : more) CHECK(chance == 1);
  CHECK(inclusion_chances(std::vector<double>{0, 5}, 1) == std::vector<double>{0, 1});
}

TEST_CASE("each unit is chosen as often as its chance says, in 10,000 draws, and the number never varies" *
          doctest::test_suite("many draws")) {
  const auto places = scattered(40, 7);
  std::vector<double> sizes(40);
  for (std::size_t i = 0; i < sizes.size(); ++i) sizes[i] = 1 + static_cast<double>(i % 7);
  const auto chances = inclusion_chances(sizes, 8);
  constexpr int kDraws = 10'000;
  std::vector<int> times(40, 0);
  for (int draw = 0; draw < kDraws; ++draw) {
    Random random(11, static_cast<std::uint64_t>(draw));
    const auto chosen = balanced_sample(places, chances, random);
    REQUIRE(chosen.size() == 8);
    for (const std::uint32_t c : chosen) ++times[c];
  }
  for (std::size_t i = 0; i < 40; ++i)
    CHECK(near(times[i] / double{kDraws}, chances[i], allowed(chances[i], kDraws)));
}

TEST_CASE("settling within squares first keeps the chances, in 10,000 draws" *
          doctest::test_suite("many draws")) {
  const auto places = scattered(300, 3);
  std::vector<double> sizes(300);
  for (std::size_t i = 0; i < sizes.size(); ++i) sizes[i] = 1 + static_cast<double>(i % 3);
  const auto chances = inclusion_chances(sizes, 5);
  constexpr int kDraws = 10'000;
  std::vector<int> times(300, 0);
  for (int draw = 0; draw < kDraws; ++draw) {
    Random random(12, static_cast<std::uint64_t>(draw));
    const auto chosen = balanced_sample(places, chances, random, {.all_by_neighbours = 60});
    REQUIRE(chosen.size() == 5);
    for (const std::uint32_t c : chosen) ++times[c];
  }
  for (std::size_t i = 0; i < 300; ++i)
    CHECK(near(times[i] / double{kDraws}, chances[i], allowed(chances[i], kDraws)));
}

TEST_CASE("the chosen units stand far more evenly than a simple random sample" *
          doctest::test_suite("many draws")) {
  const auto places = scattered(500, 5);
  const std::vector<double> chances(500, 20.0 / 500);
  double balanced = 0, squares = 0, random_ones = 0;
  constexpr int kDraws = 300;
  for (int draw = 0; draw < kDraws; ++draw) {
    Random random(21, static_cast<std::uint64_t>(draw));
    balanced += voronoi_imbalance(places, chances, balanced_sample(places, chances, random));
    squares += voronoi_imbalance(places, chances,
                                 balanced_sample(places, chances, random, {.all_by_neighbours = 400}));
    random_ones += voronoi_imbalance(places, chances, simple_random(500, 20, random));
  }
  MESSAGE("mean imbalance: balanced " << balanced / kDraws << ", squares first " << squares / kDraws
                                      << ", simple random " << random_ones / kDraws);
  // Sources give about a third for random points in a square (Grafstrom et al. 2012, Table 1; memory): half is a wide bound.
  CHECK(balanced < random_ones / 2);
  CHECK(squares < random_ones / 2);
}

TEST_CASE("the imbalance of a small sample is what the hand gives") {
  // Four units in a row, one chosen at an end of each pair: each holds its own pair, so v = 1 and the imbalance is 0.
  const std::vector<PlanePoint> row{{0, 0}, {1, 0}, {10, 0}, {11, 0}};
  const std::vector<double> half(4, 0.5);
  CHECK(voronoi_imbalance(row, half, std::vector<std::uint32_t>{0, 3}) == 0);
  // Both in the left pair: 0 holds itself (0.5), 1 holds the rest (1.5): ((0.5)^2 + (0.5)^2) / 2 = 0.25.
  CHECK(near(voronoi_imbalance(row, half, std::vector<std::uint32_t>{0, 1}), 0.25, 1e-12));
  // The middle unit of three is as near to both ends: they share it, v = 0.5 + 0.25 each.
  const std::vector<PlanePoint> three{{0, 0}, {1, 0}, {2, 0}};
  CHECK(near(voronoi_imbalance(three, std::vector<double>(3, 0.5), std::vector<std::uint32_t>{0, 2}), 0.0625,
             1e-12));
}

TEST_CASE("the same seed gives the same units, another seed others") {
  const auto places = scattered(400, 9);
  const std::vector<double> chances(400, 0.05);
  const auto draw = [&](std::uint64_t seed) {
    Random random(seed, stream_of("draw"));
    return balanced_sample(places, chances, random);
  };
  CHECK(draw(1) == draw(1));
  CHECK(draw(1) != draw(2));
}

TEST_CASE("units on one spot, and one unit alone, are no trouble") {
  const std::vector<PlanePoint> same(6, PlanePoint{5, 5});
  Random random(1, 2);
  CHECK(balanced_sample(same, std::vector<double>(6, 0.5), random).size() == 3);
  CHECK(balanced_sample(std::vector<PlanePoint>{{0, 0}}, std::vector<double>{1}, random).size() == 1);
  CHECK(balanced_sample({}, {}, random).empty());
  CHECK_THROWS_AS(balanced_sample(same, std::vector<double>(6, 1.5), random), Error);
  CHECK_THROWS_AS(balanced_sample(same, std::vector<double>(5, 0.5), random), Error);
}

TEST_CASE("the tree of neighbours gives what looking at all points gives, while points are taken away") {
  const auto places = scattered(200, 13);
  NeighbourTree tree(places);
  std::vector<bool> gone(200, false);
  Random random(4, 4);
  std::vector<std::uint32_t> ties;
  for (int round = 0; round < 199; ++round) {
    const auto ask = static_cast<std::uint32_t>(random.below(200));
    double best = std::numeric_limits<double>::infinity();
    std::uint32_t nearest = 0;
    for (std::uint32_t i = 0; i < 200; ++i) {
      if (gone[i] || i == ask) continue;
      const double m = std::hypot(places[i].x - places[ask].x, places[i].y - places[ask].y);
      if (m < best) best = m, nearest = i;
    }
    tree.nearest(places[ask], ask, ties);
    REQUIRE(ties.size() == 1);
    CHECK(ties[0] == nearest);
    auto take = static_cast<std::uint32_t>(random.below(200));
    while (gone[take]) take = (take + 1) % 200;
    gone[take] = true;
    tree.remove(take);
  }
}
