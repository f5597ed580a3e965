// Intervals and class probabilities against what can be worked out by hand or by trying every outcome.
#include "core/scoring/confidence.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "core/base/error.hpp"
#include "core/base/random.hpp"
#include "tests/core/scoring/survey_builder.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::test;
namespace core = brookmark::core;
using core::ConfidenceBasis;
using core::ConfidenceNote;

namespace {

constexpr std::size_t kBmwp = 0, kAspt = 1;

bool noted(const core::SampleConfidence& c, ConfidenceNote note) {
  return (c.notes & static_cast<std::uint32_t>(note)) != 0;
}

core::SampleConfidence of(const SurveyBuilder& b, const std::string& method, std::size_t metric,
                          SampleIndex sample, std::uint32_t draws = 1000) {
  return core::confidence_of(b.snapshot(), *core::find_method(method), {.draws = draws})
      .metrics.at(metric)
      .at(sample.value());
}

core::SampleConfidence of_stream(const std::string& method, std::size_t metric,
                                 const std::vector<Found>& found, std::uint32_t draws = 1000) {
  SurveyBuilder b;
  return of(b, method, metric, b.stream_sample(found), draws);
}

// Four standard errors of a share drawn so often.
double share_error(double share, std::uint32_t draws) {
  return 4 * std::sqrt(share * (1 - share) / draws);
}

}  // namespace

TEST_CASE("four animals drawn again give every outcome its exact share") {
  // Baetidae 2, Gammaridae 1, Asellidae 1: fifteen outcomes, scored one by one as samples of their own.
  const std::vector<std::string> names = {"Baetidae", "Gammaridae", "Asellidae"};
  const double chance[] = {0.5, 0.25, 0.25};
  constexpr std::uint32_t kDraws = 40'000;
  for (const std::size_t metric : {kBmwp, kAspt}) {
    std::map<double, double> exact;
    double mean = 0;
    for (int a = 0; a <= 4; ++a)
      for (int g = 0; a + g <= 4; ++g) {
        const int counts[] = {a, g, 4 - a - g};
        double p = 24;
        std::vector<Found> found;
        for (std::size_t i = 0; i < 3; ++i) {
          p *= std::pow(chance[i], counts[i]) / std::tgamma(counts[i] + 1);
          if (counts[i] > 0) found.push_back(n(names[i], counts[i]));
        }
        const double value = stream_score("bmwp-a", found, metric).value;
        exact[value] += p;
        mean += p * value;
      }
    SurveyBuilder b;
    const SampleIndex s = b.stream_sample({n("Baetidae", 2), n("Gammaridae", 1), n("Asellidae", 1)});
    const core::Method& method = *core::find_method("bmwp-a");
    const core::SampleConfidence c = of(b, "bmwp-a", metric, s, kDraws);
    double variance = 0;
    for (const auto& [v, p] : exact) variance += p * (v - mean) * (v - mean);
    CHECK(near(c.mean, mean, 4 * std::sqrt(variance / kDraws)));
    std::map<double, double> seen;
    const std::vector<double> drawn = core::draw_values(b.snapshot(), method, metric, s, {.draws = kDraws});
    REQUIRE(drawn.size() == kDraws);
    for (const double v : drawn) seen[v] += 1.0 / kDraws;
    double told = 0;
    for (const auto& [v, p] : exact) {
      double share = 0;
      for (const auto& [w, q] : seen)
        if (std::abs(w - v) < 1e-6) share += q;
      CHECK(near(share, p, share_error(p, kDraws)));
      told += share;
    }
    CHECK(near(told, 1, 1e-9));
    CHECK(c.class_probability.empty());  // four animals are too few to promise a class
    CHECK(noted(c, ConfidenceNote::kFewAnimals));
  }
}

TEST_CASE("class probabilities are the exact ones of the outcomes, under the method's own rounding") {
  // Heptageniidae (10) 2, Asellidae (3) 14 and Lymnaeidae (3) 14: no Heptageniidae in (28/30)^30 = 0.1262 of draws; one of
  // the others missing in 2 (16/30)^30 = 1.3e-8. ASPT 16/3 = 5.33 (second class of bands A) else 3 (fourth); BMWP 16
  // (fourth) else 6 (fifth).
  const double gone = std::pow(28.0 / 30, 30);
  constexpr std::uint32_t kDraws = 20'000;
  const std::vector<Found> found = {n("Heptageniidae", 2), n("Asellidae", 14), n("Lymnaeidae", 14)};
  const core::SampleConfidence c = of_stream("bmwp-a", kAspt, found, kDraws);
  CHECK(c.basis == ConfidenceBasis::kCounts);
  REQUIRE(c.class_probability.size() == 5);
  CHECK(near(c.probability_of(2), 1 - gone, share_error(gone, kDraws)));
  CHECK(near(c.probability_of(4), gone, share_error(gone, kDraws)));
  CHECK(c.probability_of(1) == 0);
  CHECK(c.probability_of(0) == 0);
  CHECK(c.likeliest_rank == 2);
  CHECK(near(c.low, 3, 1e-12));
  CHECK(near(c.high, 16.0 / 3, 1e-12));
  CHECK(near(c.mean, 16.0 / 3 - 7.0 / 3 * gone, 7.0 / 3 * share_error(gone, kDraws)));
  const core::SampleConfidence sum = of_stream("bmwp-a", kBmwp, found, kDraws);
  CHECK(near(sum.probability_of(4), 1 - gone, share_error(gone, kDraws)));
  CHECK(near(sum.probability_of(5), gone, share_error(gone, kDraws)));
  CHECK(sum.likeliest_rank == 4);
  CHECK(sum.low == 6);
  CHECK(sum.high == 16);
  CHECK(noted(sum, ConfidenceNote::kOnlyLoses));
  CHECK_FALSE(noted(c, ConfidenceNote::kOnlyLoses));
}

TEST_CASE(
    "a sum is not carried across a class limit that no draw reaches, nor called worse for losing taxa") {
  // Eight families of ten points, one animal each, and Chironomidae (2) and Oligochaeta (1): 83, Good to 84. A draw of 41
  // keeps all eight in sum over k of (-1)^k C(8, k) (1 - k/41)^41 of cases, else it has at most 73.
  std::vector<Found> found = {n("Chironomidae", 13), n("Oligochaeta", 20)};
  for (const char* name : {"Heptageniidae", "Leuctridae", "Perlodidae", "Chloroperlidae", "Ephemerellidae",
                           "Leptoceridae", "Sericostomatidae", "Leptophlebiidae"})
    found.push_back(n(name, 1));
  constexpr std::uint32_t kDraws = 20'000;
  const core::SampleConfidence c = of_stream("bmwp-a", kBmwp, found, kDraws);
  REQUIRE(stream_score("bmwp-a", found, kBmwp).value == 83);
  double kept = 0, ways = 1;
  for (int k = 0; k <= 8; ++k) {
    kept += (k % 2 == 0 ? ways : -ways) * std::pow(1 - k / 41.0, 41);
    ways = ways * (8 - k) / (k + 1);
  }
  REQUIRE(c.class_probability.size() == 5);
  CHECK(c.probability_of(1) == 0);
  CHECK(c.high == 83);
  CHECK(noted(c, ConfidenceNote::kOnlyLoses));
  // 73 is Good as well: all eight, or seven of them with both others; the fewer the worse.
  CHECK(c.probability_of(2) >= kept - share_error(kept, kDraws));
  CHECK(c.probability_of(2) < 0.5);
  CHECK(c.likeliest_rank == 0);
  CHECK(noted(c, ConfidenceNote::kClassNotKept));
}

TEST_CASE("an interval holds the value, a sum's has whole ends, and a class given was reached by a draw" *
          doctest::test_suite("many draws")) {
  const std::vector<std::string> names = {"Baetidae", "Gammaridae",    "Asellidae",   "Heptageniidae",
                                          "Leuctra",  "Tubifex",       "Perlodidae",  "Hydropsychidae",
                                          "Elmidae",  "Limnephilidae", "Chironomidae"};
  core::Random random(11, 11);
  SurveyBuilder b;
  for (int i = 0; i < 120; ++i) {
    std::vector<Found> sheet;
    for (std::uint64_t k = 0; k < 1 + random.below(10); ++k) {
      Found f = n(names[random.below(names.size())], 1 + static_cast<std::int64_t>(random.below(60)));
      if (random.below(6) == 0) f = letter(f.name, 10, 99);
      if (random.below(5) == 0) f.certainty = 0.6F;
      sheet.push_back(f);
    }
    b.stream_sample(sheet);
  }
  int intervals = 0, classes = 0;
  for (const core::Method& method : core::shipped_methods()) {
    const core::ConfidenceOptions options{.draws = 60, .level = 0.8};
    const core::ConfidenceTable table = core::confidence_of(b.snapshot(), method, options);
    const core::ScoreTable scores = core::score_samples(b.snapshot(), method);
    for (std::size_t m = 0; m < table.metrics.size(); ++m)
      for (std::size_t s = 0; s < table.metrics[m].size(); ++s) {
        INFO(method.id, " ", method.metrics[m].id, " sample ", s);
        const core::Metric& metric = method.metrics[m];
        const core::SampleConfidence& c = table.metrics[m][s];
        const core::SampleScore& score = scores.metrics[m][s];
        if (!c.has_interval) {
          CHECK(c.class_probability.empty());
          continue;
        }
        ++intervals;
        const bool holds = !score.has_value || (c.low <= score.value && score.value <= c.high);
        const bool whole = (metric.id != "bmwp" && metric.formula != core::FormulaKind::kRichness) ||
                           (c.low == std::floor(c.low) && c.high == score.value);
        if (!holds || !whole || c.low >= c.high) FAIL_CHECK(c.low, " to ", c.high, " about ", score.value);
        const std::vector<double> drawn = core::draw_values(b.snapshot(), method, m, SampleIndex(s), options);
        std::map<int, int> reached;
        for (const double v : drawn)
          if (const core::ClassBand* band = core::class_of(metric, v)) ++reached[band->rank];
        for (std::size_t i = 0; i < c.class_probability.size(); ++i) {
          const double share = reached[static_cast<int>(i) + 1] / 60.0, told = c.class_probability[i];
          const bool capped = noted(c, ConfidenceNote::kCapped) && share > core::kMostOfTaxa;
          if (told != (capped ? core::kMostOfTaxa : share))
            FAIL_CHECK("class ", i + 1, ": ", told, " of ", share);
          ++classes;
        }
        if (metric.id == "bmwp" && c.likeliest_rank != 0 && c.likeliest_rank != score.class_rank)
          FAIL_CHECK("another class than the value's is called likeliest");
      }
  }
  CHECK(intervals > 500);
  CHECK(classes > 200);
}

TEST_CASE("draws without spread give neither interval nor class, and nearly none is the same") {
  const auto nothing = [](const core::SampleConfidence& c, ConfidenceNote why) {
    CHECK_FALSE(c.has_interval);
    CHECK(c.basis == ConfidenceBasis::kNone);
    CHECK(c.class_probability.empty());
    CHECK(c.likeliest_rank == 0);
    CHECK(noted(c, why));
  };
  const std::vector<Found> common = {n("Asellidae", 500), n("Gammaridae", 500), n("Baetidae", 500)};
  nothing(of_stream("bmwp-a", kBmwp, common), ConfidenceNote::kNoSpread);
  nothing(of_stream("bmwp-a", kAspt, common), ConfidenceNote::kNoSpread);
  // (1500/1505)^1505 = 0.0067 of draws miss the five: beyond a 95 % interval, within one of 99.9 %.
  std::vector<Found> rare = common;
  rare.push_back(n("Heptageniidae", 5));
  SurveyBuilder b;
  const SampleIndex s = b.stream_sample(rare);
  const core::Method& method = *core::find_method("bmwp-a");
  for (const std::size_t metric : {kBmwp, kAspt}) {
    nothing(of(b, "bmwp-a", metric, s), ConfidenceNote::kHardlySpread);
    const core::SampleConfidence wide =
        core::confidence_of(b.snapshot(), method, {.level = 0.999}).metrics[metric][0];
    CHECK(wide.has_interval);
    CHECK(wide.low < wide.high);
  }
}

TEST_CASE("one or two kinds promise no class, and a sum never more than 0.95") {
  const core::SampleConfidence two = of_stream("bmwp-a", kBmwp, {n("Heptageniidae", 2), n("Asellidae", 28)});
  CHECK(two.has_interval);
  CHECK(two.class_probability.empty());
  CHECK(noted(two, ConfidenceNote::kFewKinds));
  // Without Asellidae (3) the 19 points are 16: the same class in every draw.
  const core::SampleConfidence c =
      of_stream("bmwp-a", kBmwp, {n("Asellidae", 2), n("Heptageniidae", 14), n("Gammaridae", 14)});
  CHECK(c.low == 16);
  CHECK(c.high == 19);
  CHECK(c.probability_of(4) == core::kMostOfTaxa);
  CHECK(c.likeliest_rank == 4);
  CHECK(noted(c, ConfidenceNote::kCapped));
  CHECK(core::confidence_text(c).find("at most 0.95") != std::string::npos);
}

TEST_CASE("a doubt in words without a number changes no draw, and is told") {
  const auto drawn_of = [](const std::vector<Found>& found) {
    SurveyBuilder b;
    const SampleIndex s = b.stream_sample(found);
    return core::draw_values(b.snapshot(), *core::find_method("bmwp-a"), kAspt, s);
  };
  const Found plain = n("Heptageniidae", 2);
  const std::vector<Found> rest = {n("Asellidae", 14), n("Lymnaeidae", 14)};
  const auto with = [&](const Found& first) {
    std::vector<Found> found = rest;
    found.push_back(first);
    return found;
  };
  for (const char* word : {"cf.", "?", "sp. cf."}) {
    const core::SampleConfidence c = of_stream("bmwp-a", kAspt, with(marked(plain, word)));
    CHECK(c.names_in_doubt == 1);
    CHECK(core::confidence_text(c).find("1 name in doubt (cf., ?), taken as sure") != std::string::npos);
    CHECK(drawn_of(with(marked(plain, word))) == drawn_of(with(plain)));
  }
  CHECK(of_stream("bmwp-a", kAspt, with(marked(plain, "sp."))).names_in_doubt == 0);
  CHECK(of_stream("bmwp-a", kAspt, with(marked(unsure(plain, 0.7F), "cf."))).names_in_doubt == 0);
  // Whatever the worm is, it is of the line Oligochaeta.
  CHECK(of_stream("bmwp-a", kAspt, with(marked(n("Tubifex", 2), "cf."))).names_in_doubt == 0);
}

TEST_CASE("the bootstrap mean of a weighted mean converges to the index, with the binomial's spread") {
  // Baetidae (4) 120 and Asellidae (8) 80: index 5.6; the share of Asellidae has variance 0.4 x 0.6 / 200.
  constexpr std::uint32_t kDraws = 20'000;
  const core::SampleConfidence c =
      of_stream("family-biotic-index", 0, {n("Baetidae", 120), n("Asellidae", 80)}, kDraws);
  const double deviation = 4 * std::sqrt(0.24 / 200);
  CHECK(near(c.mean, 5.6, 4 * deviation / std::sqrt(kDraws)));
  // The exact 2.5 % and 97.5 % points of Binomial(200, 0.4), worked out here; one animal is 0.02 of the index.
  double below = 0;
  int low = -1, high = -1;
  for (int k = 0; k <= 200; ++k) {
    below += std::exp(std::lgamma(201) - std::lgamma(k + 1) - std::lgamma(201 - k) + k * std::log(0.4) +
                      (200 - k) * std::log(0.6));
    if (low < 0 && below >= 0.025) low = k;
    if (high < 0 && below >= 0.975) high = k;
  }
  CHECK(near(c.low, 4 + 4 * low / 200.0, 0.021));
  CHECK(near(c.high, 4 + 4 * high / 200.0, 0.021));
  // Animals that the table does not score change the number of scoring animals in a draw, not where the mean lies.
  const core::SampleConfidence with = of_stream(
      "family-biotic-index", 0, {n("Baetidae", 120), n("Asellidae", 80), n("Lymnaeidae", 300)}, kDraws);
  CHECK(near(with.mean, 5.6, 5 * deviation / std::sqrt(kDraws)));
}

TEST_CASE("a seed gives the same answer, whatever the threads and the other samples") {
  SurveyBuilder b, alone;
  for (int i = 0; i < 100; ++i)
    b.stream_sample(
        {n("Baetidae", 10 + i), unsure(n("Gammaridae", 5), 0.7F), n("Asellidae", 1), n("Leuctridae", 2)});
  alone.stream_sample(
      {n("Baetidae", 10), unsure(n("Gammaridae", 5), 0.7F), n("Asellidae", 1), n("Leuctridae", 2)});
  const core::Method& method = *core::find_method("bmwp-a");
  const auto with = [&](const SurveyBuilder& builder, std::uint64_t seed, unsigned threads) {
    return core::confidence_of(builder.snapshot(), method, {.draws = 200, .seed = seed, .threads = threads});
  };
  const core::ConfidenceTable one = with(b, 5, 1);
  const auto same = [&](const core::ConfidenceTable& other) {
    bool equal = true;
    for (std::size_t m = 0; m < 2; ++m)
      for (std::size_t s = 0; s < other.metrics[m].size(); ++s) {
        const core::SampleConfidence &x = one.metrics[m][s], &y = other.metrics[m][s];
        equal = equal && x.low == y.low && x.high == y.high && x.mean == y.mean &&
                x.class_probability == y.class_probability && x.notes == y.notes;
      }
    return equal;
  };
  for (const unsigned threads : {1U, 2U, 5U, 0U}) CHECK(same(with(b, 5, threads)));
  CHECK(same(with(alone, 5, 1)));  // its first sample: the same code, the same animals
  CHECK_FALSE(same(with(b, 6, 1)));
}

TEST_CASE("the order of records changes nothing") {
  const std::vector<std::string> names = {"Baetidae", "Gammaridae",   "Asellidae",     "Ephemeroptera",
                                          "Leuctra",  "Tubifex",      "wriggly thing", "Baetis",
                                          "Elmidae",  "Limnephilidae"};
  core::Random random(7, 7);
  SurveyBuilder plain, shuffled;
  const SiteIndex a = plain.site("S1", WaterKind::kStream), c = shuffled.site("S1", WaterKind::kStream);
  for (int i = 0; i < 40; ++i) {
    std::vector<Found> sheet;
    for (int k = 0; k < 9; ++k) {
      const std::string& name = names[random.below(names.size())];
      const auto style = random.below(10);
      Found f = style == 0   ? present(name)
                : style == 1 ? letter(name, 10, 99)
                : style == 2 ? absent(name)
                             : n(name, 1 + static_cast<std::int64_t>(random.below(6)));
      if (random.below(3) == 0) f.certainty = static_cast<float>(random.below(11)) / 10.0F;
      sheet.push_back(f);
    }
    plain.sample(a, "2024-05-03", sheet);
    for (std::size_t k = sheet.size(); k > 1; --k) std::swap(sheet[k - 1], sheet[random.below(k)]);
    shuffled.sample(c, "2024-05-03", sheet);
  }
  for (const char* id : {"bmwp-a", "family-biotic-index", "three-group-abundance", "ept-richness"}) {
    const core::Method& method = *core::find_method(id);
    const core::ConfidenceTable x = core::confidence_of(plain.snapshot(), method, {.draws = 100});
    const core::ConfidenceTable y = core::confidence_of(shuffled.snapshot(), method, {.draws = 100});
    int intervals = 0;
    for (std::size_t m = 0; m < x.metrics.size(); ++m)
      for (std::size_t s = 0; s < x.metrics[m].size(); ++s) {
        const core::SampleConfidence &p = x.metrics[m][s], &q = y.metrics[m][s];
        intervals += p.has_interval ? 1 : 0;
        if (p.low != q.low || p.high != q.high || p.mean != q.mean || p.notes != q.notes ||
            p.class_probability != q.class_probability)
          FAIL_CHECK(id, " sample ", s);
      }
    CHECK(intervals > 5);
  }
}

TEST_CASE("the class keeps to the scope, the interval does not pretend to") {
  SurveyBuilder b;
  const std::vector<Found> found = {n("Heptageniidae", 2), n("Asellidae", 28), n("Lymnaeidae", 9)};
  const SampleIndex pond = b.sample(b.site("P1", WaterKind::kPond), "2024-05-03", found);
  const core::SampleConfidence c = of(b, "bmwp-a", kAspt, pond);
  CHECK(c.has_interval);
  CHECK(c.class_probability.empty());
  CHECK(c.likeliest_rank == 0);
  CHECK(noted(c, ConfidenceNote::kOutOfScope));
  // Fewer animals than the method asks for: the value may be shown, its class may not.
  const core::SampleConfidence few =
      of_stream("family-biotic-index", 0, {n("Baetidae", 60), n("Asellidae", 39)});
  CHECK(few.has_interval);
  CHECK(few.class_probability.empty());
  CHECK(noted(few, ConfidenceNote::kOutOfScope));
  // A hundred: in scope. That a draw with animals that do not score can fall below it does not take a class away.
  const core::SampleConfidence enough =
      of_stream("family-biotic-index", 0,
                {n("Baetidae", 60), n("Asellidae", 20), n("Elmidae", 20), n("Lymnaeidae", 50)});
  double all = 0;
  for (const double p : enough.class_probability) all += p;
  CHECK(near(all, 1, 1e-12));
}

TEST_CASE("a thousand million animals, one kind, one animal") {
  const core::SampleConfidence many =
      of_stream("family-biotic-index", 0, {n("Baetidae", 600'000'000), n("Asellidae", 400'000'000)});
  CHECK(near(many.low, 5.6, 0.001));  // the standard deviation is 4 x sqrt(0.24 / 1e9) = 6e-5
  CHECK(near(many.high, 5.6, 0.001));
  CHECK(many.high > many.low);
  const core::SampleConfidence one = of_stream("bmwp-a", kBmwp, {n("Asellidae", 500)});
  CHECK_FALSE(one.has_interval);
  CHECK(one.class_probability.empty());
  CHECK(noted(one, ConfidenceNote::kNoSpread));
  const core::SampleConfidence single = of_stream("bmwp-a", kBmwp, {n("Asellidae", 1)});
  CHECK_FALSE(single.has_interval);
  CHECK(single.class_probability.empty());
  const core::SampleConfidence huge = of_stream(
      "family-biotic-index", 0, {n("Baetidae", INT64_MAX), n("Asellidae", INT64_MAX - 1), n("Elmidae", 1)});
  CHECK(std::isfinite(huge.low));
  CHECK(std::isfinite(huge.high));
}

TEST_CASE("where nothing can be drawn there is no interval, and it says why") {
  const auto none = [](const core::SampleConfidence& c, ConfidenceNote why) {
    CHECK(c.basis == ConfidenceBasis::kNone);
    CHECK_FALSE(c.has_interval);
    CHECK(c.class_probability.empty());
    CHECK(c.likeliest_rank == 0);
    CHECK(noted(c, why));
    CHECK_FALSE(core::confidence_text(c).empty());
  };
  none(of_stream("bmwp-a", kBmwp, {}), ConfidenceNote::kNoValue);
  none(of_stream("bmwp-a", kBmwp, {absent("Baetidae")}), ConfidenceNote::kNoValue);
  none(of_stream("bmwp-a", kBmwp, {n("wriggly thing", 50)}), ConfidenceNote::kNoValue);
  none(of_stream("bmwp-a", kBmwp, {unsure(n("Baetidae", 50), 0.4F)}), ConfidenceNote::kNoValue);
  none(of_stream("bmwp-a", kAspt, {present("Baetidae"), present("Asellidae")}),
       ConfidenceNote::kPresenceOnly);
  none(of_stream("family-biotic-index", 0, {present("Baetidae"), n("Asellidae", 200)}),
       ConfidenceNote::kNoValue);
  none(of_stream("ept-richness", 0, {absent("Ephemeroptera"), absent("Plecoptera"), absent("Trichoptera")}),
       ConfidenceNote::kAbsencesOnly);
  // Letters where only presence counts: numbers within them change nothing, and that is no certainty.
  none(of_stream("bmwp-a", kBmwp, {letter("Baetidae", 1, 9), letter("Asellidae", 10, 99)}),
       ConfidenceNote::kNumbersIgnored);
  SurveyBuilder b;
  const SampleIndex blank =
      b.sample(b.site("S1", WaterKind::kStream), "2024-05-03", {n("Baetidae", 50)}, SampleKind::kBlank);
  none(of(b, "bmwp-a", kBmwp, blank), ConfidenceNote::kBlankSample);
  CHECK(core::draw_values(b.snapshot(), *core::find_method("bmwp-a"), 0, blank).empty());
}

TEST_CASE("a record without a number stays in every draw, and no class is promised") {
  const core::SampleConfidence c =
      of_stream("bmwp-a", kBmwp, {n("Heptageniidae", 1), n("Asellidae", 60), present("Baetidae")});
  CHECK(c.basis == ConfidenceBasis::kCounts);
  CHECK(c.has_interval);
  CHECK(c.class_probability.empty());
  CHECK(noted(c, ConfidenceNote::kSomePresence));
  // What the table does not score is in no one's way.
  const core::SampleConfidence other =
      of_stream("bmwp-a", kBmwp,
                {n("Heptageniidae", 1), n("Asellidae", 60), n("Gammaridae", 60), present("wriggly thing")});
  CHECK(other.class_probability.size() == 5);
}

TEST_CASE("a name at 60 % falls back to its parent in 40 % of draws") {
  // Baetidae (4) may be any mayfly, which does not score: ASPT (4 + 3) / 2 = 3.5 in 60 %, 3 in 40 %.
  constexpr std::uint32_t kDraws = 20'000;
  SurveyBuilder b;
  const SampleIndex s = b.stream_sample({unsure(n("Baetidae", 50), 0.6F), n("Asellidae", 50)});
  const core::SampleConfidence c = of(b, "bmwp-a", kAspt, s, kDraws);
  CHECK(noted(c, ConfidenceNote::kDoubtfulNames));
  CHECK(near(c.mean, 3.3, 0.5 * share_error(0.4, kDraws)));
  double dropped = 0;
  for (const double v :
       core::draw_values(b.snapshot(), *core::find_method("bmwp-a"), kAspt, s, {.draws = kDraws}))
    dropped += v == 3.0 ? 1.0 / kDraws : 0;
  CHECK(near(dropped, 0.4, share_error(0.4, kDraws)));
  CHECK(c.low == 3);
  CHECK(c.high == 3.5);
  // Tubifex and its parents are all the line Oligochaeta: nothing to doubt for this method.
  CHECK_FALSE(noted(of_stream("bmwp-a", kAspt, {unsure(n("Tubifex", 50), 0.6F), n("Asellidae", 50)}),
                    ConfidenceNote::kDoubtfulNames));
  // Below 0.5 a record counts in no draw, as it counts in no value.
  SurveyBuilder with, without;
  const SampleIndex x =
      with.stream_sample({unsure(n("Perlidae", 50), 0.4F), n("Baetidae", 3), n("Asellidae", 50)});
  const SampleIndex y = without.stream_sample({n("Baetidae", 3), n("Asellidae", 50)});
  CHECK(core::draw_values(with.snapshot(), *core::find_method("bmwp-a"), kAspt, x) ==
        core::draw_values(without.snapshot(), *core::find_method("bmwp-a"), kAspt, y));
  // Presence alone: the names' doubt is all that can be drawn, and no class is promised.
  const core::SampleConfidence names =
      of_stream("bmwp-a", kAspt, {unsure(present("Baetidae"), 0.6F), present("Asellidae")});
  CHECK(names.basis == ConfidenceBasis::kNames);
  CHECK(names.low == 3);
  CHECK(names.high == 3.5);
  CHECK(names.class_probability.empty());
  CHECK(noted(names, ConfidenceNote::kPresenceOnly));
}

TEST_CASE("abundance classes: numbers within the limits give what the value wants") {
  // Ten to ninety-nine of each: the weighted mean of 4 and 8 can lie from 4 + 4 x 10/109 to 4 + 4 x 99/109.
  const core::SampleConfidence c =
      of_stream("family-biotic-index", 0, {letter("Baetidae", 10, 99), letter("Asellidae", 10, 99)});
  CHECK(c.basis == ConfidenceBasis::kAbundanceClasses);
  CHECK(c.has_interval);
  CHECK(c.low > 4 + 4 * 10.0 / 109);
  CHECK(c.high < 4 + 4 * 99.0 / 109);
  CHECK(near(c.mean, 6, 4 * 1.0 / std::sqrt(1000)));  // alike for both; its standard deviation is below 1
  CHECK(noted(c, ConfidenceNote::kValueNeedsCounts));
  CHECK(c.class_probability.empty());  // it asks for a hundred counted animals
}

TEST_CASE("options outside their range are refused") {
  SurveyBuilder b;
  b.stream_sample({n("Baetidae", 5)});
  const core::Method& method = *core::find_method("bmwp-a");
  CHECK_THROWS_AS(core::confidence_of(b.snapshot(), method, {.draws = 0}), brookmark::Error);
  CHECK_THROWS_AS(core::confidence_of(b.snapshot(), method, {.draws = core::kMostDraws + 1}),
                  brookmark::Error);
  for (const double level : {0.0, 1.0, -1.0, std::nan("")})
    CHECK_THROWS_AS(core::confidence_of(b.snapshot(), method, {.level = level}), brookmark::Error);
}
