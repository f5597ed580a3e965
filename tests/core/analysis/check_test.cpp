#include "core/analysis/check.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "tests/core/intake/small_survey.hpp"

namespace core = brookmark::core;
namespace test = brookmark::test;
using core::Severity;

namespace {

const core::Date kToday = *core::parse_date("2024-12-31");

std::vector<core::Finding> check(const core::Snapshot& survey) {
  return core::check_survey(survey, core::build_channels(survey.reaches), kToday);
}

const core::Finding* find(const std::vector<core::Finding>& findings, const std::string& what,
                          const std::string& where) {
  for (const core::Finding& finding : findings)
    if (finding.what == what && finding.where == where) return &finding;
  return nullptr;
}

std::string text_of(const std::vector<core::Finding>& findings) {
  std::string text;
  for (const auto& f : findings) text += f.what + " | " + f.where + " | " + f.text + "\n";
  return text;
}

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
  CHECK_FALSE(find(findings, "date in the future", "visit to site S1 on 2024-12-31"));
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
  CHECK(measured("pH", "14", "").empty());
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
  CHECK(find(findings, "sample without records", "sample S2-A"));
  CHECK_FALSE(find(findings, "sample without records", "sample S2-B"));
  CHECK(find(findings, "animals in a blank", "sample S2-C"));
  CHECK_FALSE(find(findings, "animals in a blank", "sample S2-D"));
}

TEST_CASE("the same taxon twice in one sample is found, but not its larvae beside its adults") {
  core::Snapshot survey = test::small_survey();
  test::add_record(survey, 0, 1, core::LifeStage::kAdult);
  CHECK_FALSE(find(check(survey), "taxon twice in one sample", "sample S1-A"));
  test::add_record(survey, 0, 2, core::LifeStage::kAdult);
  const auto findings = check(survey);
  const auto* twice = find(findings, "taxon twice in one sample", "sample S1-A");
  REQUIRE(twice);
  CHECK(twice->text.find("Baetis (adult) stands 2 times") != std::string::npos);
}

TEST_CASE("an unlisted name comes with proposals; one that has a place in the tree is a note") {
  core::Snapshot survey = test::small_survey();
  const auto misspelt = test::add_taxon(survey, "own:ecdyonorus", "Ecdyonorus", false);
  const auto placed = test::add_taxon(survey, "own:baetis x", "Baetis x", false, core::TaxonIndex(0));
  test::add_taxon(survey, "own:unused", "Unused", false);
  test::add_record(survey, misspelt, 3);
  test::add_record(survey, placed, 3);
  const auto findings = check(survey);
  const auto* name = find(findings, "unlisted name", "taxon Ecdyonorus");
  REQUIRE(name);
  CHECK(name->severity == Severity::kWarning);
  CHECK(name->text.find("Ecdyonurus") != std::string::npos);
  CHECK(name->text.find("sample S1-A") != std::string::npos);
  const auto* note = find(findings, "unlisted name", "taxon Baetis x");
  REQUIRE(note);
  CHECK(note->severity == Severity::kNote);
  CHECK_FALSE(find(findings, "unlisted name", "taxon Unused"));
}

TEST_CASE("a site outside every catchment is found, unless the survey has no catchments") {
  core::Snapshot survey = test::small_survey();
  survey.sites.position[1] = {11, 60};
  CHECK(find(check(survey), "site outside every catchment", "site S2"));
  CHECK_FALSE(find(check(survey), "site outside every catchment", "site S1"));
  survey.catchments.clear();
  CHECK_FALSE(find(check(survey), "site outside every catchment", "site S2"));
}

TEST_CASE("sites and outfalls off every channel are found; a pond need not lie on one") {
  core::Snapshot survey = test::small_survey();
  test::add_site(survey, "S3", {10.00, 60.02}, core::WaterKind::kPond);
  survey.sites.position[1] = {10.01, 60.01};  // 0.01 degrees of latitude, about 1.1 km, north of the channel
  survey.reaches.push_back({"r1", "", {{9.99, 60.0}, {10.02, 60.0}}});
  survey.outfalls.push_back({});
  survey.outfalls.back().code = "O1";
  survey.outfalls.back().position = {10.0, 60.03};
  const auto findings = check(survey);
  CHECK_FALSE(find(findings, "site off every channel", "site S1"));
  CHECK(find(findings, "site off every channel", "site S2"));
  CHECK_FALSE(find(findings, "site off every channel", "site S3"));
  CHECK(find(findings, "outfall off every channel", "outfall O1"));
}

TEST_CASE("a reach joined to nothing is found among those that are joined") {
  core::Snapshot survey = test::small_survey();
  survey.reaches.push_back({"r1", "upper", {{9.99, 60.0}, {10.00, 60.0}}});
  CHECK_FALSE(
      find(check(survey), "reach joined to nothing", "reach upper"));  // alone there is nothing to join
  survey.reaches.push_back({"r2", "", {{10.00, 60.0}, {10.02, 60.0}}});
  survey.reaches.push_back({"r3", "", {{10.00, 60.04}, {10.02, 60.04}}});
  const auto findings = check(survey);
  CHECK_FALSE(find(findings, "reach joined to nothing", "reach upper"));
  CHECK_FALSE(find(findings, "reach joined to nothing", "reach 2"));
  CHECK(find(findings, "reach joined to nothing", "reach 3"));
}
