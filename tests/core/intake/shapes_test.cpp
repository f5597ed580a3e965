#include <doctest/doctest.h>

#include "core/base/error.hpp"
#include "core/intake/shape_checks.hpp"
#include "tests/core/intake/small_survey.hpp"

namespace core = brookmark::core;
namespace test = brookmark::test;
using core::ImportKind;
using core::Severity;

namespace {

core::ImportReport plan(ImportKind kind, std::vector<std::string> columns, std::vector<core::TableRow> rows,
                        const core::Snapshot& survey = test::small_survey()) {
  return core::plan_import(kind, test::layer(std::move(columns), std::move(rows)), survey, test::options());
}

using Lines = std::vector<core::Line>;

core::MultiPolygon ring(core::Line points) {
  return {core::Polygon{{std::move(points)}}};
}

}  // namespace

TEST_CASE("each part of a line feature is a reach, named or not") {
  const auto report =
      plan(ImportKind::kWatercourses, {"river"},
           {{1, {"Tarn Beck"}, Lines{{{10, 60}, {10.01, 60}}, {{10.01, 60}, {10.02, 60.01}}}, ""},
            {2, {""}, Lines{{{10, 60.1}, {10.01, 60.1}}}, ""}});
  REQUIRE_MESSAGE(report.ok(false), test::issues_text(report));
  const auto reaches = test::edits_of<core::AddReach>(report);
  REQUIRE(reaches.size() == 3);
  CHECK(reaches[0].reach.name == "Tarn Beck");
  CHECK(reaches[1].reach.name == "Tarn Beck");
  CHECK(reaches[1].reach.line == core::Line{{10.01, 60}, {10.02, 60.01}});  // as drawn
  CHECK(reaches[2].reach.name == "");
  CHECK(report.batch.summary == "3 reaches from sheet.csv");
}

TEST_CASE("a canal flows either way where the layer says so, and a note is kept") {
  const auto report = plan(ImportKind::kWatercourses, {"river", "two_way", "note"},
                           {{1, {"Cut", "yes", "lock at the end"}, Lines{{{10, 60}, {10.01, 60}}}, ""},
                            {2, {"Beck", "", ""}, Lines{{{10, 60.1}, {10.01, 60.1}}}, ""}});
  REQUIRE_MESSAGE(report.ok(false), test::issues_text(report));
  const auto reaches = test::edits_of<core::AddReach>(report);
  CHECK(reaches.at(0).reach.two_way);
  CHECK(reaches.at(0).reach.note == "lock at the end");
  CHECK_FALSE(reaches.at(1).reach.two_way);
}

TEST_CASE("lines without length, other shapes and repeated lines are bad rows") {
  core::Snapshot survey = test::small_survey();
  survey.reaches.push_back({"key-reach", "", {{10, 60}, {10.01, 60}}});
  const auto report = plan(ImportKind::kWatercourses, {"name"},
                           {{1, {"a"}, Lines{{{10, 60}, {10, 60}}}, ""},
                            {2, {"b"}, Lines{{{10, 60}}}, ""},
                            {3, {"c"}, Lines{}, ""},
                            {4, {"d"}, {}, ""},
                            {5, {"e"}, core::LonLat{10, 60}, ""},
                            {6, {"f"}, Lines{{{10, 60}, {10, 95}}}, ""},
                            {7, {"g"}, Lines{{{10, 60}, {10.01, 60}}}, ""}},
                           survey);
  CHECK(report.good_rows == 0);
  CHECK(test::has_issue(report, Severity::kError, 1, "", "no length"));
  CHECK(test::has_issue(report, Severity::kError, 2, "", "no length"));
  CHECK(test::has_issue(report, Severity::kError, 3, "", "no shape"));
  CHECK(test::has_issue(report, Severity::kError, 4, "", "no shape"));
  CHECK(test::has_issue(report, Severity::kError, 5, "", "needs a line"));
  CHECK(test::has_issue(report, Severity::kError, 6, "", "no place on earth"));
  CHECK(test::has_issue(report, Severity::kError, 7, "", "already has a reach"));
  CHECK(report.batch.edits.empty());
}

TEST_CASE("a watercourse that crosses itself is kept with a warning") {
  const auto report =
      plan(ImportKind::kWatercourses, {"name"},
           {{1, {"knot"}, Lines{{{10, 60}, {10.02, 60}, {10.02, 60.01}, {10.01, 59.99}}}, ""}});
  CHECK(report.ok(false));
  CHECK(test::has_issue(report, Severity::kWarning, 1, "", "crosses itself"));
}

TEST_CASE("shapes cannot come from a table of text") {
  for (const auto kind : {ImportKind::kWatercourses, ImportKind::kCatchments, ImportKind::kWaters})
    CHECK(test::error_of([&] { test::plan_csv(kind, "name,code\na,b\n"); }).find("vector layer") !=
          std::string::npos);
}

TEST_CASE("catchments and waters keep their areas") {
  const auto catchments =
      plan(ImportKind::kCatchments, {"code", "name"}, {{1, {"C2", "Upper"}, test::square(10, 60, 0.01), ""}});
  REQUIRE_MESSAGE(catchments.ok(false), test::issues_text(catchments));
  const auto catchment = test::edits_of<core::AddCatchment>(catchments)[0].catchment;
  CHECK(catchment.code == "C2");
  CHECK(catchment.name == "Upper");
  CHECK(catchment.shape[0].rings[0].size() == 5);
  const auto waters = plan(ImportKind::kWaters, {"name", "kind"},
                           {{1, {"Duck pond", "pond"}, test::square(10, 60, 0.01), ""}});
  REQUIRE_MESSAGE(waters.ok(false), test::issues_text(waters));
  const auto water = test::edits_of<core::AddWater>(waters)[0].water;
  CHECK(water.name == "Duck pond");
  CHECK(water.kind == core::WaterKind::kPond);
}

TEST_CASE("areas that cross themselves, are empty or are no areas are bad rows") {
  const auto area = test::square(10, 60, 0.01);
  const auto report =
      plan(ImportKind::kCatchments, {"code"},
           {{1, {"bow"}, ring({{10, 60}, {10.01, 60.01}, {10.01, 60}, {10, 60.01}, {10, 60}}), ""},
            {2, {"open"}, ring({{10, 60}, {10.01, 60}, {10.01, 60.01}, {10, 60.01}}), ""},
            {3, {"flat"}, ring({{10, 60}, {10.01, 60}, {10.02, 60}, {10, 60}}), ""},
            {4, {"none"}, core::MultiPolygon{}, ""},
            {5, {"null"}, {}, ""},
            {6, {"line"}, Lines{{{10, 60}, {10.01, 60}}}, ""},
            {7, {""}, area, ""},
            {8, {"C1"}, area, ""},
            {9, {"C2"}, area, ""},
            {10, {"C2"}, area, ""}});
  CHECK(report.good_rows == 1);
  CHECK(test::has_issue(report, Severity::kError, 1, "", "crosses itself"));
  CHECK(test::has_issue(report, Severity::kError, 2, "", "not closed"));
  CHECK(test::has_issue(report, Severity::kError, 3, "", "encloses nothing"));
  CHECK(test::has_issue(report, Severity::kError, 4, "", "no outline"));
  CHECK(test::has_issue(report, Severity::kError, 5, "", "no shape"));
  CHECK(test::has_issue(report, Severity::kError, 6, "", "needs an area"));
  CHECK(test::has_issue(report, Severity::kError, 7, "code", "no code"));
  CHECK(test::has_issue(report, Severity::kError, 8, "code", "already has catchment"));
  CHECK(test::has_issue(report, Severity::kError, 10, "code", "feature 9"));
}

TEST_CASE("an area with a hole, and two parts that touch in a point, are sound") {
  core::MultiPolygon holed = test::square(10, 60, 0.03);
  holed[0].rings.push_back(test::square(10.01, 60.01, 0.01)[0].rings[0]);
  CHECK(core::polygon_fault(holed) == "");
  core::MultiPolygon corner = test::square(10, 60, 0.01);
  corner.push_back(test::square(10.01, 60.01, 0.01)[0]);
  CHECK(core::polygon_fault(corner) == "");
  holed[0].rings[1] = test::square(10.02, 60.02, 0.02)[0].rings[0];  // the hole reaches out of the area
  CHECK(core::polygon_fault(holed) != "");
}

TEST_CASE("a line that only touches or returns to itself does not cross itself") {
  CHECK_FALSE(core::self_crossing({{10, 60}, {10.01, 60}, {10.01, 60.01}, {10, 60}}));
  CHECK(core::self_crossing({{10, 60}, {10.02, 60}, {10.02, 60.01}, {10.01, 59.99}}));
}

TEST_CASE("sentences on a layer speak of features, and never of separators") {
  const core::LonLat place{10.02, 60.0};
  const auto sites =
      plan(ImportKind::kSites, {"code", "name"},
           {{1, {"S7", "a"}, place, ""}, {2, {"S7", "b"}, place, ""}, {3, {"", "c"}, place, ""}});
  CHECK(test::has_issue(sites, Severity::kError, 2, "code", "stands in feature 1 too"));
  CHECK(test::has_issue(sites, Severity::kError, 3, "code", "This feature has no code"));
  for (const core::Issue& issue : sites.issues) {
    CHECK(issue.text.find(" line ") == std::string::npos);
    CHECK(issue.text.find("row") == std::string::npos);
  }
  const std::string why = test::error_of([&] { plan(ImportKind::kSites, {"fid"}, {{1, {"1"}, place, ""}}); });
  CHECK(why.find("locationID") != std::string::npos);
  CHECK(why.find("separator") == std::string::npos);
  CHECK(test::error_of([] {
          test::plan_csv(ImportKind::kSites, "site|lat|lon\nS9|60|10\n");
        }).find("separator") != std::string::npos);
  CHECK(test::has_issue(plan(ImportKind::kSites, {"code"}, {}), Severity::kError, 0, "",
                        "The layer has no features"));
}
