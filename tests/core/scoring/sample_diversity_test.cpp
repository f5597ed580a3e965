// From records to counts: what is added up, what is left out, and what has no number and why.
#include "core/scoring/sample_diversity.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "tests/core/scoring/survey_builder.hpp"
#include "tests/support/near.hpp"

using namespace brookmark;
using namespace brookmark::core;
using namespace brookmark::test;

namespace {

constexpr DiversityMetric kAllMetrics[] = {
    DiversityMetric::kRichness,  DiversityMetric::kIndividuals,    DiversityMetric::kShannon,
    DiversityMetric::kSimpson,   DiversityMetric::kInverseSimpson, DiversityMetric::kPielou,
    DiversityMetric::kRarefied,  DiversityMetric::kChao1,          DiversityMetric::kChao1Error,
    DiversityMetric::kCoverage,  DiversityMetric::kRarefiedError,  DiversityMetric::kChao1Low,
    DiversityMetric::kChao1High, DiversityMetric::kMargalef,       DiversityMetric::kBergerParker,
    DiversityMetric::kHill1,     DiversityMetric::kHill2};
static_assert(std::size(kAllMetrics) == kDiversityMetrics);

struct One {
  SurveyBuilder survey;
  DiversityTable table;
  SampleIndex sample;

  std::optional<double> value(DiversityMetric metric) const { return value_of(table, sample, metric); }
  std::string note() const { return diversity_note(survey.snapshot(), table, sample); }
};

One one(const std::vector<Found>& found, const DiversityOptions& options = {},
        SampleKind kind = SampleKind::kRoutine, std::optional<double> share = {}) {
  One made;
  made.sample =
      made.survey.sample(made.survey.site("S1", WaterKind::kStream), "2024-05-03", found, kind, share);
  made.table = diversity_of_samples(made.survey.snapshot(), options);
  return made;
}

bool says(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

// Richness and animals as one text: "3/17"; "3/" where there is a richness only.
std::string counted(const One& made) {
  const auto part = [&](DiversityMetric metric) {
    const auto value = made.value(metric);
    return value ? format_number(*value) : std::string();
  };
  return part(DiversityMetric::kRichness) + "/" + part(DiversityMetric::kIndividuals);
}

}  // namespace

TEST_CASE("one taxon in two records is one taxon with both counts, whatever the stages") {
  const One made =
      one({n("Baetidae", 4, LifeStage::kLarva), n("Baetidae", 3, LifeStage::kAdult), n("Asellidae", 3)});
  CHECK(counted(made) == "2/10");
  CHECK(made.value(DiversityMetric::kBergerParker) == 0.7);
}

TEST_CASE(
    "a coarser name counts only where nothing finer within it is found; its animals are left out and said") {
  const One both = one({n("Ephemeroptera", 1), n("Baetidae", 4), n("Asellidae", 6)});
  CHECK(counted(both) == "2/10");
  CHECK(says(both.note(), "left out: 1 name of which something finer is in the sample (1 animal counted)"));
  CHECK(counted(one({n("Ephemeroptera", 9), n("Asellidae", 6)})) == "2/15");
}

TEST_CASE("at a rank finer names are added up, and coarser ones left out and said") {
  const One made = one({n("Ephemeroptera", 1), n("Baetis", 4), n("Baetidae", 2), n("Asellidae", 6)},
                       {.rank = Rank::kFamily});
  CHECK(counted(made) == "2/12");
  CHECK(says(made.note(), "left out: 1 name coarser than family (1 animal counted)"));
  const One coarse = one({n("Ephemeroptera", 9)}, {.rank = Rank::kFamily});
  CHECK(counted(coarse) == "/");
  CHECK(says(coarse.note(), "every name is coarser than the rank"));
}

TEST_CASE(
    "a sample whose animals are mostly under a coarser name has no numbers of animals, at one rank it has") {
  const std::vector<Found> sheet = {n("Chironomidae", 200), n("Chironomus", 1), n("Asellidae", 33)};
  const One made = one(sheet);
  CHECK(counted(made) == "2/");
  for (const DiversityMetric metric : kAllMetrics) {
    CHECK(made.value(metric).has_value() == (metric == DiversityMetric::kRichness));
    if (metric != DiversityMetric::kRichness)
      CHECK(says(missing_reason(made.table, made.sample, metric), "such as --rank family"));
  }
  CHECK(says(made.note(), "richness only: more than 10 % of the animals counted are left out"));
  CHECK(says(made.note(), "(200 animals counted)"));
  CHECK(made.table.rarefied_n == 0);
  CHECK(counted(one(sheet, {.rank = Rank::kFamily})) == "2/234");
  // Exactly a tenth is not more than a tenth.
  CHECK(counted(one({n("Chironomidae", 10), n("Chironomus", 50), n("Asellidae", 40)})) == "2/90");
  CHECK(counted(one({n("Chironomidae", 11), n("Chironomus", 50), n("Asellidae", 40)})) == "2/");
  // The same at a rank: most of what was counted is too coarse for it.
  CHECK(counted(one({n("Ephemeroptera", 9), n("Asellidae", 6)}, {.rank = Rank::kFamily})) == "1/");
}

TEST_CASE("names without a count are left out without a number of animals") {
  const One made = one({present("Ephemeroptera"), present("Baetidae"), present("Asellidae")});
  CHECK(says(made.note(), "left out: 1 name of which something finer is in the sample"));
  CHECK_FALSE(says(made.note(), "animals counted)"));
}

TEST_CASE("unlisted names are taxa, also at a rank") {
  CHECK(counted(one({n("glass worm", 3), n("little red thing", 2)})) == "2/5");
  CHECK(counted(one({n("glass worm", 3), n("little red thing", 2)}, {.rank = Rank::kFamily})) == "2/5");
  One made;
  made.survey.own_taxon("dark Baetis", "Baetidae");
  made.sample = made.survey.stream_sample({n("dark Baetis", 3), n("Baetidae", 2)});
  made.table = diversity_of_samples(made.survey.snapshot());
  CHECK(counted(made) == "1/");  // two of the five animals have the coarser name only
  made.sample = made.survey.stream_sample({n("dark Baetis", 18), n("Baetidae", 2)});
  made.table = diversity_of_samples(made.survey.snapshot());
  CHECK(counted(made) == "1/18");  // the own name is finer than the family
  made.table = diversity_of_samples(made.survey.snapshot(), {.rank = Rank::kFamily});
  CHECK(counted(made) == "1/20");
}

TEST_CASE("classes and presence are no counts: there is a richness, nothing else, and it is said") {
  for (const Found& vague : {present("Baetidae"), letter("Baetidae", 1, 9)}) {
    const One made = one({vague, n("Asellidae", 6)});
    CHECK(counted(made) == "2/");
    for (const DiversityMetric metric : kAllMetrics)
      CHECK(made.value(metric).has_value() == (metric == DiversityMetric::kRichness));
    CHECK(says(made.note(), "richness only: not every taxon has a count"));
  }
  // A count beside a "present" of the same taxon is not how many there were.
  CHECK(counted(one({n("Baetidae", 4), present("Baetidae")})) == "1/");
  // What is left out does not spoil the counts.
  CHECK(counted(one({present("Ephemeroptera"), n("Baetidae", 4)})) == "1/4");
}

TEST_CASE("blank, empty, absent and uncertain are four reasons, and none is a zero") {
  const auto check = [](const One& made, const std::string& why) {
    for (const DiversityMetric metric : kAllMetrics) {
      CHECK_FALSE(made.value(metric));
      CHECK(says(missing_reason(made.table, made.sample, metric), why));
    }
    CHECK(says(made.note(), "no value: "));
    CHECK(says(made.note(), why));
    CHECK(made.table.rarefied_n == 0);
  };
  check(one({n("Baetidae", 40)}, {}, SampleKind::kBlank), "a blank sample is never counted");
  check(one({}), "no record");
  check(one({absent("Baetidae")}), "nothing was found");
  check(one({n("Baetidae", 0)}), "nothing was found");
  check(one({unsure(n("Baetidae", 30), 0.4F)}), "too uncertain");
  check(one({unsure(absent("Baetidae"), 0.4F)}), "too uncertain");
}

TEST_CASE("uncertain records are left out and said; absences are silent") {
  const One made = one({n("Baetidae", 4), unsure(n("Asellidae", 30), 0.4F), unsure(n("Gammaridae", 3), 0.5F),
                        absent("Hydropsychidae")});
  CHECK(counted(made) == "2/7");
  CHECK(says(made.note(), "left out: 1 record too uncertain to use"));
}

TEST_CASE("counts are those of the share that was sorted, and the note says the share") {
  const One made = one({n("Baetidae", 4), n("Asellidae", 8)}, {}, SampleKind::kRoutine, 0.25);
  CHECK(counted(made) == "2/12");
  CHECK(says(made.note(), "counts are of the 25 % of the catch that was sorted"));
}

TEST_CASE("one taxon, one animal: what has no value says why") {
  const One made = one({n("Baetidae", 1)});
  CHECK(counted(made) == "1/1");
  CHECK(made.value(DiversityMetric::kShannon) == 0.0);
  CHECK_FALSE(made.value(DiversityMetric::kPielou));
  CHECK_FALSE(made.value(DiversityMetric::kMargalef));
  CHECK_FALSE(made.value(DiversityMetric::kCoverage));
  CHECK_FALSE(made.value(DiversityMetric::kRarefied));
  CHECK(says(made.note(), "no pielou: one taxon alone has no evenness"));
  CHECK(says(made.note(), "no margalef: one animal is too few"));
  CHECK(says(made.note(), "no rarefied: no sample has two animals"));
}

TEST_CASE("a thousand million animals of a kind are counted like any others") {
  const std::int64_t many = 1'000'000'000;
  const One made = one({n("Baetidae", many), n("Asellidae", many), n("Gammaridae", 1)});
  CHECK(counted(made) == "3/2000000001");
  CHECK(near(*made.value(DiversityMetric::kSimpson), 0.5, 1e-8));  // two halves and next to nothing
  CHECK(made.value(DiversityMetric::kRarefied) == 3.0);
  for (const DiversityMetric metric : kAllMetrics)
    if (const auto value = made.value(metric)) CHECK(std::isfinite(*value));
}

TEST_CASE("more animals than a number holds leave the richness") {
  const std::int64_t many = INT64_MAX / 2;
  const One made = one({n("Baetidae", many), n("Asellidae", many), n("Gammaridae", many)});
  CHECK(counted(made) == "3/");
  CHECK(says(made.note(), "more animals than can be added up"));
}

TEST_CASE("all samples are rarefied to the smallest of at least ten animals") {
  SurveyBuilder b;
  const auto site = b.site("S1", WaterKind::kStream);
  const auto tiny = b.sample(site, "2024-05-01", {n("Baetidae", 2), n("Asellidae", 1)});
  const auto small = b.sample(site, "2024-05-02", {n("Baetidae", 8), n("Asellidae", 4)});
  const auto large =
      b.sample(site, "2024-05-03", {n("Baetidae", 80), n("Asellidae", 40), n("Gammaridae", 3)});
  b.sample(site, "2024-05-04", {n("Baetidae", 11)}, SampleKind::kBlank);
  const DiversityTable t = diversity_of_samples(b.snapshot());
  CHECK(t.rarefied_n == 12);
  CHECK(t.smallest == small);
  CHECK(value_of(t, small, DiversityMetric::kRarefied) == 2.0);
  CHECK(value_of(t, large, DiversityMetric::kRarefied).has_value());
  CHECK_FALSE(value_of(t, tiny, DiversityMetric::kRarefied));
  CHECK(missing_reason(t, tiny, DiversityMetric::kRarefied) == "3 animals, fewer than the 12 to compare at");

  const DiversityTable given = diversity_of_samples(b.snapshot(), {.at_count = 3});
  CHECK(given.rarefied_n == 3);
  CHECK_FALSE(given.smallest.has_value());
  CHECK(value_of(given, tiny, DiversityMetric::kRarefied) == 2.0);
  CHECK_THROWS_AS(diversity_of_samples(b.snapshot(), {.at_count = 0}), Error);

  // Only small ones: the smallest with two animals.
  const DiversityTable early = diversity_of_samples(b.snapshot(), {.period = *parse_date("2024-05-01")});
  CHECK(early.rarefied_n == 3);
  CHECK_FALSE(value_of(early, large, DiversityMetric::kRichness));
  CHECK(missing_reason(early, large, DiversityMetric::kRichness) == "not of the days and seasons asked for");
}

TEST_CASE("the order of records changes nothing, to the last bit") {
  std::mt19937 random(7);
  const std::vector<std::string> names{"Baetidae",      "Baetis",         "Asellidae",  "Gammaridae",
                                       "Ephemeroptera", "Hydropsychidae", "glass worm", "Chironomidae"};
  for (int round = 0; round < 50; ++round) {
    std::vector<Found> found;
    for (int i = 0; i < 12; ++i) {
      Found f = n(names[random() % names.size()], 1 + static_cast<std::int64_t>(random() % 30));
      if (random() % 10 == 0) f = unsure(f, 0.3F);
      found.push_back(f);
    }
    const One before = one(found);
    std::shuffle(found.begin(), found.end(), random);
    const One after = one(found);
    for (const DiversityMetric metric : kAllMetrics) CHECK(before.value(metric) == after.value(metric));
    CHECK(before.note() == after.note());
  }
}

TEST_CASE("one thread or five give the same numbers, to the last bit") {
  SurveyBuilder b;
  std::mt19937 random(8);
  const std::vector<std::string> names{"Baetidae", "Asellidae", "Gammaridae", "Hydropsychidae",
                                       "Chironomidae"};
  const auto site = b.site("S1", WaterKind::kStream);
  for (int s = 0; s < 60'000; ++s) {
    std::vector<Found> found;
    for (const std::string& name : names)
      if (random() % 3 != 0) found.push_back(n(name, 1 + static_cast<std::int64_t>(random() % 30)));
    b.sample(site, "2024-05-03", found);
  }
  const DiversityTable alone = diversity_of_samples(b.snapshot(), {.threads = 1});
  const DiversityTable many = diversity_of_samples(b.snapshot(), {.threads = 5});
  CHECK(alone.rarefied_n == many.rarefied_n);
  std::size_t differ = 0;
  for (std::size_t s = 0; s < alone.samples.size(); ++s)
    for (const DiversityMetric metric : kAllMetrics)
      if (value_of(alone, SampleIndex(s), metric) != value_of(many, SampleIndex(s), metric)) ++differ;
  CHECK(differ == 0);
}

TEST_CASE("a survey without samples has an empty table") {
  const DiversityTable t = diversity_of_samples(Snapshot{});
  CHECK(t.samples.empty());
  CHECK(t.rarefied_n == 0);
}

TEST_CASE("every number has a name that reads back") {
  for (const DiversityMetric metric : kAllMetrics)
    CHECK(parse_diversity_metric(diversity_metric_name(metric)) == metric);
  CHECK_FALSE(parse_diversity_metric("beauty"));
}
