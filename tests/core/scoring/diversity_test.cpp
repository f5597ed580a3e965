// What the diversity figures must do whatever the counts: limits, ordering, and what has no value.
#include "core/scoring/diversity.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <random>

#include "core/base/error.hpp"
#include "core/scoring/rarefaction.hpp"
#include "core/scoring/richness_estimate.hpp"
#include "tests/support/near.hpp"

using namespace brookmark;
using namespace brookmark::core;
using namespace brookmark::test;

namespace {

using Counts = std::vector<std::int64_t>;

Counts random_counts(std::mt19937& random, std::size_t most_taxa, std::int64_t most_animals) {
  Counts counts(1 + random() % most_taxa);
  for (std::int64_t& count : counts) {
    // Many rare taxa and a few common ones.
    const double part = std::ldexp(static_cast<double>(random()), -32);
    count = 1 + static_cast<std::int64_t>(part * part * part * static_cast<double>(most_animals));
  }
  return counts;
}

Diversity diversity(const Counts& counts) {
  return diversity_of(group_counts(counts));
}

// Every way to draw n of the animals, each as likely: mean and standard deviation of the number of taxa.
Rarefied enumerated(const Counts& counts, std::size_t n) {
  std::vector<std::size_t> taxon_of;
  for (std::size_t t = 0; t < counts.size(); ++t)
    taxon_of.insert(taxon_of.end(), static_cast<std::size_t>(counts[t]), t);
  std::vector<std::uint8_t> drawn(taxon_of.size(), 0);
  std::fill(drawn.end() - static_cast<std::ptrdiff_t>(n), drawn.end(), std::uint8_t{1});
  double ways = 0, sum = 0, squares = 0;
  do {
    std::vector<bool> seen(counts.size(), false);
    for (std::size_t i = 0; i < drawn.size(); ++i)
      if (drawn[i] != 0) seen[taxon_of[i]] = true;
    const double taxa = static_cast<double>(std::count(seen.begin(), seen.end(), true));
    ++ways;
    sum += taxa;
    squares += taxa * taxa;
  } while (std::next_permutation(drawn.begin(), drawn.end()));
  return {sum / ways, std::sqrt(std::max(0.0, (squares * ways - sum * sum) / (ways * ways)))};
}

}  // namespace

TEST_CASE("counts are grouped, and zeros do not count") {
  CHECK(group_counts({3, 0, 1, 3, 1, 1}) == std::vector<CountGroup>{{1, 3}, {3, 2}});
  CHECK(group_counts({}).empty());
  CHECK(group_counts({0, 0}).empty());
}

TEST_CASE("a negative count is refused") {
  CHECK_THROWS_WITH_AS(group_counts({3, -1}), "a count of -1 is not possible; counts are 0 or more", Error);
}

TEST_CASE("four equally common taxa: by hand") {
  const Diversity d = diversity({5, 5, 5, 5});
  CHECK(near(d.shannon, std::log(4.0), 1e-15));  // one rounding
  CHECK(near(d.simpson, 0.75, 1e-15));
  CHECK(near(inverse_simpson(d).value(), 4, 1e-14));
  CHECK(near(pielou(d).value(), 1, 1e-15));
  CHECK(berger_parker(d) == 0.25);
  CHECK(near(margalef(d).value(), 3 / std::log(20.0), 1e-15));
}

TEST_CASE("one taxon has no evenness; one animal has no Margalef index and no coverage") {
  const Diversity one_taxon = diversity({7});
  CHECK(one_taxon.shannon == 0);
  CHECK(one_taxon.simpson == 0);
  CHECK(inverse_simpson(one_taxon) == 1.0);
  CHECK_FALSE(pielou(one_taxon));
  CHECK(margalef(one_taxon) == 0.0);
  CHECK(coverage(one_taxon) == 1.0);
  const Diversity one_animal = diversity({1});
  CHECK_FALSE(pielou(one_animal));
  CHECK_FALSE(margalef(one_animal));
  CHECK_FALSE(coverage(one_animal));
  CHECK(chao1(one_animal, Chao1Form::kBiasCorrected).taxa == 1);
}

TEST_CASE("no animals: nothing has a value") {
  const Diversity none = diversity({});
  CHECK(none.animals == 0);
  CHECK_FALSE(inverse_simpson(none));
  CHECK_FALSE(pielou(none));
  CHECK_FALSE(margalef(none));
  CHECK_FALSE(berger_parker(none));
  CHECK_FALSE(hill(none, 1));
  CHECK_FALSE(coverage(none));
  CHECK_FALSE(Rarefier().rarefy({}, 1));
}

TEST_CASE("there is no Hill number of order 3 here") {
  CHECK_THROWS_AS(hill(diversity({2, 1}), 3), Error);
}

TEST_CASE("the order of counts changes nothing, to the last bit") {
  std::mt19937 random(1);
  for (int round = 0; round < 200; ++round) {
    Counts counts = random_counts(random, 40, 300);
    const Diversity before = diversity(counts);
    std::shuffle(counts.begin(), counts.end(), random);
    const Diversity after = diversity(counts);
    CHECK(before.shannon == after.shannon);
    CHECK(before.simpson == after.simpson);
    CHECK(before.concentration == after.concentration);
  }
}

TEST_CASE("twice as many of everything leaves all that rests on shares") {
  std::mt19937 random(2);
  for (int round = 0; round < 200; ++round) {
    Counts counts = random_counts(random, 40, 300);
    const Diversity once = diversity(counts);
    for (std::int64_t& count : counts) count *= 2;
    const Diversity twice = diversity(counts);
    // Rounding only: a handful of operations a taxon.
    CHECK(near_relative(twice.shannon, once.shannon, 1e-13));
    CHECK(near_relative(twice.simpson, once.simpson, 1e-13));
    CHECK(near_relative(*inverse_simpson(twice), *inverse_simpson(once), 1e-13));
    CHECK(berger_parker(twice) == berger_parker(once));
    CHECK(twice.taxa == once.taxa);
    CHECK(twice.animals == 2 * once.animals);
  }
}

TEST_CASE("Hill numbers never rise with their order, and lie between one and the number of taxa") {
  std::mt19937 random(3);
  for (int round = 0; round < 500; ++round) {
    const Diversity d = diversity(random_counts(random, 30, 1000));
    const double slack = 1 + 1e-13;  // equal for equally common taxa, but for rounding
    CHECK(*hill(d, 0) * slack >= *hill(d, 1));
    CHECK(*hill(d, 1) * slack >= *hill(d, 2));
    CHECK(*hill(d, 2) * slack >= 1);
    if (const auto evenness = pielou(d)) {
      CHECK(*evenness >= 0);
      CHECK(*evenness <= slack);
    }
  }
}

TEST_CASE("a single rare animal among a thousand million is not lost in rounding") {
  const std::int64_t many = 1'000'000'000;
  const Diversity d = diversity({many, 1});
  // By series, with e = 1e-9 / (1 + 1e-9): -(1-e) ln(1-e) - e ln e = e (1 - ln e) - e^2 / 2 ...
  const double e = 1.0 / (1e9 + 1);
  CHECK(near_relative(d.shannon, e * (1 - std::log(e)) - e * e / 2, 1e-12));
  CHECK(near_relative(d.simpson, 2 * e * (1 - e), 1e-12));
  CHECK(d.animals == many + 1);
}

TEST_CASE("rarefied richness is the mean over every way to draw, and so is its spread") {
  const std::vector<Counts> samples{{3, 2, 1},          {5, 1, 1, 1}, {4, 4, 4},
                                    {1, 1, 1, 1, 1, 2}, {7, 1},       {2, 2, 3, 1, 1, 1, 2}};
  for (const Counts& counts : samples) {
    const auto all = static_cast<std::size_t>(std::accumulate(counts.begin(), counts.end(), std::int64_t{0}));
    for (std::size_t n = 1; n <= all; ++n) {
      CAPTURE(n);
      const Rarefied drawn = enumerated(counts, n);
      const Rarefied computed = Rarefier().rarefy(group_counts(counts), static_cast<std::int64_t>(n)).value();
      CHECK(near_relative(computed.taxa, drawn.taxa, 1e-12));
      CHECK(near(computed.standard_error, drawn.standard_error, 1e-7));  // the enumeration's own cancelling
    }
  }
}

TEST_CASE("rarefied to all animals is the richness found, without an error; to more, nothing") {
  std::mt19937 random(4);
  for (int round = 0; round < 200; ++round) {
    const std::vector<CountGroup> groups = group_counts(random_counts(random, 40, 300));
    const Diversity d = diversity_of(groups);
    Rarefier rarefier;
    const auto all = rarefier.rarefy(groups, d.animals);
    CHECK(all->taxa == static_cast<double>(d.taxa));
    CHECK(all->standard_error == 0);
    CHECK_FALSE(rarefier.rarefy(groups, d.animals + 1));
    CHECK_FALSE(rarefier.rarefy(groups, 0));
    double last = 0;
    for (std::int64_t n = 1; n < d.animals; n += 1 + d.animals / 17) {
      const auto r = rarefier.rarefy(groups, n);
      CHECK(r->taxa >= last);
      CHECK(r->taxa <= static_cast<double>(std::min(n, d.taxa)) + 1e-9);
      CHECK(std::isfinite(r->standard_error));
      last = r->taxa;
    }
  }
}

TEST_CASE(
    "animals that are each of their own kind are rarefied to as many kinds as animals, without an error") {
  const auto r = Rarefier().rarefy(group_counts(Counts(1000, 1)), 37);
  CHECK(r->taxa == 37);
  CHECK(r->standard_error == 0);
}

TEST_CASE("the chance to miss a taxon is a product of fractions, however many animals there are") {
  const auto slowly = [](std::int64_t all, std::int64_t n, std::int64_t k) {
    long double p = 1;
    for (std::int64_t i = 0; i < k; ++i)
      p *= static_cast<long double>(all - n - i) / static_cast<long double>(all - i);
    return static_cast<double>(p);
  };
  CHECK(miss_probability(10, 3, 0) == 1);
  CHECK(miss_probability(10, 3, 8) == 0);
  CHECK(near(miss_probability(10, 3, 7), 1.0 / 120, 1e-17));  // one way in C(10, 3)
  CHECK(near_relative(miss_probability(100'000'000'000, 200'000, 100'000),
                      slowly(100'000'000'000, 200'000, 100'000), 1e-13));
  CHECK(near_relative(miss_probability(100'000'000'000, 100'000, 200'000),
                      slowly(100'000'000'000, 200'000, 100'000), 1e-13));
  CHECK(near_relative(miss_probability(3'000'000'000'000, 5'000'000, 7'000'000),
                      slowly(3'000'000'000'000, 7'000'000, 5'000'000), 1e-11));
  // Two taxa of a thousand million: drawing half of the animals never misses one.
  const auto r = Rarefier().rarefy(group_counts({1'000'000'000, 1'000'000'000}), 1'000'000'000);
  CHECK(r->taxa == 2);
}

TEST_CASE("an error that nearly cancels keeps its digits") {
  // 9,999 singletons and one doubleton, two animals drawn: one taxon is drawn with the chance 1 / C(10001, 2), else two.
  Counts counts(10'000, 1);
  counts[0] = 2;
  const double p = 2.0 / (10'001.0 * 10'000.0);
  const auto r = Rarefier().rarefy(group_counts(counts), 2);
  CHECK(near_relative(r->taxa, 2 - p, 1e-12));
  CHECK(near_relative(r->standard_error, std::sqrt(p * (1 - p)), 1e-7));
}

TEST_CASE("Chao1 adds nothing where at most one taxon was found once, and then has no interval") {
  for (const Chao1Form form :
       {Chao1Form::kBiasCorrected, Chao1Form::kBiasCorrectedTwoCase, Chao1Form::kClassic}) {
    const RichnessEstimate none = chao1(diversity({4, 3, 2}), form);
    CHECK(none.taxa == 3);
    CHECK(none.standard_error == 0);
    CHECK_FALSE(none.low);
    CHECK_FALSE(none.high);
    const RichnessEstimate one = chao1(diversity({4, 3, 1}), form);
    CHECK(one.taxa == 3);
    CHECK_FALSE(one.low);
    CHECK(parse_chao1_form(chao1_form_name(form)) == form);
  }
  CHECK_FALSE(parse_chao1_form("best"));
}

TEST_CASE("the interval of Chao1 holds the estimate and never falls below what was found") {
  std::mt19937 random(5);
  for (int round = 0; round < 300; ++round) {
    const Diversity d = diversity(random_counts(random, 40, 20));
    for (const Chao1Form form :
         {Chao1Form::kBiasCorrected, Chao1Form::kBiasCorrectedTwoCase, Chao1Form::kClassic}) {
      const RichnessEstimate e = chao1(d, form);
      CHECK(std::isfinite(e.standard_error));
      CHECK(e.taxa >= static_cast<double>(d.taxa));
      if (!e.low) continue;
      CHECK(*e.low >= static_cast<double>(d.taxa));
      CHECK(*e.low <= e.taxa);
      CHECK(*e.high >= e.taxa);
    }
    if (const auto seen = coverage(d)) {
      CHECK(*seen >= 0);
      CHECK(*seen <= 1);
    }
  }
}

TEST_CASE("coverage without a taxon found twice is one less the share of those found once") {
  CHECK(near(coverage(diversity({5, 3, 1, 1})).value(), 0.8, 1e-15));
  CHECK(coverage(diversity({1, 1, 1})) == 0.0);
}
