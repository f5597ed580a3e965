#include <doctest/doctest.h>

#include "core/base/error.hpp"
#include "tests/core/intake/small_survey.hpp"

namespace core = brookmark::core;
namespace test = brookmark::test;
using core::ImportKind;
using core::Severity;

namespace {

core::ImportReport samples(const std::string& csv) {
  return test::plan_csv(ImportKind::kSamples, csv);
}

core::ImportReport one(const std::string& column, const std::string& cell) {
  return samples("sample,site,date," + column + "\nX,S1,2024-06-01," + cell + "\n");
}

core::Sample sample_of(const core::ImportReport& report) {
  const auto added = test::edits_of<core::AddSample>(report);
  REQUIRE_MESSAGE(added.size() == 1, test::issues_text(report));
  return added[0].sample;
}

}  // namespace

TEST_CASE("a sample comes with its visit, its effort, its mesh and its share") {
  const auto report = samples(
      "eventID,locationID,eventDate,samplingProtocol,sampleSizeValue,sampleSizeUnit,mesh,subsample,kind,"
      "recordedBy,"
      "weather,conditions,eventRemarks,note\n"
      "X,S1,2024-06-01T10:15+02:00,kick,180,s,500 um,0.25,replicate,Ada,dry,low,gate open,red bucket\n");
  REQUIRE_MESSAGE(report.ok(false), test::issues_text(report));
  REQUIRE(report.batch.edits.size() == 2);
  const core::Visit visit = report.batch.edits[0].as<core::AddVisit>()->visit;  // before its sample
  CHECK(visit.site_key == "key-S1");
  CHECK(core::format_moment(visit.start) == "2024-06-01T10:15+02:00");
  CHECK(visit.people == "Ada");
  CHECK(visit.weather == "dry");
  CHECK(visit.conditions == "low");
  CHECK(visit.note == "gate open");
  const core::Sample sample = sample_of(report);
  CHECK(sample.visit_key == visit.key);
  CHECK(sample.code == "X");
  CHECK(sample.protocol == "kick");
  CHECK(sample.effort == 180);
  CHECK(sample.effort_unit == "s");
  CHECK(sample.mesh_um == 500);
  CHECK(sample.subsample_share == 0.25);
  CHECK(sample.kind == core::SampleKind::kReplicate);
  CHECK(sample.note == "red bucket");
}

TEST_CASE("several samples of one site and start moment share their visit") {
  const auto report = samples(
      "sample,site,date,time,people\n"
      "A,S1,2024-06-01,9:30,Ada\n"
      "B,S1,2024-06-01,09:30,\n"
      "C,S1,2024-06-01,11:00,Ada\n"
      "D,S2,2024-06-01,09:30,Ada\n");
  REQUIRE_MESSAGE(report.ok(false), test::issues_text(report));
  CHECK(test::edits_of<core::AddVisit>(report).size() == 3);
  const auto added = test::edits_of<core::AddSample>(report);
  CHECK(added[0].sample.visit_key == added[1].sample.visit_key);
  CHECK(added[0].sample.visit_key != added[2].sample.visit_key);
  CHECK(added[0].sample.visit_key != added[3].sample.visit_key);
}

TEST_CASE("a visit that the survey has is used again") {
  const auto report = samples("sample,site,date\nB,S1,2024-05-03T09:30+01:00\n");
  REQUIRE(report.ok(false));
  CHECK(test::edits_of<core::AddVisit>(report).empty());
  CHECK(sample_of(report).visit_key == "visit-1");
}

TEST_CASE("what one row of a visit leaves empty is filled by another, and a contradiction is a bad row") {
  const auto report = samples(
      "sample,site,date,people,weather\nA,S1,2024-06-01,,dry\nB,S1,2024-06-01,Ada,\nC,S1,2024-06-01,Bea,\n");
  const auto visits = test::edits_of<core::AddVisit>(report);
  REQUIRE(visits.size() == 1);
  CHECK(visits[0].visit.people == "Ada");
  CHECK(visits[0].visit.weather == "dry");
  CHECK(test::has_issue(report, Severity::kError, 4, "people", "\"Ada\""));
  CHECK(report.bad_rows == 1);
}

TEST_CASE("a sample without code, of an unknown site, or of a code taken is a bad row") {
  const auto report = samples(
      "sample,site,date\n,S1,2024-06-01\nX,S7,2024-06-01\nY,s1,2024-06-01\nS1-A,S1,2024-06-01\nZ,,2024-06-"
      "01\n");
  CHECK(test::has_issue(report, Severity::kError, 2, "sample", "no code"));
  CHECK(test::has_issue(report, Severity::kError, 3, "site", "no site \"S7\""));
  CHECK(test::has_issue(report, Severity::kError, 4, "site", "did you mean \"S1\"?"));
  CHECK(test::has_issue(report, Severity::kError, 5, "sample", "already has sample \"S1-A\""));
  CHECK(test::has_issue(report, Severity::kError, 6, "site", "no site"));
  CHECK(report.good_rows == 0);
  CHECK(report.batch.edits.empty());
}

TEST_CASE("a flat sheet gives one sample for its repeated rows, and refuses rows that differ") {
  const auto report = samples(
      "sample,site,date,taxon,count,note\n"
      "A,S1,2024-06-01,Baetis,3,big ones\n"
      "A,S1,2024-06-01,Caenis,1,\n"
      "A,S2,2024-06-01,Asellus,1,\n");
  CHECK(test::edits_of<core::AddSample>(report).size() == 1);
  CHECK(sample_of(report).note == "");  // the note is the record's
  CHECK(report.good_rows == 2);
  CHECK(test::has_issue(report, Severity::kError, 4, "sample", "line 2"));
}

TEST_CASE("dates that do not exist, are written another way or lie ahead are bad rows") {
  for (const char* date : {"2023-02-30", "03/05/2024", "3.5.2024", "spring", "2024-13-01"})
    CHECK_MESSAGE(test::has_issue(samples("sample,site,date\nX,S1," + std::string(date) + "\n"),
                                  Severity::kError, 2, "date", "2024-05-03"),
                  date);
  // The tests' today is 2024-12-31.
  CHECK(samples("sample,site,date\nX,S1,2024-12-31\n").ok(false));
  CHECK(test::has_issue(samples("sample,site,date\nX,S1,2025-01-01\n"), Severity::kError, 2, "date",
                        "in the future"));
  CHECK(test::has_issue(samples("sample,site,date\nX,S1,\n"), Severity::kError, 2, "date", "no date"));
  CHECK(test::has_issue(one("time", "25:00"), Severity::kError, 2, "time", "time of day"));
}

TEST_CASE("without a day given, the machine's clock says what is ahead") {
  auto options = test::options();
  options.latest_day = {};
  const std::string far = core::format_date({core::today_utc().days + 3});
  CHECK_FALSE(test::plan_csv(ImportKind::kSamples, "sample,site,date\nX,S1," + far + "\n",
                             test::small_survey(), options)
                  .ok(true));
  const std::string now = core::format_date(core::today_utc());
  CHECK(test::plan_csv(ImportKind::kSamples, "sample,site,date\nX,S1," + now + "\n", test::small_survey(),
                       options)
            .ok(false));
}

TEST_CASE("a share of the catch is a number, a fraction or a percentage, above 0 and up to 1") {
  CHECK(sample_of(one("subsample", "0.5")).subsample_share == 0.5);
  CHECK(sample_of(one("subsample", "1/4")).subsample_share == 0.25);
  CHECK(sample_of(one("subsample", "25 %")).subsample_share == 0.25);
  CHECK(sample_of(one("subsample", "1")).subsample_share == 1);
  CHECK_FALSE(sample_of(one("subsample", "")).subsample_share);
  for (const char* bad : {"0", "-0.5", "1.5", "150 %", "5/4", "1/0", "half"})
    CHECK_MESSAGE(one("subsample", bad).bad_rows == 1, bad);
}

TEST_CASE("a mesh needs its unit, in the cell or in the header, unless it can only be micrometres") {
  CHECK(sample_of(one("mesh", "500")).mesh_um == 500);
  CHECK(sample_of(one("mesh", "0.5 mm")).mesh_um == 500);
  CHECK(sample_of(one("mesh", "250 \u00b5m")).mesh_um == 250);
  CHECK(sample_of(one("mesh_mm", "1")).mesh_um == 1000);
  CHECK(sample_of(one("Mesh (mm)", "0.5")).mesh_um == 500);
  for (const char* bad : {"0.5", "fine", "-500", "500 inch"})
    CHECK_MESSAGE(one("mesh", bad).bad_rows == 1, bad);
}

TEST_CASE("an effort needs a unit, in its own column or beside the number") {
  CHECK(sample_of(one("effort", "180 s")).effort == 180);
  CHECK(sample_of(one("effort", "180 s")).effort_unit == "s");
  CHECK(test::has_issue(one("effort", "180"), Severity::kError, 2, "effort", "no unit"));
  CHECK(one("effort", "-5 jabs").bad_rows == 1);
  CHECK(one("effort", "long").bad_rows == 1);
}

TEST_CASE("a kind of sample that is not known is refused with those that are") {
  CHECK(sample_of(one("kind", "blank")).kind == core::SampleKind::kBlank);
  CHECK(sample_of(one("kind", "")).kind == core::SampleKind::kRoutine);
  CHECK(
      test::has_issue(one("replicate", "2"), Severity::kError, 2, "replicate", "routine, replicate, blank"));
}

TEST_CASE("a table of samples needs code, site and date columns") {
  CHECK(test::error_of([] { samples("site,date\nS1,2024-06-01\n"); }).find("eventID") != std::string::npos);
  CHECK(test::error_of([] { samples("sample,date\nX,2024-06-01\n"); }).find("locationID") !=
        std::string::npos);
  CHECK(test::error_of([] { samples("sample,site\nX,S1\n"); }).find("eventDate") != std::string::npos);
}

TEST_CASE("events that are no samples are left out of a table of events, and said") {
  const auto report = test::plan_csv(ImportKind::kSamples,
                                     "eventID,locationID,eventDate,eventType\nV1,S1,2024-05-03,Site Visit\n"
                                     "X,S1,2024-05-03,Sample\nY,S1,2024-05-04,\n");
  CHECK(report.bad_rows == 0);
  std::size_t samples = 0;
  for (const core::Edit& edit : report.batch.edits) samples += edit.as<core::AddSample>() != nullptr ? 1 : 0;
  CHECK(samples == 2);
  CHECK(test::issues_text(report).find("Site Visit") != std::string::npos);
}

TEST_CASE("an offset from UTC in minutes completes a time without one, and nothing else") {
  const auto start = [](const std::string& row) {
    const auto report =
        test::plan_csv(ImportKind::kSamples, "sample,site,date,time,utcOffset\nX,S1," + row + "\n");
    REQUIRE_MESSAGE(report.ok(false), test::issues_text(report));
    return core::format_moment(report.batch.edits.front().as<core::AddVisit>()->visit.start);
  };
  CHECK(start("2024-05-13,09:30,60") == "2024-05-13T09:30+01:00");
  CHECK(start("2024-05-13,09:30,-150") == "2024-05-13T09:30-02:30");
  CHECK(start("2024-05-13,09:30Z,60") == "2024-05-13T09:30Z");
  CHECK(start("2024-05-13,,60") == "2024-05-13");
  for (const char* bad : {"900", "-841", "one hour"})
    CHECK(test::plan_csv(ImportKind::kSamples,
                         "sample,site,date,time,utcOffset\nX,S1,2024-05-13,09:30," + std::string(bad) + "\n")
              .bad_rows == 1);
}
