#include "core/design/legacy_sites.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numeric>

#include "core/base/error.hpp"
#include "core/base/random.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::core;
using namespace brookmark::test;
using brookmark::Error;

TEST_CASE("chances beside sites follow the formula of Foster et al. 2017, reckoned by hand") {
  // Four units of one size in a line, 100 m apart; one point; a site at the first unit; a patch of 196 m: one deviation is 100 m.
  // Before: 1/4 each, so the site takes 3/4 exp(-d2 / 20,000) of each: exp(-0.5) = 0.606531, exp(-2) = 0.135335, exp(-4.5) = 0.011109.
  // Left: 0.545102, 0.898499, 0.991668, in all 2.435269.
  const std::vector<PlanePoint> places{{0, 0}, {100, 0}, {200, 0}, {300, 0}};
  const std::vector<double> sizes{5, 5, 5, 5};
  const auto chances =
      chances_beside_sites(places, sizes, std::vector<LegacySite>{{{0, 0}, 0}}, 1, 195.9963985);
  CHECK(chances[0] == 0);
  CHECK(near(chances[1], 0.223836, 2e-6));
  CHECK(near(chances[2], 0.368953, 2e-6));
  CHECK(near(chances[3], 0.407211, 2e-6));
}

TEST_CASE("a second site takes its share of what the first has left, in whatever order") {
  const std::vector<PlanePoint> places{{0, 0}, {100, 0}, {200, 0}, {300, 0}, {400, 0}};
  const std::vector<double> sizes{1, 2, 3, 2, 1};
  const LegacySite first{{10, 5}, 0}, second{{390, -5}, 4};
  const auto one = chances_beside_sites(places, sizes, std::vector<LegacySite>{first, second}, 2, 150);
  const auto other = chances_beside_sites(places, sizes, std::vector<LegacySite>{second, first}, 2, 150);
  for (std::size_t i = 0; i < 5; ++i) CHECK(near(one[i], other[i], 1e-12));
  CHECK(near(one[1], one[3], 1e-12));
}

TEST_CASE("chances add up to the points asked for, and are 0 nowhere but where a site stands") {
  for (std::uint64_t seed = 1; seed <= 40; ++seed) {
    Random random(seed, 1);
    std::vector<PlanePoint> places(300);
    std::vector<double> sizes;
    for (PlanePoint& p : places) {
      p = {random.uniform() * 1000, random.uniform() * 1000};
      sizes.push_back(1 + random.uniform() * 20);
    }
    std::vector<LegacySite> sites;
    for (std::uint32_t s = 0; s < 12; ++s) sites.push_back({places[s * 7], s * 7});
    sites.push_back(sites.front());  // two at one unit
    const std::size_t points = 1 + random.below(60);
    const auto chances = chances_beside_sites(places, sizes, sites, points, 120);
    CHECK(near(std::accumulate(chances.begin(), chances.end(), 0.0), static_cast<double>(points), 1e-9));
    for (std::uint32_t i = 0; i < 300; ++i) {
      const bool taken = i % 7 == 0 && i / 7 < 12;
      CHECK(taken == (chances[i] == 0));
      CHECK(chances[i] <= 1);
    }
  }
}

TEST_CASE("more points than units without a site: each of those is certain") {
  const std::vector<PlanePoint> places{{0, 0}, {1, 0}, {2, 0}};
  const std::vector<double> sizes{1, 1, 1};
  CHECK(chances_beside_sites(places, sizes, std::vector<LegacySite>{{{1, 0}, 1}}, 9, 2) ==
        std::vector<double>{1, 0, 1});
  CHECK(chances_beside_sites(places, sizes, {}, 9, 2) == std::vector<double>{1, 1, 1});
  CHECK(chances_beside_sites(places, sizes, std::vector<LegacySite>{{{1, 0}, 1}}, 1, 0) ==
        std::vector<double>{0.5, 0, 0.5});  // without a patch a site speaks for its own unit alone
}

TEST_CASE("a site at a unit that is not there and spans of different length are refused") {
  const std::vector<PlanePoint> places{{0, 0}, {1, 0}};
  CHECK_THROWS_AS(chances_beside_sites(places, std::vector<double>{1}, {}, 1, 1), Error);
  CHECK_THROWS_AS(
      chances_beside_sites(places, std::vector<double>{1, 1}, std::vector<LegacySite>{{{0, 0}, 2}}, 1, 1),
      Error);
}

TEST_CASE("the area that scattered places cover is that of the smallest convex shape around them") {
  std::vector<PlanePoint> square{{0, 0}, {10, 0}, {10, 10}, {0, 10}};
  CHECK(near(convex_area_m2(square), 100, 1e-9));
  Random random(3, 1);
  for (int i = 0; i < 100; ++i) square.push_back({random.uniform() * 10, random.uniform() * 10});
  CHECK(near(convex_area_m2(square), 100, 1e-9));
  CHECK(near(convex_area_m2(std::vector<PlanePoint>{{0, 0}, {4, 0}, {0, 3}}), 6, 1e-9));
  CHECK(convex_area_m2(std::vector<PlanePoint>{{0, 0}, {1, 1}, {2, 2}, {5, 5}}) == 0);
  CHECK(convex_area_m2(std::vector<PlanePoint>{{1, 2}}) == 0);
  CHECK(convex_area_m2({}) == 0);
}
