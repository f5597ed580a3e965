// Samples as they might have been: numbers within classes, and sightings read in place of records.
#include <doctest/doctest.h>

#include <cmath>
#include <set>

#include "core/scoring/redraw_internal.hpp"
#include "tests/core/scoring/survey_builder.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::test;
namespace core = brookmark::core;

TEST_CASE("numbers within an abundance class are even on a logarithmic scale") {
  core::Random random(1, 1);
  constexpr int kDraws = 100'000;
  std::vector<double> seen(10, 0);
  for (int i = 0; i < kDraws; ++i) seen.at(static_cast<std::size_t>(core::draw_in_class(random, 1, 9))) += 1;
  for (int k = 1; k <= 9; ++k) {
    const double share = std::log((k + 1.0) / k) / std::log(10.0);
    CHECK(
        near(seen[static_cast<std::size_t>(k)] / kDraws, share, 4 * std::sqrt(share * (1 - share) / kDraws)));
  }
  std::int64_t least = INT64_MAX, most = 0;
  for (int i = 0; i < kDraws; ++i) {
    const std::int64_t drawn = core::draw_in_class(random, 100, RecordColumns::kOpen);
    least = std::min(least, drawn), most = std::max(most, drawn);
  }
  CHECK(least == 100);
  CHECK(most == 999);  // an open class goes up to the next decade
  CHECK(core::draw_in_class(random, 7, 7) == 7);
  CHECK(core::draw_in_class(random, 0, 0) >= 1);
  CHECK(core::draw_in_class(random, INT64_MAX - 1, RecordColumns::kOpen) >= INT64_MAX - 1);
}

TEST_CASE("a sample drawn again keeps its animals, its absences and its records without a number") {
  SurveyBuilder b;
  const SampleIndex s = b.stream_sample({n("Baetidae", 3), n("Baetis", 4), absent("Perlidae"),
                                         present("Elmidae"), letter("Gammaridae", 10, 99), n("Asellidae", 2),
                                         n("wriggly thing", 5), unsure(n("Leuctridae", 9), 0.2F)});
  for (const char* id : {"bmwp-a", "family-richness"}) {
    const core::CompiledMethod compiled(b.snapshot().taxa, *core::find_method(id));
    core::SampleRedraw again(b.snapshot(), compiled, s.value());
    CHECK(again.individuals() == 14);  // the one too uncertain to use is not drawn
    CHECK(again.has_classes());
    CHECK(again.has_presence());
    CHECK_FALSE(again.has_doubtful_names());
    core::Random random(1, 1);
    for (int d = 0; d < 200; ++d) {
      again.draw(random);
      std::int64_t animals = 0;
      int absences = 0, bare = 0, unusable = 0;
      for (const core::Sighting& found : again.drawn()) {
        if (found.quantity == QuantityKind::kAbundanceClass) {
          CHECK(found.drawn);
          CHECK(found.min == found.max);
          CHECK(found.min >= 10);
          CHECK(found.max <= 99);
        }
        if (found.quantity == QuantityKind::kCount && found.usable) {
          CHECK(found.min > 0);  // none drawn is not the same as looked for and absent
          animals += found.min;
        }
        absences += found.quantity == QuantityKind::kAbsent ? 1 : 0;
        bare += found.quantity == QuantityKind::kPresent ? 1 : 0;
        unusable += found.usable ? 0 : 1;
      }
      CHECK(animals == 14);
      CHECK(absences == 1);
      CHECK(bare == 1);
      CHECK(unusable == 1);
    }
  }
}

TEST_CASE("sightings with the counts as they are score as the sample itself, for every method") {
  const std::vector<std::string> names = {"Baetidae", "Gammaridae",    "Asellidae",     "Ephemeroptera",
                                          "Leuctra",  "Tubifex",       "wriggly thing", "Baetis",
                                          "Elmidae",  "Limnephilidae", "Lymnaeidae"};
  core::Random random(9, 9);
  SurveyBuilder b;
  const SiteIndex site = b.site("S1", WaterKind::kStream);
  for (int i = 0; i < 200; ++i) {
    std::vector<Found> sheet;
    for (std::uint64_t k = 0; k < 1 + random.below(12); ++k) {
      Found f = n(names[random.below(names.size())], static_cast<std::int64_t>(random.below(40)));
      if (random.below(12) == 0) f = present(f.name);
      if (random.below(12) == 0) f = absent(f.name);
      if (random.below(12) == 0) f.certainty = 0.3F;
      if (random.below(4) == 0) f.stage = random.below(2) == 0 ? LifeStage::kAdult : LifeStage::kLarva;
      sheet.push_back(f);
    }
    b.sample(site, "2024-05-03", sheet, SampleKind::kRoutine, random.below(2) == 0 ? 0.25 : 1.0);
  }
  for (const core::Method& method : core::shipped_methods()) {
    const core::CompiledMethod compiled(b.snapshot().taxa, method);
    core::SampleScorer scorer(b.snapshot(), compiled);
    const core::ScoreTable table = core::score_samples(b.snapshot(), method);
    for (std::size_t s = 0; s < b.snapshot().samples.size(); ++s) {
      core::SampleRedraw again(b.snapshot(), compiled, s);
      scorer.read(s, again.drawn());
      for (std::size_t m = 0; m < method.metrics.size(); ++m) {
        const core::SampleScore got = scorer.score(m), &wanted = table.metrics[m][s];
        INFO(method.id, " sample ", s);
        if (got.has_value != wanted.has_value || got.value != wanted.value ||
            got.class_rank != wanted.class_rank || got.in_scope != wanted.in_scope ||
            got.scoring_taxa != wanted.scoring_taxa)
          FAIL_CHECK("another score");
      }
    }
  }
}
