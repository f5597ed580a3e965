#include <doctest/doctest.h>

#include "core/base/error.hpp"
#include "core/store/survey_file.hpp"
#include "tests/core/intake/small_survey.hpp"
#include "tests/support/files.hpp"

namespace core = brookmark::core;
namespace test = brookmark::test;
using core::ImportKind;

TEST_CASE(
    "a flat sheet goes into a survey file as sites, samples, records and measurements, and comes back "
    "whole") {
  const test::TemporaryFolder folder;
  core::SurveyInfo info;
  info.title = "Invented brook";
  core::SurveyFile file = core::SurveyFile::create(folder / "brook.brook", info);
  const std::string sheet =
      "locationID,decimalLatitude,decimalLongitude,waterBody,eventID,eventDate,scientificName,"
      "individualCount\n"
      "S1,60.00,10.00,Tarn Beck,S1-spring,2024-05-03T09:30+01:00,Ephemera_danica,4\n"
      "S1,60.00,10.00,Tarn Beck,S1-spring,2024-05-03T09:30+01:00,Baetis_sp,\n"
      "S1,60.00,10.00,Tarn Beck,S1-spring,2024-05-03T09:30+01:00,Xyzzyia,0\n"
      "S2,60.01,10.01,Tarn Beck,S2-spring,2024-05-04,Baetis_sp,7\n";
  auto options = test::options();
  options.new_key = nullptr;
  for (const auto kind : {ImportKind::kSites, ImportKind::kSamples, ImportKind::kRecords}) {
    const core::Snapshot before = file.read();
    const auto report = test::plan_csv(kind, sheet, before, options);
    REQUIRE_MESSAGE(report.ok(false), test::issues_text(report));
    CHECK(file.log().size() == static_cast<std::size_t>(kind));  // planning touches nothing
    file.apply(report.batch);
  }
  const auto measured = test::plan_csv(ImportKind::kMeasurements,
                                       "sample,site,date,parameter,value,unit\nS1-spring,,,pH,8.5,\n"
                                       ",S2,2024-06-01,ammonium,<0.05,mg/l\n",
                                       file.read(), options);
  REQUIRE_MESSAGE(measured.ok(false), test::issues_text(measured));
  file.apply(measured.batch);

  const core::Snapshot survey = file.read();
  REQUIRE(survey.sites.size() == 2);
  CHECK(survey.sites.code[0] == "S1");
  CHECK(survey.sites.raw[0].y == "60.00");
  REQUIRE(survey.samples.size() == 2);
  REQUIRE(survey.records.size() == 4);
  CHECK(survey.visits.size() == 3);
  CHECK(survey.records.verbatim_name[0] == "Ephemera_danica");
  CHECK(survey.records.quantity[0] == core::QuantityKind::kCount);
  CHECK(survey.records.quantity[1] == core::QuantityKind::kPresent);
  CHECK(survey.records.quantity[2] == core::QuantityKind::kAbsent);
  CHECK(survey.records.match[2] == core::NameMatch::kNone);
  REQUIRE(survey.measurements.size() == 2);

  // The same sheet once more: every row is known already.
  CHECK(test::plan_csv(ImportKind::kSites, sheet, survey, options).good_rows == 0);
  CHECK(test::plan_csv(ImportKind::kSamples, sheet, survey, options).good_rows == 0);
  CHECK(test::plan_csv(ImportKind::kRecords, sheet, survey, options).good_rows == 0);
}
