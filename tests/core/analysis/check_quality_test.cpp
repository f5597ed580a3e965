// Doubts about the catch itself: counts, animals that do not belong, classes that jump.
#include <doctest/doctest.h>

#include "core/reference/reference.hpp"
#include "core/taxa/checklist.hpp"
#include "tests/core/analysis/findings.hpp"
#include "tests/core/scoring/survey_builder.hpp"

namespace core = brookmark::core;
namespace test = brookmark::test;
using core::SampleKind;
using core::Severity;
using core::WaterKind;
using test::count_of;
using test::find;
using test::n;
using test::present;

namespace {

// As the check reads it: with visits, which the builder leaves out.
std::vector<core::Finding> findings_of(const test::SurveyBuilder& b) {
  return test::check(b.snapshot());
}

const char* const kJump = "class jumps for one visit";
const char* const kWater = "animal outside its kind of water";

// Families that score 10, and that score 3 or less, in the list of 1978.
const std::vector<test::Found> kRich = {
    present("Heptageniidae"),    present("Leuctridae"),      present("Perlodidae"),
    present("Goeridae"),         present("Leptoceridae"),    present("Lepidostomatidae"),
    present("Sericostomatidae"), present("Ephemerellidae"),  present("Ephemeridae"),
    present("Perlidae"),         present("Chloroperlidae"),  present("Capniidae"),
    present("Taeniopterygidae"), present("Brachycentridae"), present("Odontoceridae"),
    present("Molannidae")};
const std::vector<test::Found> kPoor = {present("Oligochaeta"), present("Chironomidae"),
                                        present("Asellidae")};

}  // namespace

TEST_CASE("a count that nobody can have counted is asked about and kept") {
  test::SurveyBuilder b;
  b.stream_sample({n("Gammarus", 1'000'000'000), n("Baetis", 100'000)});
  const auto findings = findings_of(b);
  const auto found = find(findings, "improbable count", "sample sample 0");
  REQUIRE(found.has_value());
  CHECK(found->severity == Severity::kWarning);
  CHECK(found->text.find("1000000000 Gammarus") != std::string::npos);
  CHECK(count_of(findings, "improbable count") == 1);  // 100,000 themselves are not above the limit
}

TEST_CASE("a count more than ten times any other of its taxon is out of line") {
  const auto with = [](std::int64_t largest, std::size_t others) {
    test::SurveyBuilder b;
    for (std::size_t i = 0; i < others; ++i)
      b.stream_sample({n("Gammarus", 3 + static_cast<std::int64_t>(i))});
    b.stream_sample({n("Gammarus", largest), n("Baetis", 5000)});
    return findings_of(b);
  };
  const auto found = find(with(71, 5), "count out of line", "sample sample 5");  // the next is 7
  REQUIRE(found.has_value());
  CHECK(found->text.find(
            "71 Gammarus: more than ten times the next largest of the survey's 6 counts of it (7)") !=
        std::string::npos);
  CHECK(count_of(with(70, 5), "count out of line") == 0);   // ten times is not more than ten times
  CHECK(count_of(with(710, 4), "count out of line") == 0);  // too few others to compare with
  CHECK(count_of(with(71, 5), "count out of line") == 1);   // Baetis has no other count
}

TEST_CASE("classes, presences and absences are no counts to be doubted") {
  test::SurveyBuilder b;
  for (int i = 0; i < 8; ++i) b.stream_sample({n("Gammarus", 1)});
  b.stream_sample({test::letter("Gammarus", 1'000'000, core::RecordColumns::kOpen), test::absent("Baetis")});
  const auto findings = findings_of(b);
  CHECK(count_of(findings, "count out of line") == 0);
  CHECK(count_of(findings, "improbable count") == 0);
}

TEST_CASE("large counts that mostly end in 0 are called rounded") {
  const auto rounded = [](std::size_t tens, std::size_t others) {
    test::SurveyBuilder b;
    for (std::size_t i = 0; i < tens; ++i) b.stream_sample({n("Gammarus", 30)});
    for (std::size_t i = 0; i < others; ++i) b.stream_sample({n("Gammarus", 31)});
    return count_of(findings_of(b), "rounded counts");
  };
  CHECK(rounded(11, 9) == 1);
  CHECK(rounded(10, 10) == 0);  // not more than a half
  CHECK(rounded(19, 0) == 0);   // fewer than 20 of them
}

TEST_CASE("animals of the current in a pond are asked about, those of ponds in a stream are noted") {
  test::SurveyBuilder b;
  const auto pond = b.site("P1", WaterKind::kPond), lake = b.site("P2", WaterKind::kLakeMargin),
             stream = b.site("P3", WaterKind::kStream), ditch = b.site("P4", WaterKind::kDitch);
  b.sample(pond, "2024-05-01", {present("Simulium"), present("Daphnia"), test::absent("Perlidae")});
  b.sample(lake, "2024-05-01", {present("Simulium")});
  b.sample(stream, "2024-05-01", {present("Simulium"), present("Chaoborus")});
  b.sample(ditch, "2024-05-01", {present("Simulium"), present("Chaoborus")});
  const auto findings = findings_of(b);
  CHECK(count_of(findings, kWater) == 2);
  const auto in_pond = find(findings, kWater, "sample sample 0");
  REQUIRE(in_pond.has_value());
  CHECK(in_pond->severity == Severity::kWarning);
  CHECK(in_pond->text.find(
            "Simulium lives in running water as a rule (common practice, no source), and this is a "
            "pond") != std::string::npos);
  const auto in_stream = find(findings, kWater, "sample sample 2");
  REQUIRE(in_stream.has_value());
  CHECK(in_stream->severity == Severity::kNote);
  CHECK(in_stream->text.find("Chaoborus lives in still water") != std::string::npos);
}

TEST_CASE("the table of kinds of water names listed taxa once each, as common practice") {
  std::size_t running = 0;
  for (const core::KindOfWater& kind : core::kinds_of_water()) {
    CAPTURE(kind.taxon);
    REQUIRE(core::checklist().find(kind.taxon) != nullptr);
    CHECK(core::checklist().find(kind.taxon)->name == kind.taxon);
    CHECK(kind.source_key == "common-practice");
    running += kind.running ? 1 : 0;
    CHECK(std::count_if(core::kinds_of_water().begin(), core::kinds_of_water().end(),
                        [&](const auto& other) { return other.taxon == kind.taxon; }) == 1);
  }
  CHECK(running > 0);
  CHECK(running < core::kinds_of_water().size());
}

TEST_CASE("a class two bands off both neighbours in time is asked about, a lasting change is not") {
  const auto history = [](const std::vector<const std::vector<test::Found>*>& catches) {
    test::SurveyBuilder b;
    const auto site = b.site("S1", WaterKind::kStream);
    int year = 2015;
    for (const auto* found : catches) b.sample(site, std::to_string(year++) + "-05-01", *found);
    return findings_of(b);
  };
  const auto jumped = history({&kRich, &kPoor, &kRich});
  const auto found = find(jumped, kJump, "sample sample 1");
  REQUIRE(found.has_value());
  CHECK(found->severity == Severity::kWarning);
  CHECK(found->text.find("on 2015-05-01") != std::string::npos);
  CHECK(found->text.find("on 2017-05-01") != std::string::npos);
  CHECK(found->text.find("the class is kept") != std::string::npos);
  CHECK(count_of(jumped, kJump) == 1);
  CHECK(count_of(history({&kPoor, &kRich, &kPoor}), kJump) == 1);  // upwards as well
  CHECK(count_of(history({&kRich, &kPoor, &kPoor}), kJump) == 0);  // it stayed
  CHECK(count_of(history({&kRich, &kRich, &kPoor}), kJump) == 0);  // nobody knows yet whether it stays
  CHECK(count_of(history({&kPoor}), kJump) == 0);
}

TEST_CASE("replicates of one visit that share less than half are asked about") {
  // Bray-Curtis similarity by hand: 2 * min / (sum of both).
  const auto visit = [](const std::vector<test::Found>& one, const std::vector<test::Found>& other,
                        SampleKind kind = SampleKind::kReplicate) {
    test::SurveyBuilder b;
    const auto site = b.site("S1", WaterKind::kStream);
    b.sample(site, "2024-05-01", one);
    b.sample(site, "2024-05-01", other, kind);
    core::Snapshot survey = b.snapshot();
    survey.samples.visit[1] = survey.samples.visit[0];
    return test::check(survey);
  };
  const std::string apart = "replicates disagree";
  // 2 * 10 / (40 + 40) = 0.25
  const auto found =
      find(visit({n("Gammarus", 30), n("Baetis", 10)}, {n("Baetis", 40)}), apart, "sample sample 1");
  REQUIRE(found.has_value());
  CHECK(found->severity == Severity::kWarning);
  CHECK(found->text.find("sample sample 0 of the same visit") != std::string::npos);
  CHECK(found->text.find("Bray-Curtis similarity 0.25") != std::string::npos);
  // 2 * 20 / (40 + 40) = 0.5 is enough
  CHECK(count_of(visit({n("Gammarus", 20), n("Baetis", 20)}, {n("Baetis", 40)}), apart) == 0);
  // 19 animals say too little
  CHECK(count_of(visit({n("Gammarus", 19)}, {n("Baetis", 40)}), apart) == 0);
  // not counted: 2 * 1 / (3 + 3) of five taxa in all, then of four
  CHECK(count_of(visit({present("Gammarus"), present("Sialis"), present("Physa")},
                       {present("Gammarus"), present("Caenis"), present("Leuctra")}),
                 apart) == 1);
  CHECK(count_of(visit({present("Sialis"), present("Physa")}, {present("Caenis"), present("Leuctra")}),
                 apart) == 0);
  // two routine samples of a visit, or a blank, are no replicates
  CHECK(count_of(visit({n("Gammarus", 40)}, {n("Baetis", 40)}, SampleKind::kRoutine), apart) == 0);
  CHECK(count_of(visit({n("Gammarus", 40)}, {n("Baetis", 40)}, SampleKind::kBlank), apart) == 0);
}

TEST_CASE("replicates two classes apart are asked about, method by method") {
  test::SurveyBuilder b;
  const auto site = b.site("S1", WaterKind::kStream);
  b.sample(site, "2024-05-01", kRich);
  b.sample(site, "2024-05-01", kPoor, SampleKind::kReplicate);
  core::Snapshot survey = b.snapshot();
  const std::string apart = "replicates in different classes";
  CHECK(count_of(test::check(survey), apart) == 0);  // of two visits
  survey.samples.visit[1] = survey.samples.visit[0];
  const auto found = find(test::check(survey), apart, "sample sample 1");
  REQUIRE(found.has_value());
  CHECK(found->text.find("two classes or more apart") != std::string::npos);
  CHECK(found->text.find("Neither class should be relied on alone") != std::string::npos);
}

TEST_CASE("a sample with only unlisted names is asked about") {
  test::SurveyBuilder b;
  b.own_taxon("wriggler", "");
  b.own_taxon("Baetis x", "Baetis");
  b.stream_sample({present("wriggler")});
  b.stream_sample({present("wriggler"), present("Baetis x")});
  b.stream_sample({test::absent("wriggler")});
  const auto findings = findings_of(b);
  const auto found = find(findings, "only unlisted names", "sample sample 0");
  REQUIRE(found.has_value());
  CHECK(found->text.find("--name WRITTEN=ACCEPTED") != std::string::npos);
  CHECK(count_of(findings, "only unlisted names") == 1);
}
