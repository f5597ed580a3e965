#include <doctest/doctest.h>

#include "core/base/error.hpp"
#include "core/intake/columns.hpp"
#include "tests/core/intake/small_survey.hpp"

namespace core = brookmark::core;
namespace test = brookmark::test;
using core::ImportKind;
using core::Severity;

namespace {

core::ImportReport measured(const std::string& csv, const core::Snapshot& survey = test::small_survey()) {
  return test::plan_csv(ImportKind::kMeasurements, csv, survey);
}

core::Measurement measurement_of(const core::ImportReport& report) {
  const auto added = test::edits_of<core::AddMeasurement>(report);
  REQUIRE_MESSAGE(added.size() == 1, test::issues_text(report));
  return added[0].measurement;
}

core::ImportReport value(const std::string& cell) {
  return measured("sample,parameter,value,unit\nS1-A,ammonium," + cell + ",mg/l\n");
}

}  // namespace

TEST_CASE("a measurement of a sample belongs to the sample and its visit") {
  const auto report =
      measured("eventID,measurementType,measurementValue,measurementUnit,note\nS1-A,pH,8.5,,clear\n");
  const core::Measurement m = measurement_of(report);
  CHECK(m.sample_key == "key-S1-A");
  CHECK(m.visit_key == "visit-1");
  CHECK(m.quantity == "pH");
  CHECK(m.unit == "");
  CHECK(m.value == 8.5);
  CHECK(m.verbatim_value == "8.5");
  CHECK(m.note == "clear");
  CHECK_FALSE(m.below_detection);
}

TEST_CASE("below detection keeps its limit where one is given, and is never zero") {
  CHECK(measurement_of(value("<0.05")).below_detection);
  CHECK(measurement_of(value("<0.05")).value == 0.05);
  CHECK(measurement_of(value("<0.05")).verbatim_value == "<0.05");
  CHECK(measurement_of(value("< 0.05")).value == 0.05);
  for (const char* words : {"<", "n.d.", "below detection"}) {
    CHECK_MESSAGE(measurement_of(value(words)).below_detection, words);
    CHECK_FALSE_MESSAGE(measurement_of(value(words)).value.has_value(), words);
  }
  for (const char* bad : {"<0", "<-1", "<low"})
    CHECK_MESSAGE(test::has_issue(value(bad), Severity::kError, 2, "value", "limit of detection"), bad);
}

TEST_CASE("an empty value imports nothing and says so, and is never zero") {
  const auto report = value("");
  CHECK(report.batch.edits.empty());
  CHECK(test::has_issue(report, Severity::kWarning, 2, "value", "not a zero"));
}

TEST_CASE("a value that is no number is a bad row") {
  CHECK(test::has_issue(value("high"), Severity::kError, 2, "value", "not a number"));
  CHECK(test::has_issue(value(">200"), Severity::kError, 2, "value", "not a number"));
  CHECK(measurement_of(measured("sample;parameter;value\nS1-A;pH;8,5\n")).value == 8.5);
}

TEST_CASE("by site and date a measurement finds the visit, with or without its time") {
  const auto day = measured("site,date,parameter,value\nS1,2024-05-03,pH,8\n");
  CHECK(measurement_of(day).visit_key == "visit-1");
  CHECK(measurement_of(day).sample_key == "");
  CHECK(measurement_of(measured("site,date,parameter,value\nS1,2024-05-03T09:30+01:00,pH,8\n")).visit_key ==
        "visit-1");
}

TEST_CASE("a site and date without a visit get one, shared by the rows of that day") {
  const auto report =
      measured("site,date,parameter,value\nS1,2024-06-01,pH,8\nS1,2024-06-01,temperature,12\n");
  const auto visits = test::edits_of<core::AddVisit>(report);
  REQUIRE(visits.size() == 1);
  CHECK(visits[0].visit.site_key == "key-S1");
  const auto added = test::edits_of<core::AddMeasurement>(report);
  REQUIRE(added.size() == 2);
  CHECK(added[0].measurement.visit_key == visits[0].visit.key);
  CHECK(added[1].measurement.visit_key == visits[0].visit.key);
}

TEST_CASE("a bad row makes no visit") {
  const auto report = measured("site,date,parameter,value\nS1,2024-06-01,pH,high\n");
  CHECK(report.batch.edits.empty());
}

TEST_CASE("a day with two visits needs the time") {
  core::Snapshot survey = test::small_survey();
  test::add_visit(survey, "visit-3", 0, "2024-05-03T15:00+01:00");
  CHECK(test::has_issue(measured("site,date,parameter,value\nS1,2024-05-03,pH,8\n", survey), Severity::kError,
                        2, "date", "several visits"));
}

TEST_CASE("unknown samples and sites, and rows without a place or a quantity, are bad rows") {
  const auto report = measured(
      "sample,site,date,parameter,value\nX,,,pH,8\n,S7,2024-06-01,pH,8\n,,,pH,8\nS1-A,,,,8\n,S1,2030-01-01,"
      "pH,8\n");
  CHECK(test::has_issue(report, Severity::kError, 2, "sample", "no sample \"X\""));
  CHECK(test::has_issue(report, Severity::kError, 3, "site", "no site \"S7\""));
  CHECK(test::has_issue(report, Severity::kError, 4, "site", "no sample and no site"));
  CHECK(test::has_issue(report, Severity::kError, 5, "parameter", "what was measured"));
  CHECK(test::has_issue(report, Severity::kError, 6, "date", "future"));
  CHECK(report.good_rows == 0);
}

TEST_CASE("a measurement that the survey has already is a bad row") {
  core::Snapshot survey = test::small_survey();
  test::add_measurement(survey, 1, "pH", "8", "");
  const auto report = measured("site,date,parameter,value\nS2,2024-05-04,pH,8\nS2,2024-05-04,pH,7\n", survey);
  CHECK(test::has_issue(report, Severity::kError, 2, "parameter", "already has this measurement"));
  CHECK(report.good_rows == 1);
}

TEST_CASE("a table of measurements needs a place, a quantity and a value column") {
  CHECK(test::error_of([] { measured("parameter,value\npH,8\n"); }).find("eventID") != std::string::npos);
  CHECK(test::error_of([] { measured("sample,value\nS1-A,8\n"); }).find("measurementType") !=
        std::string::npos);
  CHECK(test::error_of([] { measured("sample,parameter\nS1-A,pH\n"); }).find("measurementValue") !=
        std::string::npos);
}

TEST_CASE("a table without a quantity column is told of both layouts") {
  const std::string why = test::error_of([] { measured("sample,Temp,pH\nS1-A,10,8\n"); });
  CHECK(why.find("the columns are sample, Temp, pH") != std::string::npos);
  CHECK(why.find("--column THEIRS=measurementType") != std::string::npos);
  CHECK(why.find("--column \"Temp=measurement:temperature:C\"") != std::string::npos);
  CHECK(core::import_columns_help(ImportKind::kMeasurements).find("measurement:temperature:C") !=
        std::string::npos);
}

TEST_CASE("a finding on a wide table names the column that the surveyor wrote") {
  auto options = test::options();
  options.columns = {{"Temp", "measurement:temperature:C"}, {"Acidity", "measurement:pH"}};
  const auto report =
      test::plan_csv(ImportKind::kMeasurements, "sample,Temp,Acidity\nS1-A,10,sour\nS1-A,warm,8\n",
                     test::small_survey(), options);
  CHECK(test::has_issue(report, Severity::kError, 2, "Acidity", "not a number"));
  CHECK(test::has_issue(report, Severity::kError, 3, "Temp", "not a number"));
}
