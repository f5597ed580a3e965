// GeoJSON, CSV and GPX: the same sites in other clothes.
#include <doctest/doctest.h>

#include "core/base/csv.hpp"
#include "geodata/export.hpp"
#include "geodata/vector_input.hpp"
#include "tests/geodata/small_survey.hpp"
#include "tests/support/files.hpp"

using brookmark::core::LonLat;
using brookmark::core::Table;
using brookmark::geodata::export_survey;
using brookmark::geodata::read_layer;
using brookmark::test::read_text;
using brookmark::test::SmallSurvey;
using brookmark::test::TemporaryFolder;
using brookmark::test::uuid;

namespace {

std::string cell(const Table& table, std::size_t row, const char* column) {
  const auto at = table.find(column);
  REQUIRE(at.has_value());
  return table.rows.at(row).cells.at(*at);
}

bool says(const std::string& text, const char* part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("GeoJSON has longitude first, seven decimals, a key and no crs member") {
  const TemporaryFolder folder;
  SmallSurvey survey;
  survey.snapshot.sites.position[2] = {-30.123456789, 50.987654321};
  export_survey(survey.source(), folder / "out.geojson", {});
  const std::string text = read_text(folder / "out.geojson");
  CHECK(says(text, "\"coordinates\":[-30.1234568,50.9876543]"));
  CHECK(says(text, ("\"id\":\"" + uuid(100) + "\"").c_str()));
  CHECK_FALSE(says(text, "\"crs\""));
  CHECK(says(text, "\"class\":\"good\""));
  CHECK(says(text, "\"class\":null"));
  CHECK(says(text, "does not say that water is safe to drink"));
  const Table sites = read_layer(folder / "out.geojson", {});
  REQUIRE(sites.rows.size() == 3);
  CHECK(sites.crs_note.empty());
  CHECK(std::get<LonLat>(sites.rows[0].shape) == LonLat{-30, 50.018});
  CHECK(cell(sites, 0, "method_title") == "Test index <A & B>");
  CHECK(cell(sites, 0, "value") == "12");
  CHECK(cell(sites, 1, "name") == "Bridge <low> & \"old\", Mühle");
  CHECK(cell(sites, 2, "value").empty());
}

TEST_CASE("a cell that a spreadsheet would run as a formula gets an apostrophe, and numbers stay numbers") {
  const TemporaryFolder folder;
  SmallSurvey survey;
  survey.snapshot.sites.raw[1] = {"@SUM(A1)", "+1+cmd|' /C calc'!A0", "-2", "\t=1"};
  export_survey(survey.source(), folder / "out.csv", {});
  const Table sites = brookmark::core::read_csv_file(folder / "out.csv");
  REQUIRE(sites.rows.size() == 3);
  CHECK(cell(sites, 0, "name") == "'=HYPERLINK(\"x\")");
  CHECK(cell(sites, 1, "raw_x") == "'@SUM(A1)");
  CHECK(cell(sites, 1, "raw_y") == "'+1+cmd|' /C calc'!A0");
  CHECK(cell(sites, 1, "raw_crs") == "-2");
  CHECK(cell(sites, 1, "position_note") == "'\t=1");
  CHECK(cell(sites, 0, "raw_x") == "-30");
  CHECK(cell(sites, 0, "longitude") == "-30");
  CHECK(cell(sites, 1, "longitude") == "-30.0005");
  CHECK(cell(sites, 1, "latitude") == "50.01");
  CHECK(cell(sites, 1, "name") == "Bridge <low> & \"old\", Mühle");
  CHECK(cell(sites, 0, "class") == "good");
  CHECK(cell(sites, 1, "class").empty());
  CHECK(cell(sites, 0, "sample_date") == "2023-05-03");
}

TEST_CASE("GPX waypoints carry code, class and method with their special characters escaped") {
  const TemporaryFolder folder;
  const SmallSurvey survey;
  export_survey(survey.source(), folder / "out.gpx", {});
  const std::string text = read_text(folder / "out.gpx");
  CHECK(says(text, "<wpt lat=\"50.01\" lon=\"-30.0005\">"));
  CHECK(says(text, "&lt;low&gt; &amp;"));
  CHECK_FALSE(says(text, "<low>"));
  CHECK(says(text, "creator=\"Brookmark\""));
  CHECK_FALSE(says(text, "GDAL"));
  const Table sites = read_layer(folder / "out.gpx", {.layer = "waypoints", .crs = {}});
  REQUIRE(sites.rows.size() == 3);
  CHECK(cell(sites, 0, "name") == "S1");
  CHECK(says(cell(sites, 0, "desc"),
             "Test index <A & B> (memory), Sum of scores: 12, class good, a newer sample of 2024-05-04 has "
             "no class"));
  CHECK(says(cell(sites, 0, "desc"), ", sampled 2023-05-03."));
  CHECK(says(cell(sites, 1, "desc"), "Bridge <low> & \"old\", Mühle"));
  CHECK(says(cell(sites, 1, "desc"), "outside the method's scope"));
  CHECK_FALSE(says(cell(sites, 1, "desc"), "class poor"));
  CHECK(says(cell(sites, 2, "desc"), "No value by"));
  CHECK(std::get<LonLat>(sites.rows[1].shape) == LonLat{-30.0005, 50.010});
}
