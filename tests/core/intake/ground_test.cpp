#include <doctest/doctest.h>

#include "core/base/error.hpp"
#include "tests/core/intake/small_survey.hpp"

namespace core = brookmark::core;
namespace test = brookmark::test;
using core::GroundKind;
using core::ImportKind;

namespace {

core::ImportReport plan(std::vector<std::string> columns, std::vector<core::TableRow> rows,
                        std::optional<GroundKind> all = {},
                        const core::Snapshot& survey = test::small_survey()) {
  core::ImportOptions options = test::options();
  options.ground_kind = all;
  return core::plan_import(ImportKind::kGround, test::layer(std::move(columns), std::move(rows)), survey,
                           options);
}

using Lines = std::vector<core::Line>;
const core::MultiPolygon kField{core::Polygon{{{{10, 60}, {10.01, 60}, {10.01, 60.01}, {10, 60}}}}};

}  // namespace

TEST_CASE("areas, lines and points come in as ground, each of the kind its column says") {
  const auto report =
      plan({"kind", "name", "note"},
           {{1, {"private", "Long Field", "ask at the farm"}, kField, ""},
            {2, {"road", "", ""}, Lines{{{10, 60}, {10.1, 60}}, {{10, 60.1}, {10.1, 60.1}}}, ""},
            {3, {"access", "gate", ""}, core::LonLat{10, 60}, ""}});
  REQUIRE_MESSAGE(report.ok(false), test::issues_text(report));
  const auto ground = test::edits_of<core::AddGround>(report);
  REQUIRE(ground.size() == 4);  // each part of a line is one
  CHECK(ground[0].ground.kind == GroundKind::kPrivate);
  CHECK(ground[0].ground.name == "Long Field");
  CHECK(ground[0].ground.note == "ask at the farm");
  CHECK(std::holds_alternative<core::MultiPolygon>(ground[0].ground.shape));
  CHECK(ground[2].ground.kind == GroundKind::kRoad);
  CHECK(std::get<core::LonLat>(ground[3].ground.shape) == core::LonLat{10, 60});
  CHECK(report.batch.summary == "4 pieces of ground from sheet.csv");
}

TEST_CASE(
    "a layer of one kind needs no column, and a layer without either is refused with the columns wanted") {
  const auto report =
      plan({"highway"}, {{1, {"track"}, Lines{{{10, 60}, {10.1, 60}}}, ""}}, GroundKind::kRoad);
  REQUIRE_MESSAGE(report.ok(false), test::issues_text(report));
  CHECK(test::edits_of<core::AddGround>(report).at(0).ground.kind == GroundKind::kRoad);
  CHECK_THROWS_AS(plan({"highway"}, {{1, {"track"}, Lines{{{10, 60}, {10.1, 60}}}, ""}}), brookmark::Error);
}

TEST_CASE("ground of an unknown kind, without a shape, without extent or already there is a bad row each") {
  core::Snapshot survey = test::small_survey();
  survey.grounds.push_back({"key-ground", "", "", GroundKind::kAccess, core::LonLat{10, 60}});
  const auto report =
      plan({"kind"},
           {{1, {"swamp"}, kField, ""},
            {2, {"private"}, {}, ""},
            {3, {"road"}, Lines{{{10, 60}, {10, 60}}}, ""},
            {4, {"private"}, core::MultiPolygon{core::Polygon{{{{10, 60}, {10.1, 60}, {10, 60}}}}}, ""},
            {5, {"access"}, core::LonLat{10, 60}, ""},
            {6, {""}, kField, ""},
            {7, {"unsafe"}, core::LonLat{200, 95}, ""}},
           {}, survey);
  CHECK_FALSE(report.ok(true));
  CHECK(report.bad_rows == 7);
  const std::string text = test::issues_text(report);
  for (const char* part :
       {"\"swamp\" is not known here; write one of: private, unsafe, road, bridge, access, refused",
        "has no shape", "already has this very piece of ground", "does not say what kind of ground",
        "no place on earth"})
    CHECK_MESSAGE(text.find(part) != std::string::npos, part << " in " << text);
}
