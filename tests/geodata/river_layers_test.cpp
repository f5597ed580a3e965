// River layers as other programs write them, read and planned into a survey.
#include <doctest/doctest.h>

#include <cmath>
#include <string>
#include <variant>
#include <vector>

#include "core/intake/import.hpp"
#include "core/network/channels.hpp"
#include "tests/geodata/layers.hpp"
#include "tests/support/files.hpp"

namespace core = brookmark::core;
using brookmark::geodata::read_layer;
using brookmark::test::TemporaryFolder;
using brookmark::test::write_layers;

namespace {

core::ImportReport plan(const core::Table& table, const core::Snapshot& survey = {}) {
  core::ImportOptions options;
  options.mend = true;
  return core::plan_import(core::ImportKind::kWatercourses, table, survey, options);
}

std::vector<core::Reach> reaches_of(const core::ImportReport& report) {
  std::vector<core::Reach> reaches;
  for (const core::Edit& edit : report.batch.edits)
    if (const auto* add = edit.as<core::AddReach>()) reaches.push_back(add->reach);
  return reaches;
}

std::size_t count(const core::ImportReport& report, core::ChannelFault fault) {
  std::size_t found = 0;
  for (const core::ChannelFinding& f : report.channels) found += f.fault == fault ? 1 : 0;
  return found;
}

}  // namespace

TEST_CASE("parts, heights, measures and curves come in as lines that make one network") {
  const TemporaryFolder folder;
  write_layers(folder / "l.gpkg", "GPKG",
               {{.name = "mixed",
                 .rows = {{"MULTILINESTRING ((9 54.01, 9 54.005), (9 54.005, 9 54))", {}},
                          {"LINESTRING Z (8.99 54.005 12, 9 54.005 10)", {}},
                          {"LINESTRING M (9.01 54.002 1, 9 54.002 2)", {}},
                          {"LINESTRING ZM (9.01 54.004 3 1, 9 54.004 2 2)", {}},
                          {"CIRCULARSTRING (9.002 54, 9.001 53.9995, 9 54)", {}}}}});
  const core::ImportReport report = plan(read_layer(folder / "l.gpkg", {}));
  CHECK(report.bad_rows == 0);
  const auto reaches = reaches_of(report);
  REQUIRE(reaches.size() == 6);
  CHECK(report.feature_of == std::vector<std::size_t>{1, 1, 2, 3, 4, 5});
  CHECK(count(report, core::ChannelFault::kAlone) == 0);
  const auto network = core::build_channels(reaches);
  CHECK(network.joins().empty());
  for (std::uint32_t n = 0; n < network.graph().node_count(); ++n) CHECK(network.graph().component(n) == 0);
}

TEST_CASE("the same river in two coordinate systems is the same river") {
  const TemporaryFolder folder;
  // UTM zone 32 north: 9 degrees east is easting 500,000, along which northings are those of the meridian.
  write_layers(
      folder / "l.gpkg", "GPKG",
      {{.name = "utm", .epsg = 25832, .rows = {{"LINESTRING (500000 5983522, 500000 5983000)", {}}}}});
  core::Snapshot survey;
  survey.reaches = reaches_of(plan(read_layer(folder / "l.gpkg", {})));
  REQUIRE(survey.reaches.size() == 1);
  const core::Line line = survey.reaches[0].line;
  CHECK(std::abs(line[0].lon - 9) < 1e-9);
  const auto wkt = [](core::LonLat a, core::LonLat b) {
    return "LINESTRING (" + std::to_string(a.lon) + " " + std::to_string(a.lat) + ", " +
           std::to_string(b.lon) + " " + std::to_string(b.lat) + ")";
  };
  // Six decimals of a degree: within a decimetre, so not the same course, but one that meets it end to end.
  write_layers(folder / "d.gpkg", "GPKG", {{.name = "degrees", .rows = {{wkt(line[1], {9, 53.99}), {}}}}});
  const core::ImportReport report = plan(read_layer(folder / "d.gpkg", {}), survey);
  const auto below = reaches_of(report);
  REQUIRE(below.size() == 1);
  CHECK(count(report, core::ChannelFault::kAlone) == 0);
  survey.reaches.push_back(below[0]);
  const auto network = core::build_channels(survey.reaches);
  CHECK(network.graph().node_count() == 3);
  // And in the first system again it is drawn twice.
  CHECK(reaches_of(plan(read_layer(folder / "l.gpkg", {}), survey)).empty());
}
