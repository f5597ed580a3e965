#include "core/analysis/check.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "tests/core/analysis/findings.hpp"
#include "tests/core/intake/small_survey.hpp"

namespace core = brookmark::core;
namespace test = brookmark::test;
using core::Severity;
using test::check;
using test::find;
using test::text_of;

namespace {

const core::Date kToday = *core::parse_date("2024-12-31");

// One measurement at S2, and what is found there.
std::vector<core::Finding> measured(const std::string& quantity, const std::string& value,
                                    const std::string& unit) {
  core::Snapshot survey = test::small_survey();
  test::add_measurement(survey, 1, quantity, value, unit);
  auto findings = check(survey);
  std::erase_if(findings,
                [](const core::Finding& f) { return f.what.find("measurement") == std::string::npos; });
  return findings;
}

}  // namespace

TEST_CASE("a sound survey has one finding: a site where nothing was sampled yet") {
  const auto findings = check(test::small_survey());
  REQUIRE_MESSAGE(findings.size() == 1, text_of(findings));
  CHECK(findings[0].what == "site without samples");
  CHECK(findings[0].where == "site S2");
  CHECK(findings[0].severity == Severity::kNote);
}

TEST_CASE("a proposed site is not missed for its samples") {
  core::Snapshot survey = test::small_survey();
  survey.sites.status[1] = core::SiteStatus::kProposed;
  CHECK(check(survey).empty());
}

TEST_CASE("an empty survey has no findings") {
  CHECK(check(core::Snapshot{}).empty());
}

TEST_CASE("the worst finding comes first") {
  core::Snapshot survey = test::small_survey();
  survey.visits.start[0].date = kToday;
  survey.visits.start[1].date = {kToday.days + 1};
  const auto findings = check(survey);
  REQUIRE(findings.size() >= 2);
  CHECK(std::is_sorted(findings.begin(), findings.end(),
                       [](const auto& a, const auto& b) { return a.severity > b.severity; }));
  CHECK(findings[0].what == "date in the future");
  CHECK(findings[0].where == "visit to site S2 on 2025-01-01");
  CHECK_FALSE(find(findings, "date in the future", "visit to site S1 on 2024-12-31").has_value());
}

TEST_CASE("an oxygen saturation of 13 % is out of line, and is no error") {
  const auto findings = measured("oxygen", "13", "%");
  REQUIRE(findings.size() == 1);
  CHECK(findings[0].what == "measurement out of line");
  CHECK(findings[0].severity == Severity::kWarning);
  CHECK(findings[0].where == "visit to site S2 on 2024-05-04");
  CHECK(findings[0].text.find("oxygen 13 %") != std::string::npos);
  CHECK(findings[0].text.find("20 to 200") != std::string::npos);
  CHECK(measured("oxygen saturation", "110", "%").empty());
  CHECK(measured("Oxyg", "201", "%").size() == 1);
}

TEST_CASE("each quantity has its limits, in the unit it was measured in") {
  CHECK(measured("pH", "15", "").at(0).severity == Severity::kError);
  CHECK(measured("pH", "-1", "").at(0).what == "impossible measurement");
  CHECK(measured("pH", "14", "").at(0).severity == Severity::kWarning);
  CHECK(measured("pH", "3", "").at(0).severity == Severity::kWarning);
  CHECK(measured("pH", "11", "").at(0).text.find("usually 4 to 10;") != std::string::npos);
  CHECK(measured("pH", "10", "").empty());
  CHECK(measured("pH", "4", "").empty());
  CHECK(measured("Temp", "41", "\u00b0C").size() == 1);
  CHECK(measured("water temperature", "-2", "degC").at(0).severity == Severity::kWarning);
  CHECK(measured("temperature", "40", "C").empty());
  CHECK(measured("dissolved oxygen", "26", "mg/l").at(0).severity == Severity::kWarning);
  CHECK(measured("dissolved oxygen", "-1", "mg/L").at(0).severity == Severity::kError);
  CHECK(measured("oxygen", "13", "mg/l").empty());
  CHECK(measured("conductivity", "100001", "\u00b5S/cm").size() == 1);
  CHECK(measured("conductivity", "315", "\u03bcS/cm").empty());
  CHECK(measured("conductivity", "101", "mS/cm").size() == 1);  // 101000 uS/cm
  CHECK(measured("conductivity", "99", "mS/cm").empty());       // 99000 uS/cm
}

TEST_CASE("a finding on a measurement says that its limits are common practice") {
  for (const auto& finding : {measured("pH", "15", "").at(0), measured("pH", "11", "").at(0),
                              measured("oxygen", "-1", "mg/l").at(0), measured("oxygen", "13", "%").at(0)})
    CHECK(finding.text.find("common practice, without a published source") != std::string::npos);
  CHECK(measured("oxygen", "-1", "mg/l").at(0).text.find("(0 mg/l or more;") != std::string::npos);
}

TEST_CASE("a quantity or unit without limits is not judged") {
  CHECK(measured("ammonium", "9999", "mg/l").empty());
  CHECK(measured("oxygen", "500", "mmol").empty());
  CHECK(measured("oxygen", "13", "").empty());  // percent or mg/l? unknown
}

TEST_CASE("a limit of detection is not judged as a value") {
  core::Snapshot survey = test::small_survey();
  test::add_measurement(survey, 1, "pH", "99", "");
  survey.measurements.below_detection.back() = true;
  CHECK(check(survey).size() == 1);
}

TEST_CASE(
    "a sample without records is found, an empty blank is as it should be, a blank with animals is not") {
  core::Snapshot survey = test::small_survey();
  test::add_sample(survey, "S2-A", 1);
  test::add_sample(survey, "S2-B", 1, core::SampleKind::kBlank);
  test::add_sample(survey, "S2-C", 1, core::SampleKind::kBlank);
  test::add_record(survey, 0, 2);
  test::add_sample(survey, "S2-D", 1, core::SampleKind::kBlank);
  test::add_record(survey, 0, 0);  // looked for and absent
  const auto findings = check(survey);
  CHECK(find(findings, "sample without records", "sample S2-A").has_value());
  CHECK_FALSE(find(findings, "sample without records", "sample S2-B").has_value());
  CHECK(find(findings, "animals in a blank", "sample S2-C").has_value());
  CHECK_FALSE(find(findings, "animals in a blank", "sample S2-D").has_value());
}

TEST_CASE("the same taxon twice in one sample is found, but not its larvae beside its adults") {
  core::Snapshot survey = test::small_survey();
  test::add_record(survey, 0, 1, core::LifeStage::kAdult);
  CHECK_FALSE(find(check(survey), "taxon twice in one sample", "sample S1-A").has_value());
  test::add_record(survey, 0, 2, core::LifeStage::kAdult);
  const auto findings = check(survey);
  const auto twice = find(findings, "taxon twice in one sample", "sample S1-A");
  REQUIRE(twice.has_value());
  CHECK(twice->text.find("Baetis (adult) stands 2 times") != std::string::npos);
}

TEST_CASE("an unlisted name comes with proposals") {
  core::Snapshot survey = test::small_survey();
  const auto misspelt = test::add_taxon(survey, "own:ecdyonorus", "Ecdyonorus", false);
  test::add_taxon(survey, "own:unused", "Unused", false);
  test::add_record(survey, misspelt, 3);
  const auto findings = check(survey);
  const auto name = find(findings, "unlisted name", "taxon Ecdyonorus");
  REQUIRE(name.has_value());
  CHECK(name->severity == Severity::kWarning);
  CHECK(name->text.find("Ecdyonurus") != std::string::npos);
  CHECK(name->text.find("sample S1-A") != std::string::npos);
  CHECK(name->text.find("never scores") != std::string::npos);
  CHECK_FALSE(find(findings, "unlisted name", "taxon Unused").has_value());
}

TEST_CASE("unlisted names that have a place in the tree are one note, which says how they count") {
  core::Snapshot survey = test::small_survey();
  const auto first = test::add_taxon(survey, "own:baetis x", "Baetis x", false, core::TaxonIndex(0));
  test::add_record(survey, first, 3);
  CHECK(find(check(survey), "unlisted name", "taxon Baetis x")->text ==
        "One name is not in the checklist itself but has its place there: Baetis x (under Baetis, 1 record). "
        "It scores as its genus' family does (or as the group it stands under), and is a taxon of its own in "
        "a richness that counts taxa as named.");
  for (int i = 1; i < 25; ++i) {
    const std::string name = "Baetis y" + std::to_string(i);
    const auto next = test::add_taxon(survey, "own:" + name, name, false, core::TaxonIndex(0));
    test::add_record(survey, next, 2);
  }
  const auto findings = check(survey);
  CHECK(std::count_if(findings.begin(), findings.end(),
                      [](const auto& one) { return one.what == "unlisted name"; }) == 1);
  const auto note = find(findings, "unlisted name", "taxon Baetis x");
  REQUIRE(note.has_value());
  CHECK(note->severity == Severity::kNote);
  CHECK(note->text.rfind("25 names are", 0) == 0);
  CHECK(note->text.find("Baetis y19 (under Baetis, 1 record) and 5 more. Each scores") != std::string::npos);
}

TEST_CASE("a site outside every catchment is found, unless the survey has no catchments") {
  core::Snapshot survey = test::small_survey();
  survey.sites.position[1] = {11, 60};
  CHECK(find(check(survey), "site outside every catchment", "site S2").has_value());
  CHECK_FALSE(find(check(survey), "site outside every catchment", "site S1").has_value());
  survey.catchments.clear();
  CHECK_FALSE(find(check(survey), "site outside every catchment", "site S2").has_value());
}
