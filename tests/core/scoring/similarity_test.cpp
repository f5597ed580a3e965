// How alike two catches are: limits, symmetry, brute force, and names of different ranks.
#include "core/scoring/similarity.hpp"

#include <doctest/doctest.h>

#include <map>
#include <random>
#include <set>

#include "core/base/csv.hpp"
#include "core/base/embedded.hpp"
#include "core/reference/reference.hpp"
#include "core/scoring/sample_diversity.hpp"
#include "tests/core/scoring/survey_builder.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::core;
using namespace brookmark::test;

namespace {

SampleSimilarity compare(const SurveyBuilder& survey, SampleIndex a, SampleIndex b,
                         std::optional<Rank> rank = {}) {
  const std::vector<std::pair<SampleIndex, SampleIndex>> pair{{a, b}};
  return similarity_of(survey.snapshot(), pair, rank).at(0);
}

SampleSimilarity compare(const std::vector<Found>& a, const std::vector<Found>& b,
                         std::optional<Rank> rank = {}) {
  SurveyBuilder survey;
  const auto first = survey.stream_sample(a), second = survey.stream_sample(b);
  return compare(survey, first, second, rank);
}

bool says(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE(
    "similarity lies between nothing shared and all the same, is symmetric, and agrees with sums over "
    "names") {
  std::mt19937 random(11);
  const std::vector<std::string> names{"Baetidae",     "Asellidae", "Gammaridae", "Hydropsychidae",
                                       "Chironomidae", "Tipulidae", "Perlidae",   "glass worm"};
  for (int round = 0; round < 300; ++round) {
    std::map<std::string, std::int64_t> a, b;
    std::vector<Found> found_a, found_b;
    for (auto* side : {&a, &b})
      for (const std::string& name : names)
        if (random() % 2 == 0) {
          const auto count = static_cast<std::int64_t>(1 + random() % 50);
          (*side)[name] = count;
          (side == &a ? found_a : found_b).push_back(n(name, count));
        }
    if (a.empty() || b.empty()) continue;
    double common = 0, all = 0;
    std::size_t shared = 0;
    for (const std::string& name : names) {
      const std::int64_t x = a.contains(name) ? a[name] : 0, y = b.contains(name) ? b[name] : 0;
      common += static_cast<double>(std::min(x, y));
      all += static_cast<double>(x + y);
      if (x > 0 && y > 0) ++shared;
    }
    const SampleSimilarity ab = compare(found_a, found_b), ba = compare(found_b, found_a);
    CHECK(near(ab.bray_curtis.value(), 2 * common / all, 1e-15));  // whole numbers, one division
    CHECK(near(ab.sorensen.value(),
               2.0 * static_cast<double>(shared) / static_cast<double>(a.size() + b.size()), 1e-15));
    CHECK(ab.bray_curtis == ba.bray_curtis);
    CHECK(ab.sorensen == ba.sorensen);
    CHECK(*ab.bray_curtis >= 0);
    CHECK(*ab.bray_curtis <= 1);
    CHECK(compare(found_a, found_a).bray_curtis == 1.0);
    CHECK(compare(found_a, found_a).sorensen == 1.0);
  }
}

TEST_CASE("a coarser name in one sample and a finer one in the other cannot be told apart") {
  const SampleSimilarity pair =
      compare({n("Baetidae", 10), n("Asellidae", 5)}, {n("Baetis", 10), n("Asellidae", 5)});
  CHECK(pair.bray_curtis == 1.0);
  CHECK(pair.sorensen == 1.0);
  CHECK(says(pair.note, "1 name counted under a coarser one of the other sample"));
  // Two finer ones go together.
  CHECK(compare({n("Ephemeroptera", 10)}, {n("Baetidae", 4), n("Heptageniidae", 6)}).bray_curtis == 1.0);
  CHECK(compare({n("Ephemeroptera", 10)}, {n("Baetidae", 4), n("Heptageniidae", 6)}).taxa_b == 1);
}

TEST_CASE("at a rank the finer names are added up") {
  const SampleSimilarity pair =
      compare({n("Baetis", 10)}, {n("Baetidae", 54), n("Ephemeroptera", 6)}, Rank::kFamily);
  CHECK(pair.sorensen == 1.0);
  CHECK(near(pair.bray_curtis.value(), 20.0 / 64, 1e-15));
  // Six animals of ten left out: what remains is not the catch.
  const SampleSimilarity coarse =
      compare({n("Baetis", 10)}, {n("Baetidae", 4), n("Ephemeroptera", 6)}, Rank::kFamily);
  CHECK(coarse.sorensen == 1.0);
  CHECK_FALSE(coarse.bray_curtis.has_value());
  CHECK(says(coarse.note, "left out under coarser names"));
}

TEST_CASE("shares of the catch that were sorted are made up for, where they differ") {
  SurveyBuilder survey;
  const auto site = survey.site("S1", WaterKind::kStream);
  const auto quarter = survey.sample(site, "2024-05-01", {n("Baetidae", 5)}, SampleKind::kRoutine, 0.25);
  const auto whole = survey.sample(site, "2024-05-02", {n("Baetidae", 20)});
  CHECK(compare(survey, quarter, whole).bray_curtis == 1.0);
}

TEST_CASE("what cannot be compared says why") {
  SurveyBuilder survey;
  const auto site = survey.site("S1", WaterKind::kStream);
  const auto blank = survey.sample(site, "2024-05-01", {n("Baetidae", 5)}, SampleKind::kBlank);
  const auto counted = survey.sample(site, "2024-05-02", {n("Baetidae", 20)});
  const auto vague = survey.sample(site, "2024-05-03", {present("Baetidae")});
  const auto none = survey.sample(site, "2024-05-04", {absent("Baetidae")});
  const SampleSimilarity with_blank = compare(survey, counted, blank);
  CHECK_FALSE(with_blank.sorensen);
  CHECK(says(with_blank.note, "a blank sample is never counted"));
  CHECK_FALSE(compare(survey, counted, none).sorensen);
  const SampleSimilarity with_vague = compare(survey, counted, vague);
  CHECK(with_vague.sorensen == 1.0);
  CHECK_FALSE(with_vague.bray_curtis);
  CHECK(says(with_vague.note, "not counts"));
  CHECK(sample_pairs(survey.snapshot(), {}, *parse_date("2024-05-04")).size() == 3);
  CHECK(sample_pairs(survey.snapshot(), {}, *parse_date("2024-05-03")).size() == 1);
  CHECK_FALSE(bray_curtis_similarity({}, {}));
  CHECK_FALSE(sorensen_similarity(0, 0, 0));
}

TEST_CASE("every number that is given has its formula and its source in the table of the help") {
  const Table table = read_csv(reference_file("diversity_metrics.csv"), "diversity_metrics.csv");
  std::set<std::string> told;
  for (const TableRow& row : table.rows) {
    CHECK(told.insert(row.cells[*table.find("metric")]).second);
    CHECK_FALSE(row.cells[*table.find("formula")].empty());
    CHECK_FALSE(row.cells[*table.find("source_key")].empty());
  }
  for (std::size_t i = 0; i < kDiversityMetrics; ++i)
    CHECK(told.contains(diversity_metric_name(static_cast<DiversityMetric>(i))));
  CHECK(told.contains("bray_curtis"));
  CHECK(told.contains("sorensen"));
}
