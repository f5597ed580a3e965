#include "core/hygiene/visit_order.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "core/base/random.hpp"
#include "tests/support/near.hpp"

using namespace brookmark;
using namespace brookmark::test;
using core::OrderProblem;
using core::VisitOrder;

namespace {

struct Spot {
  double x = 0, y = 0;
};

OrderProblem problem_of(const std::vector<Spot>& spots, bool with_start, bool back) {
  OrderProblem problem(spots.size());
  std::vector<double> from_start;
  for (std::size_t a = 0; a < spots.size(); ++a) {
    from_start.push_back(std::hypot(spots[a].x, spots[a].y));
    for (std::size_t b = a + 1; b < spots.size(); ++b)
      problem.set_way(a, b, std::hypot(spots[a].x - spots[b].x, spots[a].y - spots[b].y));
  }
  if (with_start) problem.set_start(from_start, back);
  return problem;
}

std::vector<Spot> random_spots(core::Random& random, std::size_t count) {
  std::vector<Spot> spots;
  for (std::size_t i = 0; i < count; ++i) spots.push_back({random.uniform() * 5000, random.uniform() * 5000});
  return spots;
}

// Every order there is.
std::optional<double> brute_force(const OrderProblem& problem) {
  std::vector<std::uint32_t> order(problem.stops());
  std::iota(order.begin(), order.end(), 0U);
  std::optional<double> best;
  do {
    if (!problem.allows(order)) continue;
    const double length = problem.length_m(order);
    if (!best || length < *best) best = length;
  } while (std::next_permutation(order.begin(), order.end()));
  return best;
}

void add_rules(core::Random& random, OrderProblem& problem, std::size_t groups, std::size_t pairs,
               bool whole) {
  for (std::size_t s = 0; s < problem.stops(); ++s)
    problem.set_group(s, static_cast<std::uint32_t>(random.below(groups)));
  for (std::size_t p = 0; p < pairs; ++p) {
    const std::size_t a = random.below(problem.stops()), b = random.below(problem.stops());
    // Lower numbers first, and only within a group where groups stay whole: no contradiction.
    if (a != b && (!whole || problem.group(a) == problem.group(b)))
      problem.must_precede(std::min(a, b), std::max(a, b));
  }
  if (whole) problem.keep_groups_whole();
}

}  // namespace

TEST_CASE("the exact order of visits is the shortest of all allowed ones") {
  core::Random random(20260125, core::stream_of("visit order, exact"));
  for (int round = 0; round < 60; ++round) {
    CAPTURE(round);
    const std::size_t stops = 1 + random.below(7);
    OrderProblem problem = problem_of(random_spots(random, stops), round % 3 != 0, round % 2 == 0);
    add_rules(random, problem, 1 + random.below(3), random.below(6), round % 4 == 1);
    const auto best = brute_force(problem);
    const auto found = core::exact_order(problem);
    REQUIRE(best.has_value() == found.has_value());
    if (!found) continue;
    CHECK(problem.allows(found->stops));
    CHECK(near(found->length_m, *best, 1e-6));  // sums in another order
    CHECK(near(problem.length_m(found->stops), found->length_m, 1e-9));
  }
}

TEST_CASE("a searched order of few stops is within 3 % of the exact one, and allowed") {
  core::Random random(20260126, core::stream_of("visit order, search"));
  for (int round = 0; round < 24; ++round) {
    CAPTURE(round);
    const std::size_t stops = 8 + random.below(7);
    OrderProblem problem = problem_of(random_spots(random, stops), round % 3 != 0, round % 2 == 0);
    add_rules(random, problem, 2 + random.below(3), random.below(10), round % 4 == 1);
    const auto exact = core::exact_order(problem);
    const auto found = core::searched_order(problem, {200'000, 1});
    REQUIRE(exact.has_value());
    REQUIRE(found.has_value());
    CHECK(problem.allows(found->stops));
    CHECK(found->length_m >= exact->length_m - 1e-6);
    CHECK(found->length_m <= exact->length_m * 1.03);
  }
}

TEST_CASE("pairs that contradict each other have no order") {
  OrderProblem problem = problem_of({{0, 0}, {1, 0}, {2, 0}}, false, false);
  problem.must_precede(0, 1);
  problem.must_precede(1, 2);
  problem.must_precede(2, 0);
  CHECK_FALSE(core::exact_order(problem));
  CHECK_FALSE(core::searched_order(problem));
  CHECK_FALSE(core::shortest_order(problem));
}

TEST_CASE("a search gives the same order every time, and looks no further than it is told") {
  core::Random random(20260127, core::stream_of("visit order, repeat"));
  OrderProblem problem = problem_of(random_spots(random, 40), true, true);
  add_rules(random, problem, 4, 30, false);
  const auto first = core::searched_order(problem, {300'000, 7}),
             again = core::searched_order(problem, {300'000, 7});
  CHECK(first->stops == again->stops);
  CHECK_FALSE(first->exact);
  CHECK(core::searched_order(problem, {3'000'000, 7})->length_m <= first->length_m);
}

// Twelve stops in each of five clumps far from each other: the shortest order finishes a clump before it leaves it, so
// that exact ways within clumps and an exact order of clumps give the exact whole.
TEST_CASE("sixty stops in clumps are ordered within 3 % of the exact order") {
  core::Random random(20260128, core::stream_of("visit order, clumps"));
  constexpr std::size_t kClumps = 5, kEach = 12;
  std::vector<Spot> spots;
  const std::vector<Spot> middles{
      {100'000, 0}, {300'000, 20'000}, {500'000, -40'000}, {700'000, 60'000}, {900'000, 0}};
  for (std::size_t c = 0; c < kClumps; ++c)
    for (std::size_t i = 0; i < kEach; ++i)
      spots.push_back({middles[c].x + random.uniform() * 3000, middles[c].y + random.uniform() * 3000});
  OrderProblem problem = problem_of(spots, true, false);
  for (std::size_t c = 0; c < kClumps; ++c)
    for (std::size_t i = 0; i < kEach; ++i) problem.set_group(c * kEach + i, static_cast<std::uint32_t>(c));
  problem.keep_groups_whole();
  // In a row from the start on, the clumps come in their order: 200 km apart, 4 km wide. The exact way through all of
  // them: for each last stop of a clump the shortest way there, clump after clump.
  std::vector<double> reach_m(kEach, 0);
  for (std::size_t c = 0; c < kClumps; ++c) {
    std::vector<double> next_m(kEach, 0);
    for (std::size_t last = 0; last < kEach; ++last) {
      // The way into the clump costs what it takes from the best last stop before.
      OrderProblem clump(kEach);
      std::vector<double> into;
      for (std::size_t a = 0; a < kEach; ++a) {
        double way = problem.first_m(a);
        if (c > 0) {
          way = 1e18;
          for (std::size_t p = 0; p < kEach; ++p)
            way = std::min(way, reach_m[p] + problem.way_m((c - 1) * kEach + p, c * kEach + a));
        }
        into.push_back(way);
        for (std::size_t b = a + 1; b < kEach; ++b)
          clump.set_way(a, b, problem.way_m(c * kEach + a, c * kEach + b));
        if (a != last) clump.must_precede(a, last);
      }
      clump.set_start(into, false);
      next_m[last] = core::exact_order(clump)->length_m;
    }
    reach_m = next_m;
  }
  const double exact_m = *std::min_element(reach_m.begin(), reach_m.end());
  const auto found = core::searched_order(problem, {3'000'000, 1});
  REQUIRE(found);
  CHECK(problem.allows(found->stops));
  CHECK(found->length_m >= exact_m - 1e-3);
  CHECK(found->length_m <= exact_m * 1.03);
  // Beyond the long ways between clumps, which every order has: the part that a search can get wrong.
  const double between_m = 100'000 + 4 * 200'000;
  CHECK(found->length_m - between_m <= (exact_m - between_m) * 1.03);
}
