#include <doctest/doctest.h>

#include <algorithm>

#include "core/analysis/check.hpp"
#include "tests/core/analysis/findings.hpp"
#include "tests/core/intake/small_survey.hpp"

namespace core = brookmark::core;
namespace test = brookmark::test;
using core::Severity;
using test::check;
using test::count_of;
using test::find;
using test::text_of;

namespace {

// A sample at S1 on this day; call in order of date.
void add_day(core::Snapshot& survey, const std::string& day) {
  test::add_visit(survey, "visit " + day, 0, day);
  test::add_sample(survey, "S1-" + day, survey.visits.size() - 1);
  test::add_record(survey, 0, 1);
}

// The small survey, with the samples of site S2 given by day behind those of S1.
core::Snapshot sampled_on(const std::vector<std::string>& s1, const std::vector<std::string>& s2) {
  core::Snapshot survey = test::small_survey();
  for (const std::string& day : s1) add_day(survey, day);
  for (const std::string& day : s2) {
    test::add_visit(survey, "second visit " + day, 1, day);
    test::add_sample(survey, "S2-" + day, survey.visits.size() - 1);
    test::add_record(survey, 0, 1);
  }
  return survey;
}

}  // namespace

TEST_CASE("a site last sampled more than two years before the newest sample is noted with its date") {
  // S1 was sampled first on 2024-05-03.
  const auto late = check(sampled_on({}, {"2026-05-04"}));
  const auto old = find(late, "site not sampled lately", "site S1");
  REQUIRE_MESSAGE(old.has_value(), text_of(late));
  CHECK(old->severity == Severity::kNote);
  CHECK(old->text.rfind("Last sampled 2024-05-03, ", 0) == 0);
  CHECK(old->text.find("2026-05-04") != std::string::npos);
  CHECK_FALSE(find(late, "site not sampled lately", "site S2").has_value());
  CHECK_FALSE(find(check(sampled_on({}, {"2026-05-03"})), "site not sampled lately", "site S1").has_value());
  CHECK_FALSE(find(check(sampled_on({"2025-05-03"}, {"2026-05-04"})), "site not sampled lately", "site S1")
                  .has_value());
}

TEST_CASE("a blank is no look at the water of a site") {
  core::Snapshot survey = sampled_on({"2026-05-03"}, {"2026-05-04"});
  survey.samples.kind[1] = core::SampleKind::kBlank;
  CHECK(find(check(survey), "site not sampled lately", "site S1").has_value());
}

TEST_CASE("a retired site is noted with the day it was last sampled") {
  core::Snapshot survey = test::small_survey();
  survey.sites.status = {core::SiteStatus::kRetired, core::SiteStatus::kRetired};
  const auto findings = check(survey);
  REQUIRE(find(findings, "retired site", "site S1").has_value());
  CHECK(find(findings, "retired site", "site S1")->text.find("last sampled 2024-05-03") != std::string::npos);
  CHECK(find(findings, "site without samples", "site S2")->text.find("retired") != std::string::npos);
}

TEST_CASE("a site on the other side of the world is found, and only that one") {
  core::Snapshot survey = test::small_survey();
  test::add_site(survey, "S3", {60.02, 10.00}, core::WaterKind::kStream);   // latitude first
  test::add_site(survey, "S4", {10.00, 68.90}, core::WaterKind::kStream);   // 8.9 degrees north: 990 km
  test::add_site(survey, "S5", {10.00, -60.00}, core::WaterKind::kStream);  // 120 degrees south
  test::add_site(survey, "S6", {10.02, 60.01}, core::WaterKind::kStream);
  test::add_site(survey, "S7", core::kUnplaced, core::WaterKind::kStream);
  const auto findings = check(survey);
  CHECK(count_of(findings, "site far from the others") == 2);
  const auto exchanged = find(findings, "site far from the others", "site S3");
  REQUIRE_MESSAGE(exchanged.has_value(), text_of(findings));
  CHECK(exchanged->severity == Severity::kWarning);
  CHECK(exchanged->text.find("Latitude and longitude seem to be exchanged") != std::string::npos);
  REQUIRE(find(findings, "site far from the others", "site S5").has_value());
  CHECK(find(findings, "site far from the others", "site S5")->text.find("exchanged?") != std::string::npos);
}

TEST_CASE("of two sites far apart each is far from the other; sites across the 180th meridian are near") {
  core::Snapshot survey = test::small_survey();
  survey.sites.position[1] = {60, 10};
  CHECK(count_of(check(survey), "site far from the others") == 2);
  survey.sites.position = {{179.99, -20}, {-179.99, -20}};
  CHECK(count_of(check(survey), "site far from the others") == 0);
}

TEST_CASE("catchments that overlap in part are found, those that nest are not") {
  core::Snapshot survey = test::small_survey();  // C1 reaches from 9.95 to 10.05 E, from 59.95 to 60.05 N
  survey.catchments.push_back({"key-C2", "C2", "", test::square(9.99, 59.99, 0.02)});
  CHECK(count_of(check(survey), "catchments overlap in part") == 0);
  survey.catchments.push_back({"key-C3", "C3", "", test::square(10.03, 60.0, 0.04)});
  const auto findings = check(survey);
  CHECK(count_of(findings, "catchments overlap in part") == 1);
  const auto overlap = find(findings, "catchments overlap in part", "catchment C1");
  REQUIRE_MESSAGE(overlap.has_value(), text_of(findings));
  CHECK(overlap->severity == Severity::kWarning);
  CHECK(overlap->text.find("catchment C3 in part") != std::string::npos);
}

TEST_CASE("samples in which one group alone was recorded are one note for the whole survey") {
  core::Snapshot survey = test::small_survey();
  const auto taxon = [&](const std::string& name, core::Rank rank, std::size_t parent = SIZE_MAX) {
    const auto t = test::add_taxon(survey, "checklist:" + name, name, true,
                                   parent == SIZE_MAX ? core::TaxonIndex::none() : core::TaxonIndex(parent));
    survey.taxa.rank[t] = rank;
    return t;
  };
  const auto insects = taxon("Insecta", core::Rank::kClass);
  const auto odonata = taxon("Odonata", core::Rank::kOrder, insects);
  const auto demoiselle = taxon("Calopteryx", core::Rank::kGenus, odonata);
  const auto hawker = taxon("Aeshna", core::Rank::kGenus, odonata);
  const auto stonefly = taxon("Plecoptera", core::Rank::kOrder, insects);
  const auto snails = taxon("Gastropoda", core::Rank::kClass);
  const auto pond_snail = taxon("Lymnaea", core::Rank::kGenus, snails);
  const auto animals = taxon("Mollusca", core::Rank::kPhylum);
  const auto sample = [&](const std::string& code, const std::vector<std::size_t>& taxa,
                          core::SampleKind kind = core::SampleKind::kRoutine) {
    test::add_sample(survey, code, 1, kind);
    for (const std::size_t t : taxa) test::add_record(survey, t, 2);
  };
  sample("S2-A", {demoiselle, stonefly});  // insects of two orders
  sample("S2-B", {demoiselle, pond_snail});
  sample("S2-C", {});
  sample("S2-D", {demoiselle}, core::SampleKind::kBlank);
  sample("S2-E", {animals});
  CHECK(count_of(check(survey), "only one group recorded") == 0);

  sample("S2-F", {demoiselle, hawker});
  test::add_record(survey, pond_snail, 0);  // looked for and absent
  auto findings = check(survey);
  const auto one = find(findings, "only one group recorded", "sample S2-F");
  REQUIRE_MESSAGE(one.has_value(), text_of(findings));
  CHECK(one->severity == Severity::kNote);
  CHECK(
      one->text ==
      "In this sample only Odonata were recorded; methods that need the whole community cannot be read from "
      "this sample.");

  sample("S2-G", {odonata});
  sample("S2-H", {pond_snail, snails});
  findings = check(survey);
  CHECK(count_of(findings, "only one group recorded") == 1);
  CHECK(find(findings, "only one group recorded", "sample S2-F")->text ==
        "In 3 samples, this one first, only one group was recorded: Odonata (2) and Gastropoda (1); methods "
        "that need the whole community cannot be read from these samples.");
}
