#include "core/design/suspects.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <map>
#include <tuple>

#include "core/base/random.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::core;
using brookmark::test::near;

namespace {

// What is left on either side of a spot, or of a tributary's mouth, told anew from the numbers alone.
double heavier_side(const SuspectStretch& s, const SuspectState& state, double spot_m, int mouth) {
  double bad = 0, good = 0;
  if (mouth < 0) {
    bad = spot_m - state.from_m;
    good = state.to_m - spot_m;
  } else {
    good = state.to_m - state.from_m;
  }
  for (const std::size_t i : state.items) {
    const bool above = mouth < 0 ? s.items[i].at_m < spot_m : static_cast<int>(i) == mouth;
    (above ? bad : good) += s.items[i].weight_m;
  }
  return std::max(bad, good);
}

double least_heavy(const SuspectStretch& s, const SuspectState& state) {
  double least = weight_of(s, state);
  for (const double spot : s.spots_m)
    if (spot > state.from_m && spot < state.to_m) least = std::min(least, heavier_side(s, state, spot, -1));
  for (const std::size_t i : state.items)
    if (s.items[i].has_mouth) least = std::min(least, heavier_side(s, state, 0, static_cast<int>(i)));
  return least;
}

// The fewest visits that any way of choosing spots needs at worst: every choice tried.
std::size_t fewest_of_all(
    const SuspectStretch& s, const SuspectState& state,
    std::map<std::tuple<double, double, std::vector<std::size_t>>, std::size_t>& known) {
  if (is_single(s, state)) return 0;
  const auto key = std::tuple(state.from_m, state.to_m, state.items);
  if (const auto at = known.find(key); at != known.end()) return at->second;
  std::size_t best = SIZE_MAX;
  const double whole = weight_of(s, state);
  for (const double spot : s.spots_m) {
    if (spot <= state.from_m || spot >= state.to_m) continue;
    SuspectState bad{state.from_m, spot, {}}, good{spot, state.to_m, {}};
    for (const std::size_t i : state.items) (s.items[i].at_m < spot ? bad : good).items.push_back(i);
    if (weight_of(s, bad) >= whole || weight_of(s, good) >= whole) continue;
    best = std::min(best, 1 + std::max(fewest_of_all(s, bad, known), fewest_of_all(s, good, known)));
  }
  for (const std::size_t i : state.items) {
    if (!s.items[i].has_mouth || whole <= s.items[i].weight_m) continue;
    SuspectState rest = state;
    std::erase(rest.items, i);
    best = std::min(best, 1 + fewest_of_all(s, rest, known));
  }
  if (best == SIZE_MAX) best = 0;
  return known[key] = best;
}

// Sum over all suspects of weight times the visits it takes to come to them: the mean number of visits, by weight. Of the best
// plan of all, and of always halving.
double best_mean(const SuspectStretch& s, const SuspectState& state,
                 std::map<std::tuple<double, double, std::vector<std::size_t>>, double>& known) {
  if (is_single(s, state)) return 0;
  const auto key = std::tuple(state.from_m, state.to_m, state.items);
  if (const auto at = known.find(key); at != known.end()) return at->second;
  const double whole = weight_of(s, state);
  double best = 1e300;
  for (const double spot : s.spots_m) {
    if (spot <= state.from_m || spot >= state.to_m) continue;
    SuspectState bad{state.from_m, spot, {}}, good{spot, state.to_m, {}};
    for (const std::size_t i : state.items) (s.items[i].at_m < spot ? bad : good).items.push_back(i);
    if (weight_of(s, bad) >= whole || weight_of(s, good) >= whole) continue;
    best = std::min(best, whole + best_mean(s, bad, known) + best_mean(s, good, known));
  }
  for (const std::size_t i : state.items) {
    if (!s.items[i].has_mouth || whole <= s.items[i].weight_m) continue;
    SuspectState rest = state;
    std::erase(rest.items, i);
    best = std::min(best, whole + best_mean(s, rest, known));
  }
  if (best >= 1e300) best = 0;
  return known[key] = best;
}

double halving_mean(const SuspectStretch& s, const SuspectState& state) {
  if (is_single(s, state)) return 0;
  const auto cut = best_cut(s, state);
  if (!cut) return 0;
  return weight_of(s, state) + halving_mean(s, cut->if_bad) + halving_mean(s, cut->if_good);
}

SuspectStretch drawn(std::uint64_t seed) {
  Random random(seed, stream_of("suspects"));
  SuspectStretch s;
  s.length_m = 300 + static_cast<double>(random.below(900));
  const auto items = random.below(5);
  for (std::uint64_t i = 0; i < items; ++i)
    s.items.push_back({random.uniform() * s.length_m, 50 + random.uniform() * 600, random.below(2) == 0});
  std::sort(s.items.begin(), s.items.end(),
            [](const SuspectItem& a, const SuspectItem& b) { return a.at_m < b.at_m; });
  for (double m = 25; m < s.length_m; m += 50)
    if (random.below(4) != 0) s.spots_m.push_back(m);
  return s;
}

}  // namespace

TEST_CASE("a bare channel is cut in its middle, and again, until a hundred metres are left") {
  SuspectStretch s{800, {}, {}};
  for (double m = 50; m < 800; m += 50) s.spots_m.push_back(m);
  const auto cut = best_cut(s, everything(s));
  REQUIRE(cut);
  CHECK(cut->spot_m == 400);
  CHECK(visits_at_worst(s, everything(s)) == 3);  // 800, 400, 200, 100
}

TEST_CASE("an outfall weighs as told: the cut goes beside it") {
  // 1000 m with an outfall of 500 m at 200: 1500 in all, half is 750: 250 m of channel and the outfall above the spot at 250.
  SuspectStretch s{1000, {{200, 500, false}}, {}};
  for (double m = 50; m < 1000; m += 50) s.spots_m.push_back(m);
  const auto cut = best_cut(s, everything(s));
  REQUIRE(cut);
  CHECK(cut->spot_m == 250);
  CHECK(cut->if_bad.items.size() == 1);
  CHECK(cut->if_good.items.empty());
  CHECK(cut->larger_m == 750);
}

TEST_CASE("a tributary heavier than all else is visited at its mouth") {
  const SuspectStretch s{100, {{50, 800, true}, {60, 700, false}}, {80}};
  const auto cut = best_cut(s, everything(s));
  REQUIRE(cut);
  REQUIRE(cut->mouth);
  CHECK(*cut->mouth == 0);
  CHECK(cut->larger_m == 800);
  CHECK(cut->if_good.items == std::vector<std::size_t>{1});
}

TEST_CASE("where no spot parts the suspects there is no cut, and one suspect needs no visit") {
  CHECK_FALSE(best_cut({500, {{200, 300, false}}, {}}, {0, 500, {0}}));
  const SuspectStretch s{90, {{40, 300, false}}, {10, 80}};
  CHECK(is_single(s, everything(s)));
  CHECK(visits_at_worst(s, everything(s)) == 0);
}

TEST_CASE("the cut is the best of all there are, and halving comes near the best of all plans") {
  double halving = 0, best = 0, worst = 1;
  std::size_t halving_visits = 0, fewest_visits = 0;
  for (std::uint64_t seed = 1; seed <= 300; ++seed) {
    const SuspectStretch s = drawn(seed);
    CAPTURE(seed);
    const SuspectState all = everything(s);
    const auto cut = best_cut(s, all);
    const double least = least_heavy(s, all);
    if (!cut) {
      CHECK(least > weight_of(s, all) - 1e-6);
      continue;
    }
    CHECK(near(cut->larger_m, least, 1e-6));
    std::map<std::tuple<double, double, std::vector<std::size_t>>, std::size_t> known;
    const std::size_t fewest = fewest_of_all(s, all, known), at_worst = visits_at_worst(s, all);
    CHECK(at_worst >= fewest);
    CHECK(at_worst <= fewest + 2);
    fewest_visits += fewest;
    halving_visits += at_worst;
    std::map<std::tuple<double, double, std::vector<std::size_t>>, double> known_mean;
    const double mean = halving_mean(s, all), best_of_all = best_mean(s, all, known_mean);
    if (best_of_all <= 0) continue;
    CHECK(mean >= best_of_all - 1e-6);
    worst = std::max(worst, mean / best_of_all);
    halving += mean / weight_of(s, all);
    best += best_of_all / weight_of(s, all);
  }
  MESSAGE("mean visits of halving over those of the best plan: "
          << halving / best << " in all, " << worst << " at worst; visits at worst " << halving_visits
          << " over " << fewest_visits);
  // Not promised by any theorem: measured 1.06 and 1.36, and told so in suspects.hpp.
  CHECK(halving / best < 1.08);
  CHECK(worst < 1.4);
}
