// How often the interval holds the truth, where the truth is known: invented communities, many samples of each. The
// rates are printed in core/scoring/CONFIDENCE.md; the bounds here are what is promised there.
#include <doctest/doctest.h>

#include <cmath>
#include <cstdlib>
#include <iostream>
#include <numbers>

#include "core/base/random.hpp"
#include "core/scoring/confidence.hpp"
#include "tests/core/scoring/survey_builder.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::test;
namespace core = brookmark::core;

namespace {

// Families that each stand on a line of their own in both tables.
const std::vector<std::string>& families() {
  static const std::vector<std::string> names = {
      "Baetidae",   "Heptageniidae",  "Ephemerellidae", "Caenidae",         "Leptophlebiidae",
      "Leuctridae", "Nemouridae",     "Perlodidae",     "Chloroperlidae",   "Gammaridae",
      "Asellidae",  "Hydropsychidae", "Limnephilidae",  "Sericostomatidae", "Leptoceridae",
      "Simuliidae", "Chironomidae",   "Sialidae",       "Elmidae",          "Calopterygidae"};
  return names;
}

// Shares of a community: log-normal abundances of this standard deviation (natural logarithm), from the stream.
std::vector<double> community(double spread, std::uint64_t stream) {
  core::Random random(2024, stream);
  std::vector<double> shares;
  double total = 0;
  for (std::size_t i = 0; i < families().size(); ++i) {
    const double normal =
        std::sqrt(-2 * std::log(random.uniform_open())) * std::cos(2 * std::numbers::pi * random.uniform());
    shares.push_back(std::exp(spread * normal));
    total += shares.back();
  }
  for (double& share : shares) share /= total;
  return shares;
}

double line_score(const core::Method& method, const std::string& family) {
  for (const core::ScoreUnit& unit : method.units)
    for (const std::string& member : unit.members)
      if (member == family) return unit.score;
  FAIL("no line for ", family);
  return 0;
}

struct Coverage {
  int samples = 0, given = 0, held = 0, low_held = 0, class_right = 0, classed = 0;
  double promised = 0;  // sum of the probabilities of the classes called likeliest
  double rate() const { return static_cast<double>(held) / given; }
  double low_rate() const {
    return static_cast<double>(low_held) / given;
  }  // the truth not below the lower end
};

// The truth: the mean over samples of that size, exact for a sum and for the share-weighted mean, else by a hundred
// times as many samples as are tried.
double truth_of(const core::Method& method, std::size_t metric, const std::vector<double>& shares,
                std::int64_t animals, core::Random& random) {
  std::vector<double> scores;
  for (const std::string& family : families()) scores.push_back(line_score(method, family));
  double sum = 0;
  switch (method.metrics[metric].formula) {
    case core::FormulaKind::kWeightedMean:
      for (std::size_t i = 0; i < shares.size(); ++i) sum += shares[i] * scores[i];
      return sum;
    case core::FormulaKind::kSumOfScores:
      for (std::size_t i = 0; i < shares.size(); ++i)
        sum += scores[i] * (1 - std::pow(1 - shares[i], static_cast<double>(animals)));
      return sum;
    default: {
      std::vector<std::int64_t> counts(shares.size());
      constexpr int kMany = 20'000;
      for (int n = 0; n < kMany; ++n) {
        core::draw_multinomial(random, animals, shares, counts);
        double points = 0, lines = 0;
        for (std::size_t i = 0; i < counts.size(); ++i)
          if (counts[i] > 0) points += scores[i], lines += 1;
        sum += points / lines;
      }
      return sum / kMany;
    }
  }
}

Coverage cover(const std::string& method_id, std::size_t metric, double spread, std::int64_t animals,
               int samples, std::uint32_t draws = 500) {
  const core::Method& method = *core::find_method(method_id);
  Coverage coverage;
  constexpr int kCommunities = 10;
  for (std::uint64_t c = 0; c < kCommunities; ++c) {
    const std::vector<double> shares = community(spread, c);
    core::Random random(99, 1000 * c + static_cast<std::uint64_t>(animals));
    const double truth = truth_of(method, metric, shares, animals, random);
    const core::ClassBand* const band = core::class_of(method.metrics[metric], truth);
    SurveyBuilder b;
    const SiteIndex site = b.site("S1", WaterKind::kStream);
    std::vector<std::int64_t> counts(shares.size());
    for (int n = 0; n < samples / kCommunities; ++n) {
      core::draw_multinomial(random, animals, shares, counts);
      std::vector<Found> found;
      for (std::size_t i = 0; i < counts.size(); ++i)
        if (counts[i] > 0) found.push_back(brookmark::test::n(families()[i], counts[i]));
      b.sample(site, "2024-05-03", found);
    }
    const core::ConfidenceTable table =
        core::confidence_of(b.snapshot(), method, {.draws = draws, .seed = c + 1, .threads = 1});
    for (const core::SampleConfidence& sample : table.metrics[metric]) {
      ++coverage.samples;
      coverage.given += sample.has_interval ? 1 : 0;
      coverage.held += sample.has_interval && sample.low <= truth && truth <= sample.high ? 1 : 0;
      coverage.low_held += sample.has_interval && sample.low <= truth ? 1 : 0;
      if (band == nullptr || sample.likeliest_rank == 0) continue;
      ++coverage.classed;
      coverage.class_right += sample.likeliest_rank == band->rank ? 1 : 0;
      coverage.promised += sample.probability_of(sample.likeliest_rank);
    }
  }
  return coverage;
}

}  // namespace

TEST_CASE("measured coverage of the intervals, for the table of the page" *
          doctest::skip(std::getenv("BROOKMARK_COVERAGE") == nullptr)) {
  struct Of {
    const char* method;
    std::size_t metric;
    const char* name;
  };
  for (const Of& of : {Of{"family-biotic-index", 0, "FBI"}, {"bmwp-a", 0, "BMWP"}, {"bmwp-a", 1, "ASPT"}})
    for (const double spread : {1.0, 1.5, 2.0})
      for (const std::int64_t animals : {10, 20, 30, 50, 100, 200, 500, 2000}) {
        const Coverage c = cover(of.method, of.metric, spread, animals, 2000);
        std::cout << of.name << " spread " << spread << " animals " << animals << " given "
                  << static_cast<double>(c.given) / c.samples << " coverage " << c.rate() << " low "
                  << c.low_rate() << " classed " << c.classed << " promised "
                  << c.promised / std::max(1, c.classed) << " right "
                  << static_cast<double>(c.class_right) / std::max(1, c.classed) << std::endl;
      }
}

TEST_CASE("the intervals hold the truth as often as the page says, within the error of counting tries" *
          doctest::test_suite("many draws")) {
  // 500 tries of a rate r have standard deviation sqrt(r (1 - r) / 500): four of them.
  const auto at_least = [](double rate) { return rate - 4 * std::sqrt(rate * (1 - rate) / 500); };
  const Coverage mean = cover("family-biotic-index", 0, 1.5, 200, 500, 300);
  CHECK(mean.rate() > at_least(0.93));  // 0.9395 of 2000
  CHECK(mean.class_right > 0);
  const Coverage sum = cover("bmwp-a", 0, 1.5, 100, 500, 300);
  // One-sided: the mean of such samples lies above a sample's own value about as often as not, hardly ever below the end.
  CHECK(sum.low_rate() > 0.97);
  CHECK(sum.rate() > at_least(0.5));
  CHECK(sum.rate() < 0.95);
  // The class called likeliest is right a little less often than it claims: four in a hundred here (0.876 for 0.916).
  const double claimed = mean.promised / mean.classed,
               right = static_cast<double>(mean.class_right) / mean.classed;
  CHECK(near(right, claimed - 0.04, 4 * std::sqrt(claimed * (1 - claimed) / 500)));
}
