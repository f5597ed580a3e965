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
  return (c.notes & static_cast<std::uint16_t>(note)) != 0;
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
    const double value = score_of(b, "bmwp-a", metric, s).value;
    const core::SampleConfidence c = of(b, "bmwp-a", metric, s, kDraws);
    double variance = 0;
    for (const auto& [v, p] : exact) variance += p * (v - mean) * (v - mean);
    CHECK(near(c.shift, value - mean, 4 * std::sqrt(variance / kDraws)));
    std::map<double, double> seen;
    const std::vector<double> drawn = core::draw_values(b.snapshot(), method, metric, s, {.draws = kDraws});
    REQUIRE(drawn.size() == kDraws);
    for (const double v : drawn) seen[v] += 1.0 / kDraws;
    const double least = 1;  // no value lies below the least score of the table
    double told = 0;
    for (const auto& [v, p] : exact) {
      const double shifted = std::max(least, v + c.shift);
      double share = 0;
      for (const auto& [w, q] : seen)
        if (std::abs(w - shifted) < 1e-6) share += q;
      CHECK(near(share, p, share_error(p, kDraws)));
      told += share;
    }
    CHECK(near(told, 1, 1e-9));
    CHECK(c.class_probability.empty());  // four animals are too few to promise a class
    CHECK(noted(c, ConfidenceNote::kFewAnimals));
  }
}

TEST_CASE("class probabilities are the exact ones of the outcomes, under the method's own rounding") {
  // Heptageniidae (10) 2 and Asellidae (3) 28: all thirty drawn are Asellidae in (28/30)^30 = 0.1262 of cases, ASPT 3;
  // else both are there, ASPT 6.5 (only Heptageniidae: 1e-35). Mean 6.0582, so the shift is 0.4418: 6.942 is the
  // first class of bands A (6.0 and more), 3.442 the fourth (3.0 to 4.1).
  const double gone = std::pow(28.0 / 30, 30), shift = 3.5 * gone;
  constexpr std::uint32_t kDraws = 20'000;
  const core::SampleConfidence c =
      of_stream("bmwp-a", kAspt, {n("Heptageniidae", 2), n("Asellidae", 28)}, kDraws);
  CHECK(c.basis == ConfidenceBasis::kCounts);
  CHECK(near(c.shift, shift, 3.5 * share_error(gone, kDraws)));
  REQUIRE(c.class_probability.size() == 5);
  CHECK(near(c.probability_of(1), 1 - gone, share_error(gone, kDraws)));
  CHECK(near(c.probability_of(4), gone, share_error(gone, kDraws)));
  CHECK(c.probability_of(2) == 0);
  CHECK(c.probability_of(0) == 0);
  CHECK(c.likeliest_rank == 1);
  CHECK(near(c.low, 3 + c.shift, 1e-6));
  CHECK(near(c.high, 6.5 + c.shift, 1e-6));
  CHECK(near(c.mean, 6.5, 1e-6));  // of the shifted draws: the value
}

TEST_CASE("the bootstrap mean of a weighted mean converges to the index, with the binomial's spread") {
  // Baetidae (4) 120 and Asellidae (8) 80: index 5.6; the share of Asellidae has variance 0.4 x 0.6 / 200.
  constexpr std::uint32_t kDraws = 20'000;
  const core::SampleConfidence c =
      of_stream("family-biotic-index", 0, {n("Baetidae", 120), n("Asellidae", 80)}, kDraws);
  const double deviation = 4 * std::sqrt(0.24 / 200);
  CHECK(near(c.shift, 0, 4 * deviation / std::sqrt(kDraws)));
  CHECK(near(c.mean, 5.6, 1e-6));
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
  CHECK(near(with.shift, 0, 5 * deviation / std::sqrt(kDraws)));
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
        equal = equal && x.low == y.low && x.high == y.high && x.mean == y.mean && x.shift == y.shift &&
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
                             : n(name, 1 + static_cast<std::int64_t>(random.below(30)));
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
  const std::vector<Found> found = {n("Heptageniidae", 20), n("Asellidae", 28)};
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
      of_stream("family-biotic-index", 0, {n("Baetidae", 60), n("Asellidae", 40), n("Lymnaeidae", 50)});
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
  CHECK(one.low == 3);
  CHECK(one.high == 3);
  CHECK(one.shift == 0);
  CHECK(noted(one, ConfidenceNote::kOneKind));
  const core::SampleConfidence single = of_stream("bmwp-a", kBmwp, {n("Asellidae", 1)});
  CHECK(single.has_interval);
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
      of_stream("bmwp-a", kBmwp, {n("Heptageniidae", 1), n("Asellidae", 60), present("wriggly thing")});
  CHECK(other.class_probability.size() == 5);
}

TEST_CASE("a name at 60 % falls back to its parent in 40 % of draws") {
  // Baetidae (4) may be any mayfly, which does not score: ASPT (4 + 3) / 2 = 3.5 in 60 %, 3 in 40 %.
  constexpr std::uint32_t kDraws = 20'000;
  SurveyBuilder b;
  const SampleIndex s = b.stream_sample({unsure(n("Baetidae", 50), 0.6F), n("Asellidae", 50)});
  const core::SampleConfidence c = of(b, "bmwp-a", kAspt, s, kDraws);
  CHECK(noted(c, ConfidenceNote::kDoubtfulNames));
  CHECK(near(c.shift, 0, 1e-9));  // neither is ever missed; the names' doubt is not taken for a loss
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
