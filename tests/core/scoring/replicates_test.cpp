// Replicates of one visit, the sites' confidence, and what must hold for any sample.
#include <doctest/doctest.h>

#include <cmath>

#include "core/base/random.hpp"
#include "core/scoring/assessment.hpp"
#include "tests/core/scoring/survey_builder.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::test;
namespace core = brookmark::core;
using core::ConfidenceBasis;
using core::ConfidenceNote;

namespace {

bool noted(const core::SampleConfidence& c, ConfidenceNote note) {
  return (c.notes & static_cast<std::uint32_t>(note)) != 0;
}

// Samples of one visit: the first routine, the others replicates; counts enough that none is ever missed.
core::Snapshot visit(const std::vector<std::vector<std::string>>& samples,
                     const std::string& odd_protocol = "kick") {
  SurveyBuilder b;
  const SiteIndex site = b.site("S1", WaterKind::kStream);
  for (std::size_t i = 0; i < samples.size(); ++i) {
    std::vector<Found> found;
    for (const std::string& name : samples[i]) found.push_back(n(name, 100));
    b.sample(site, "2024-05-03", found, i == 0 ? SampleKind::kRoutine : SampleKind::kReplicate);
  }
  core::Snapshot s = b.snapshot();
  s.samples.visit.assign(s.samples.size(), core::VisitIndex(0));
  s.samples.protocol = {};
  for (std::size_t i = 0; i < samples.size(); ++i) s.samples.protocol.append(i == 2 ? odd_protocol : "kick");
  return s;
}

core::SampleConfidence first(const core::Snapshot& s, std::uint32_t draws = 1000) {
  return core::confidence_of(s, *core::find_method("bmwp-a"), {.draws = draws}).metrics[0][0];
}

}  // namespace

TEST_CASE("replicates: Student's t about their mean, and the classes under it") {
  // BMWP 10, 10 + 3 and 10 + 6: mean 13, deviation 3, standard error sqrt(3); t with 2 degrees is 4.303 at 95 %.
  // Rounded to whole points 15 and more is the fourth class, below the fifth: P(t > 1.5 / sqrt(3)) with 2 degrees is
  // 1/2 - x / (2 sqrt(2 + x^2)), x = 0.8660: 0.2389; of that 0.0011 lies beyond 49.5, in the classes above.
  const core::Snapshot s =
      visit({{"Heptageniidae"}, {"Heptageniidae", "Asellidae"}, {"Heptageniidae", "Gammaridae"}});
  const core::ConfidenceTable table = core::confidence_of(s, *core::find_method("bmwp-a"));
  for (const core::SampleConfidence& c : table.metrics[0]) {
    CHECK(c.basis == ConfidenceBasis::kReplicates);
    CHECK(c.replicates == 3);
    CHECK(near(c.mean, 13, 1e-12));
    CHECK(c.low == 5);  // 13 -+ 4.303 sqrt(3) is 5.547 to 20.453: outwards to whole points
    CHECK(c.high == 21);
    CHECK(near(c.probability_of(4), 0.2378, 0.001));  // to one step of 1 / 1000
    CHECK(near(c.probability_of(5), 0.7611, 0.001));
    CHECK(c.likeliest_rank == 5);
  }
  // The draws for comparisons follow the same distribution.
  constexpr std::uint32_t kDraws = 20'000;
  double above = 0;
  for (const double v :
       core::draw_values(s, *core::find_method("bmwp-a"), 0, SampleIndex(1), {.draws = kDraws}))
    above += v >= 14.5 ? 1.0 / kDraws : 0;
  CHECK(near(above, 0.2389, 4 * std::sqrt(0.2389 * 0.7611 / kDraws)));
}

TEST_CASE("replicates that cannot measure a spread leave it to the counts, and it says so") {
  const core::SampleConfidence two = first(visit({{"Heptageniidae"}, {"Heptageniidae", "Asellidae"}}));
  CHECK(two.basis != ConfidenceBasis::kReplicates);
  CHECK(noted(two, ConfidenceNote::kFewReplicates));
  const core::SampleConfidence alike = first(visit({{"Baetidae"}, {"Baetidae"}, {"Baetidae"}}));
  CHECK(alike.basis != ConfidenceBasis::kReplicates);
  CHECK(noted(alike, ConfidenceNote::kReplicatesAgree));
  const core::SampleConfidence other_net = first(
      visit({{"Heptageniidae"}, {"Heptageniidae", "Asellidae"}, {"Heptageniidae", "Gammaridae"}}, "sweep"));
  CHECK(noted(other_net, ConfidenceNote::kFewReplicates));
  const core::SampleConfidence empty = first(visit({{"Heptageniidae"}, {"Heptageniidae", "Asellidae"}, {}}));
  CHECK(noted(empty, ConfidenceNote::kFewReplicates));
}

TEST_CASE("three replicates with a value, one of them out of scope: it says what is missing") {
  // The family biotic index asks for a hundred animals that it scores; the third has sixty.
  SurveyBuilder b;
  const SiteIndex site = b.site("S1", WaterKind::kStream);
  for (const std::int64_t count : {100, 90, 30})
    b.sample(site, "2024-05-03", {n("Baetidae", count), n("Asellidae", 20), n("Elmidae", 10)},
             count == 100 ? SampleKind::kRoutine : SampleKind::kReplicate);
  core::Snapshot s = b.snapshot();
  s.samples.visit.assign(s.samples.size(), core::VisitIndex(0));
  const core::Method& method = *core::find_method("family-biotic-index");
  const core::ConfidenceTable table = core::confidence_of(s, method);
  REQUIRE(core::score_samples(s, method).metrics[0][2].has_value);
  CHECK(core::confidence_text(table.metrics[0][0])
            .find("fewer than 3 samples of the visit with a value in the method's scope") !=
        std::string::npos);
  CHECK(core::confidence_text(table.metrics[0][2])
            .find("fewer than 3 samples of the visit with a value outside the method's scope") !=
        std::string::npos);
}

TEST_CASE("a sample of its own far from the replicates' mean is told to lie outside its interval") {
  // BMWP 10, 13 and 16 about 13; t with 2 degrees is 0.8165 at 50 %: 13 -+ 1.414, to whole points 11 to 15.
  const core::Snapshot s =
      visit({{"Heptageniidae"}, {"Heptageniidae", "Asellidae"}, {"Heptageniidae", "Gammaridae"}});
  const core::ConfidenceTable table = core::confidence_of(s, *core::find_method("bmwp-a"), {.level = 0.5});
  for (const core::SampleConfidence& c : table.metrics[0]) {
    CHECK(c.low == 11);
    CHECK(c.high == 15);
  }
  CHECK(noted(table.metrics[0][0], ConfidenceNote::kValueBeyond));
  CHECK_FALSE(noted(table.metrics[0][1], ConfidenceNote::kValueBeyond));
}

TEST_CASE("a site's confidence is that of the sample behind it") {
  SurveyBuilder b;
  const SiteIndex a = b.site("A", WaterKind::kStream), c = b.site("C", WaterKind::kStream);
  b.sample(a, "2023-05-03", {n("Asellidae", 60)});
  const SampleIndex newest =
      b.sample(a, "2024-05-03", {n("Heptageniidae", 2), n("Asellidae", 60), n("Gammaridae", 30)});
  const core::Method& method = *core::find_method("bmwp-a");
  const core::ScoreTable scores = core::score_samples(b.snapshot(), method);
  core::CatchmentNesting nesting;
  core::Assessment assessment =
      core::assess(b.snapshot(), scores, 1, nesting, *core::parse_date("2024-12-31"));
  CHECK(assessment.confidence.empty());
  core::add_confidence(assessment, b.snapshot(), {.draws = 300});
  const core::SampleConfidence wanted =
      core::confidence_of(b.snapshot(), method, {.draws = 300}).metrics[1][newest.value()];
  CHECK(assessment.confidence[a.value()].low == wanted.low);
  REQUIRE_FALSE(wanted.class_probability.empty());
  CHECK(assessment.confidence[a.value()].class_probability == wanted.class_probability);
  CHECK_FALSE(assessment.confidence[c.value()].has_interval);
}

TEST_CASE(
    "a taxon scored below the mean never raises a mean score, and doubled counts leave a weighted mean") {
  const core::Method& bmwp = *core::find_method("bmwp-a");
  const core::Method& fbi = *core::find_method("family-biotic-index");
  core::Random random(3, 3);
  const auto member = [&](const core::Method& method) -> const core::ScoreUnit& {
    return method.units[random.below(method.units.size())];
  };
  int lower = 0;
  for (int i = 0; i < 300; ++i) {
    std::vector<Found> found, doubled;
    for (std::uint64_t k = 0; k < 1 + random.below(8); ++k)
      found.push_back(n(member(bmwp).members.front(), 5));
    const double before = stream_score("bmwp-a", found, 1).value;
    const core::ScoreUnit& added = member(bmwp);
    found.push_back(n(added.members.front(), 1));
    const core::SampleScore after = stream_score("bmwp-a", found, 1);
    if (added.score <= before) {
      if (after.value > before) FAIL_CHECK("raised from ", before, " to ", after.value, " by ", added.name);
      ++lower;
    }
    found.clear();
    for (std::uint64_t k = 0; k < 1 + random.below(8); ++k) {
      found.push_back(n(member(fbi).members.front(), 1 + static_cast<std::int64_t>(random.below(90))));
      doubled.push_back(n(found.back().name, 2 * found.back().min));
    }
    if (stream_score("family-biotic-index", found).value !=
        stream_score("family-biotic-index", doubled).value)
      FAIL_CHECK("doubling changed a weighted mean");
  }
  CHECK(lower > 50);
}
