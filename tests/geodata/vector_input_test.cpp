#include "geodata/vector_input.hpp"

#include <doctest/doctest.h>

#include "core/base/error.hpp"
#include "tests/geodata/layers.hpp"
#include "tests/support/files.hpp"
#include "tests/support/near.hpp"

using brookmark::Error;
using brookmark::ErrorCode;
using brookmark::core::Line;
using brookmark::core::LonLat;
using brookmark::core::MultiPolygon;
using brookmark::core::Table;
using brookmark::geodata::read_layer;
using brookmark::test::LayerToWrite;
using brookmark::test::near;
using brookmark::test::read_text;
using brookmark::test::TemporaryFolder;
using brookmark::test::write_layer;
using brookmark::test::write_layers;
using brookmark::test::write_text;

namespace {

std::string cell(const Table& table, std::size_t row, const char* column) {
  const auto at = table.find(column);
  REQUIRE(at.has_value());
  return table.rows.at(row).cells.at(*at);
}

// The sentence of the Error that reading throws; "" when it does not.
std::string refusal(const std::filesystem::path& file, ErrorCode code, const std::string& layer = {}) {
  try {
    read_layer(file, {.layer = layer, .crs = {}});
  } catch (const Error& error) {
    CHECK(error.code() == code);
    return error.what();
  }
  return {};
}

bool says(const std::string& text, const char* part) {
  return text.find(part) != std::string::npos;
}

Table read_shapes(const TemporaryFolder& folder, const std::vector<std::string>& wkts) {
  LayerToWrite layer{.name = "shapes"};
  for (const std::string& wkt : wkts) layer.rows.push_back({wkt, {}});
  write_layer(folder / "shapes.gpkg", "GPKG", layer);
  return read_layer(folder / "shapes.gpkg", {});
}

}  // namespace

TEST_CASE("points, lines and polygons of GeoPackage, shapefile, GeoJSON and KML read alike") {
  const TemporaryFolder folder;
  const struct {
    const char* driver;
    const char* ending;
  } formats[] = {{"GPKG", ".gpkg"}, {"ESRI Shapefile", ".shp"}, {"GeoJSON", ".geojson"}, {"KML", ".kml"}};
  for (const auto& format : formats) {
    CAPTURE(format.driver);
    const auto file = [&](const char* name) { return folder / (std::string(name) + format.ending); };
    write_layer(file("point"), format.driver,
                {.name = "point",
                 .type = wkbPoint,
                 .fields = {{"Name"}},
                 .rows = {{"POINT (6.5 49.25)", {"Mühle"}}, {"POINT (-6.5 -49.25)", {"b"}}}});
    write_layer(file("line"), format.driver,
                {.name = "line",
                 .type = wkbLineString,
                 .fields = {{"Name"}},
                 .rows = {{"LINESTRING (1 50, 1.5 50.25, 2 50)", {"Aa"}}}});
    write_layer(
        file("area"), format.driver,
        {.name = "area",
         .type = wkbPolygon,
         .fields = {{"Name"}},
         .rows = {{"POLYGON ((1 50, 2 50, 2 51, 1 51, 1 50), (1.25 50.25, 1.5 50.25, 1.5 50.5, 1.25 50.25))",
                   {"c"}}}});
    const Table points = read_layer(file("point"), {});
    CHECK(points.has_shapes);
    CHECK(points.crs_note.empty());
    REQUIRE(points.rows.size() == 2);
    CHECK(points.rows[0].line == 1);
    CHECK(points.rows[1].line == 2);
    CHECK(points.rows[0].issue.empty());
    CHECK(cell(points, 0, "Name") == "Mühle");
    CHECK(std::get<LonLat>(points.rows[0].shape) == LonLat{6.5, 49.25});
    CHECK(std::get<LonLat>(points.rows[1].shape) == LonLat{-6.5, -49.25});
    const Table lines = read_layer(file("line"), {});
    CHECK(std::get<std::vector<Line>>(lines.rows.at(0).shape) ==
          std::vector<Line>{{{1, 50}, {1.5, 50.25}, {2, 50}}});
    const auto area = std::get<MultiPolygon>(read_layer(file("area"), {}).rows.at(0).shape);
    REQUIRE(area.size() == 1);
    CHECK(area[0].rings.size() == 2);
    CHECK(area[0].rings[0].size() == 5);
    CHECK(area[0].rings[0].front() == area[0].rings[0].back());
  }
}

TEST_CASE("many-part lines and polygons stay one row") {
  const TemporaryFolder folder;
  const Table table =
      read_shapes(folder, {"MULTILINESTRING ((1 50, 2 50), (3 50, 4 50, 5 51))",
                           "MULTIPOLYGON (((1 50, 2 50, 2 51, 1 50)), ((3 50, 4 50, 4 51, 3 50)))"});
  CHECK(std::get<std::vector<Line>>(table.rows.at(0).shape) ==
        std::vector<Line>{{{1, 50}, {2, 50}}, {{3, 50}, {4, 50}, {5, 51}}});
  CHECK(std::get<MultiPolygon>(table.rows.at(1).shape).size() == 2);
}

TEST_CASE("heights and measures are dropped") {
  const TemporaryFolder folder;
  const Table table = read_shapes(folder, {"POINT ZM (1 50 300 7)", "LINESTRING Z (1 50 300, 2 50 290)"});
  CHECK(std::get<LonLat>(table.rows.at(0).shape) == LonLat{1, 50});
  CHECK(std::get<std::vector<Line>>(table.rows.at(1).shape) == std::vector<Line>{{{1, 50}, {2, 50}}});
}

TEST_CASE("a curve becomes a line that stays on it") {
  const TemporaryFolder folder;
  // A half circle of radius 1 about 2, 50 and a quarter more; every vertex must lie at distance 1 from the
  // centre.
  const Table table = read_shapes(
      folder, {"CIRCULARSTRING (1 50, 2 51, 3 50)", "CURVEPOLYGON (CIRCULARSTRING (1 50, 3 50, 1 50))"});
  const auto lines = std::get<std::vector<Line>>(table.rows.at(0).shape);
  REQUIRE(lines.size() == 1);
  CHECK(lines[0].size() > 90);
  CHECK(lines[0].front() == LonLat{1, 50});
  CHECK(lines[0].back() == LonLat{3, 50});
  for (const LonLat at : lines[0]) CHECK(near(std::hypot(at.lon - 2, at.lat - 50), 1, 1e-9));
  CHECK(std::get<MultiPolygon>(table.rows.at(1).shape).at(0).rings.at(0).size() > 180);
}

TEST_CASE("a row without a geometry, or with an empty one, has no shape and no issue") {
  const TemporaryFolder folder;
  const Table table = read_shapes(folder, {"", "POINT EMPTY", "LINESTRING EMPTY", "MULTIPOLYGON EMPTY",
                                           "GEOMETRYCOLLECTION EMPTY", "POINT (1 50)"});
  for (std::size_t i = 0; i < 5; ++i) {
    CHECK(std::holds_alternative<std::monostate>(table.rows.at(i).shape));
    CHECK(table.rows[i].issue.empty());
  }
  CHECK(table.rows.at(5).line == 6);
}

TEST_CASE("one point in a multipoint is a point and several are an issue") {
  const TemporaryFolder folder;
  const Table table = read_shapes(folder, {"MULTIPOINT ((1 50))", "MULTIPOINT ((1 50), (2 50))"});
  CHECK(std::get<LonLat>(table.rows.at(0).shape) == LonLat{1, 50});
  CHECK(says(table.rows.at(1).issue, "2 points"));
  CHECK(std::holds_alternative<std::monostate>(table.rows[1].shape));
}

TEST_CASE("shapes that are not a point, lines or polygons are an issue of their row") {
  const TemporaryFolder folder;
  const Table table = read_shapes(folder, {"GEOMETRYCOLLECTION (POINT (1 50), LINESTRING (1 50, 2 50))",
                                           "TIN (((1 50, 2 50, 2 51, 1 50)))", "LINESTRING (1 50)",
                                           "POLYGON ((1 50, 2 50, 1 50))", "POINT (1 50)"});
  CHECK(says(table.rows.at(0).issue, "collection"));
  CHECK(says(table.rows.at(1).issue, "TIN"));
  CHECK(says(table.rows.at(2).issue, "single point"));
  CHECK(says(table.rows.at(3).issue, "fewer than three corners"));
  CHECK(table.rows.at(4).issue.empty());
}

TEST_CASE("a coordinate that is not finite or not on the earth is an issue of its row") {
  const TemporaryFolder folder;
  const Table table = read_shapes(folder, {"LINESTRING (1 50, 1e400 50)", "LINESTRING (1 50, 2 -1e400)",
                                           "POINT (50 120)", "POINT (294512 5535127)"});
  CHECK(says(table.rows.at(0).issue, "not a finite number"));
  CHECK(says(table.rows.at(1).issue, "not a finite number"));
  CHECK(says(table.rows.at(2).issue, "changed places"));
  CHECK(says(table.rows.at(3).issue, "projected coordinate system"));
  for (const auto& row : table.rows) CHECK(std::holds_alternative<std::monostate>(row.shape));

  write_layer(folder / "far.gpkg", "GPKG",
              {.epsg = 25832, .rows = {{"POINT (1e30 1e30)", {}}, {"POINT (500000 5983522)", {}}}});
  const Table far = read_layer(folder / "far.gpkg", {});
  CHECK(says(far.rows.at(0).issue, "no place on the earth"));
  CHECK(far.rows.at(1).issue.empty());
}

TEST_CASE("attributes become the text that an import reads") {
  const TemporaryFolder folder;
  write_layer(
      folder / "a.gpkg", "GPKG",
      {.name = "a",
       .fields = {{"text"},
                  {"whole", OFTInteger64},
                  {"real", OFTReal},
                  {"short_real", OFTReal, OFSTFloat32},
                  {"flag", OFTInteger, OFSTBoolean},
                  {"day", OFTDate},
                  {"moment", OFTDateTime}},
       .rows = {
           {"POINT (1 50)",
            {"Ø, \"x\"", "-9007199254740993", "0.1", "0.1", "1", "2024/05/03", "2024/05/03 09:30:00+00"}},
           {"POINT (1 50)", {"", "", "", "", "", "", ""}},
           {"POINT (1 50)", {"", "0", "1e21", "", "0", "1699/12/31", "2024/05/03 09:30:15.250+02"}}}});
  const Table table = read_layer(folder / "a.gpkg", {});
  CHECK(table.columns ==
        std::vector<std::string>{"text", "whole", "real", "short_real", "flag", "day", "moment"});
  CHECK(table.rows.at(0).cells == std::vector<std::string>{"Ø, \"x\"", "-9007199254740993", "0.1", "0.1",
                                                           "true", "2024-05-03", "2024-05-03T09:30:00Z"});
  CHECK(table.rows.at(1).cells == std::vector<std::string>(7));
  CHECK(cell(table, 2, "whole") == "0");
  CHECK(cell(table, 2, "real") == "1e+21");
  CHECK(cell(table, 2, "flag") == "false");
  CHECK(cell(table, 2, "day") == "1699-12-31");
  CHECK(cell(table, 2, "moment") == "2024-05-03T09:30:15.250+02:00");
}

TEST_CASE("lists are joined and a number that is not finite is an issue") {
  const TemporaryFolder folder;
  write_text(
      folder / "l.geojson",
      R"({"type":"FeatureCollection","features":[{"type":"Feature","geometry":{"type":"Point","coordinates":[1,50]},)"
      R"("properties":{"names":["a","b"],"counts":[1,20],"depths":[0.5,1.25]}}]})");
  const Table lists = read_layer(folder / "l.geojson", {});
  CHECK(cell(lists, 0, "names") == "a;b");
  CHECK(cell(lists, 0, "counts") == "1;20");
  CHECK(cell(lists, 0, "depths") == "0.5;1.25");
  write_layer(
      folder / "n.gpkg", "GPKG",
      {.fields = {{"depth", OFTReal}}, .rows = {{"POINT (1 50)", {"inf"}}, {"POINT (1 50)", {"0.5"}}}});
  const Table numbers = read_layer(folder / "n.gpkg", {});
  CHECK(says(numbers.rows.at(0).issue, "depth"));
  CHECK(numbers.rows.at(1).issue.empty());
}

TEST_CASE("a layer of several must be named, and the sentence lists them") {
  const TemporaryFolder folder;
  write_layers(folder / "two.gpkg", "GPKG",
               {{.name = "reaches", .rows = {{"LINESTRING (1 50, 2 50)", {}}}},
                {.name = "ponds", .rows = {{"POINT (1 50)", {}}}}});
  const std::string text = refusal(folder / "two.gpkg", ErrorCode::kBadInput);
  CHECK(says(text, "\"reaches\", \"ponds\""));
  CHECK(read_layer(folder / "two.gpkg", {.layer = "ponds", .crs = {}}).rows.size() == 1);
  CHECK(says(refusal(folder / "two.gpkg", ErrorCode::kBadInput, "lakes"), "no layer \"lakes\""));
}

TEST_CASE("the only filled layer of several leaves no choice") {
  const TemporaryFolder folder;
  write_text(folder / "w.gpx",
             "<?xml version=\"1.0\"?><gpx version=\"1.1\" creator=\"test\" "
             "xmlns=\"http://www.topografix.com/GPX/1/1\">"
             "<wpt lat=\"50\" lon=\"1\"><name>A</name><time>2024-05-03T09:30:00Z</time></wpt></gpx>");
  const Table table = read_layer(folder / "w.gpx", {});
  CHECK(cell(table, 0, "name") == "A");
  CHECK(cell(table, 0, "time") == "2024-05-03T09:30:00Z");
}

TEST_CASE("a table without geometry is a table without shapes") {
  const TemporaryFolder folder;
  write_layer(folder / "t.gpkg", "GPKG",
              {.epsg = 0, .type = wkbNone, .fields = {{"taxon"}}, .rows = {{"", {"Baetidae"}}}});
  const Table table = read_layer(folder / "t.gpkg", {});
  CHECK_FALSE(table.has_shapes);
  CHECK(cell(table, 0, "taxon") == "Baetidae");
}

TEST_CASE("files that cannot be read are refused with a sentence") {
  const TemporaryFolder folder;
  CHECK(says(refusal(folder / "none.gpkg", ErrorCode::kNotFound), "no such file"));
  write_text(folder / "empty.geojson", "");
  CHECK(says(refusal(folder / "empty.geojson", ErrorCode::kBadInput), "not a vector file"));
  write_text(folder / "noise.shp", std::string(300, 'x'));
  CHECK(says(refusal(folder / "noise.shp", ErrorCode::kBadInput), "not a vector file"));
  write_layer(folder / "whole.geojson", "GeoJSON", {.rows = {{"POINT (1 50)", {}}, {"POINT (2 50)", {}}}});
  const std::string text = read_text(folder / "whole.geojson");
  write_text(folder / "cut.geojson", text.substr(0, text.size() / 2));
  CHECK_FALSE(refusal(folder / "cut.geojson", ErrorCode::kBadInput).empty());
  CHECK_FALSE(refusal(folder.path(), ErrorCode::kBadInput).empty());
}

TEST_CASE("a damaged file is refused as a whole, not read in part") {
  const TemporaryFolder folder;
  LayerToWrite layer{.type = wkbLineString};
  for (int i = 0; i < 200; ++i) layer.rows.push_back({"LINESTRING (1 50, 1.5 50, 2 50.5, 3 51)", {}});
  write_layer(folder / "cut.shp", "ESRI Shapefile", layer);
  std::filesystem::resize_file(folder / "cut.shp", std::filesystem::file_size(folder / "cut.shp") / 2);
  CHECK(says(refusal(folder / "cut.shp", ErrorCode::kBadInput), "damaged"));
  write_layer(folder / "cut.gpkg", "GPKG", layer);
  std::filesystem::resize_file(folder / "cut.gpkg", std::filesystem::file_size(folder / "cut.gpkg") / 2);
  CHECK(says(refusal(folder / "cut.gpkg", ErrorCode::kBadInput), "damaged"));
}

TEST_CASE("an empty layer and a file without layers are refused") {
  const TemporaryFolder folder;
  write_layer(folder / "empty.gpkg", "GPKG", {.name = "sites", .type = wkbPoint});
  CHECK(says(refusal(folder / "empty.gpkg", ErrorCode::kBadInput), "layer \"sites\" is empty"));
  write_layers(folder / "none.gpkg", "GPKG", {});
  CHECK_FALSE(refusal(folder / "none.gpkg", ErrorCode::kBadInput).empty());
  write_layers(folder / "hollow.gpkg", "GPKG",
               {{.name = "a", .type = wkbPoint}, {.name = "b", .type = wkbPoint}});
  CHECK(says(refusal(folder / "hollow.gpkg", ErrorCode::kBadInput), "every layer of the file is empty"));
}

TEST_CASE("reading leaves the file and its folder as they were") {
  const TemporaryFolder folder;
  write_layer(folder / "a.gpkg", "GPKG", {.rows = {{"POINT (1 50)", {}}}});
  const std::string before = read_text(folder / "a.gpkg");
  read_layer(folder / "a.gpkg", {});
  CHECK(read_text(folder / "a.gpkg") == before);
  CHECK(std::distance(std::filesystem::directory_iterator(folder.path()), {}) == 1);
}

TEST_CASE("a file that only points to other places is not followed") {
  const TemporaryFolder folder;
  write_text(folder / "remote.vrt",
             "<OGRVRTDataSource><OGRVRTLayer "
             "name=\"a\"><SrcDataSource>/vsicurl/http://127.0.0.1:9/a.geojson</SrcDataSource>"
             "</OGRVRTLayer></OGRVRTDataSource>");
  CHECK(says(refusal(folder / "remote.vrt", ErrorCode::kBadInput), "not a vector file"));
}

TEST_CASE("plain tables are left to the core") {
  using brookmark::geodata::is_plain_table;
  CHECK(is_plain_table("a/records.csv"));
  CHECK(is_plain_table("A.TSV"));
  CHECK(is_plain_table("a.txt"));
  CHECK_FALSE(is_plain_table("a.gpkg"));
  CHECK_FALSE(is_plain_table("csv"));
  CHECK(brookmark::geodata::geodata_versions().substr(0, 5) == "GDAL ");
}
