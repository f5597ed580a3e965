#include <doctest/doctest.h>

#include <gdal_alg.h>
#include <ogrsf_frmts.h>
#include <cmath>

#include <cstdlib>
#include <memory>

#include "core/base/csv.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/store/sqlite.hpp"
#include "geodata/crs_caution.hpp"
#include "geodata/export.hpp"
#include "geodata/vector_input.hpp"
#include "tests/geodata/small_survey.hpp"
#include "tests/support/files.hpp"
#include "tests/support/near.hpp"
#include "tests/support/secret_survey.hpp"

using brookmark::Error;
using brookmark::ErrorCode;
using brookmark::core::Database;
using brookmark::core::OpenMode;
using brookmark::core::Statement;
using brookmark::geodata::export_survey;
using brookmark::geodata::ExportOptions;
using brookmark::test::near;
using brookmark::test::read_text;
using brookmark::test::SmallSurvey;
using brookmark::test::TemporaryFolder;

namespace {

std::vector<std::string> texts(const std::filesystem::path& file, const std::string& sql) {
  const Database database(file, OpenMode::kReadOnly, 0);
  Statement row(database, sql);
  std::vector<std::string> found;
  while (row.step()) found.emplace_back(row.is_null(0) ? std::string("NULL") : std::string(row.text(0)));
  return found;
}

std::string refusal(const SmallSurvey& survey, const std::filesystem::path& file,
                    const ExportOptions& options) {
  try {
    export_survey(survey.source(), file, options);
  } catch (const Error& error) {
    CHECK(error.code() == ErrorCode::kBadUse);
    CHECK_FALSE(std::filesystem::exists(file));
    return error.what();
  }
  return "";
}

bool well_formed(const TemporaryFolder& folder, const std::string& xml) {
  brookmark::test::write_text(folder / "x.xml", xml);
  const std::string command = "python3 -c \"import sys, xml.dom.minidom as m; m.parse(sys.argv[1])\" '" +
                              (folder / "x.xml").string() + "' > /dev/null 2>&1";
  return std::system(command.c_str()) == 0;
}

}  // namespace

TEST_CASE("coordinates in a national grid are those of the grid, and the system stands in the file") {
  const TemporaryFolder folder;
  const SmallSurvey survey;
  // The survey lies between 30.2 and 30 degrees west: in UTM zone 25N, which reaches from 36 to 30, and not in Britain.
  CHECK(refusal(survey, folder / "a.gpkg", {.crs = "EPSG:27700"}).find("British National Grid") !=
        std::string::npos);
  CHECK(refusal(survey, folder / "a.gpkg", {.crs = "27700"}).find("EPSG:number") != std::string::npos);
  CHECK_THROWS_AS(export_survey(survey.source(), folder / "a.gpkg", {.crs = "EPSG:999999"}), Error);
  for (const char* solid : {"EPSG:4979", "EPSG:4978"})
    CHECK(refusal(survey, folder / "a.gpkg", {.crs = solid}).find("no system of two coordinates") !=
          std::string::npos);
  CHECK(refusal(survey, folder / "a.geojson", {.crs = "EPSG:32625"}).find("WGS 84") != std::string::npos);
  export_survey(survey.source(), folder / "a.gpkg", {.crs = "EPSG:32625"});
  const auto file = folder / "a.gpkg";
  CHECK(texts(file,
              "SELECT s.organization_coordsys_id FROM gpkg_geometry_columns g JOIN gpkg_spatial_ref_sys s ON "
              "s.srs_id "
              "= g.srs_id WHERE g.table_name = 'sites'") == std::vector<std::string>{"32625"});
  CHECK(texts(file, "SELECT coordinates_in FROM survey") == std::vector<std::string>{"EPSG:32625"});
  const std::unique_ptr<GDALDataset, void (*)(GDALDataset*)> data(
      GDALDataset::Open(file.c_str(), GDAL_OF_VECTOR), [](GDALDataset* d) { GDALClose(d); });
  REQUIRE(data != nullptr);
  const std::unique_ptr<OGRFeature> first(data->GetLayerByName("sites")->GetNextFeature());
  const OGRPoint* point = first->GetGeometryRef()->toPoint();
  // echo "-30 50.018" | gdaltransform -s_srs EPSG:4326 -t_srs EPSG:32625
  CHECK(near(point->getX(), 714903.898420, 0.001));
  CHECK(near(point->getY(), 5544944.867990, 0.001));
  // The box of the index holds the point.
  CHECK(texts(file,
              "SELECT count(*) FROM rtree_sites_geom WHERE id = 1 AND minx <= 714903.9 AND maxx >= 714903.89 "
              "AND miny <= "
              "5544944.87 AND maxy >= 5544944.86 AND maxx - minx < 0.2 AND maxy - miny < 1.1") ==
        std::vector<std::string>{"1"});
}

TEST_CASE("only the layers asked for are written, and a name that is none is refused with those there are") {
  const TemporaryFolder folder;
  const SmallSurvey survey;
  export_survey(survey.source(), folder / "a.gpkg", {.only = {"samples", "sites"}});
  CHECK(texts(folder / "a.gpkg",
              "SELECT table_name FROM gpkg_contents WHERE table_name IN ('sites', 'samples', 'records', "
              "'survey') ORDER BY 1") == std::vector<std::string>{"samples", "sites", "survey"});
  CHECK(texts(folder / "a.gpkg", "SELECT mapping_table_name FROM gpkgext_relations") ==
        std::vector<std::string>{"sites_samples"});
  CHECK(refusal(survey, folder / "b.gpkg", {.only = {"animals"}}).find("records") != std::string::npos);
  CHECK(refusal(survey, folder / "b.csv", {.only = {"sites", "samples"}}).find("one layer") !=
        std::string::npos);
  CHECK(refusal(survey, folder / "b.kml", {.only = {"samples"}}).find("no shapes") != std::string::npos);
  CHECK(refusal(survey, folder / "b.gpx", {.only = {"samples"}}).find("holds sites") != std::string::npos);
  CHECK(refusal(survey, folder / "b.zip", {.only = {"sites"}}).find("Darwin Core") != std::string::npos);
  export_survey(survey.source(), folder / "reaches.geojson", {.only = {"reaches"}});
  CHECK(read_text(folder / "reaches.geojson").find("LineString") != std::string::npos);
}

TEST_CASE(
    "every column is described, words of a set are listed, and styles, relations, picture and metadata are "
    "there") {
  const TemporaryFolder folder;
  const SmallSurvey survey;
  const auto file = folder / "a.gpkg";
  export_survey(survey.source(), file, {.licence = "CC BY 4.0", .clock_utc = "2024-06-01T12:00:00Z"});
  for (const std::string& layer : brookmark::geodata::export_layer_names()) {
    CAPTURE(layer);
    CHECK(texts(file, "SELECT name FROM pragma_table_info('" + layer +
                          "') WHERE name NOT IN ('fid', 'geom') AND name NOT IN (SELECT column_name FROM "
                          "gpkg_data_columns "
                          "WHERE table_name = '" +
                          layer + "' AND length(description) > 4)")
              .empty());
  }
  CHECK(texts(file,
              "SELECT value FROM gpkg_data_column_constraints WHERE constraint_name = 'site_status' ORDER BY "
              "1") == std::vector<std::string>{"active", "proposed", "retired"});
  // Relations hold the row numbers of the rows that the UUIDs tie together.
  CHECK(
      texts(
          file,
          "SELECT count(*) FROM sites_samples m JOIN sites s ON s.fid = m.base_id JOIN samples p ON p.fid = "
          "m.related_id WHERE p.site_uuid = s.uuid") == std::vector<std::string>{"4"});
  CHECK(texts(file, "SELECT count(*) FROM samples_records") == std::vector<std::string>{"6"});
  // Styles: the colours of the two classes, best first, and their names in the legend.
  const auto qml =
      texts(file, "SELECT styleQML FROM layer_styles WHERE f_table_name = 'sites' AND useAsDefault = 1");
  REQUIRE(qml.size() == 1);
  CHECK(qml[0].find("attr=\"class_rank\"") != std::string::npos);
  CHECK(qml[0].find("label=\"1  good\"") != std::string::npos);
  CHECK(qml[0].find("fieldName=\"code\"") != std::string::npos);
  for (const std::string& xml : texts(file, "SELECT styleSLD FROM layer_styles"))
    CHECK(well_formed(folder, xml));
  for (const std::string& xml : texts(file, "SELECT styleQML FROM layer_styles"))
    CHECK(well_formed(folder, xml.substr(xml.find('\n') + 1)));
  CHECK(texts(file, "SELECT count(*) FROM layer_styles WHERE update_time <> '2024-06-01T12:00:00.000Z'") ==
        std::vector<std::string>{"0"});
  // The picture is a PNG that GDAL's own reader takes.
  const Database database(file, OpenMode::kReadOnly, 0);
  Statement picture(database, "SELECT data FROM thumbnail");
  REQUIRE(picture.step());
  const auto bytes = picture.bytes(0);
  brookmark::test::write_text(folder / "t.png", std::string(bytes.begin(), bytes.end()));
  const std::unique_ptr<GDALDataset, void (*)(GDALDataset*)> png(
      GDALDataset::Open((folder / "t.png").c_str(), GDAL_OF_RASTER), [](GDALDataset* d) { GDALClose(d); });
  REQUIRE(png != nullptr);
  CHECK(png->GetRasterXSize() == 320);
  CHECK(GDALChecksumImage(png->GetRasterBand(1), 0, 0, 320, 240) != 0);
  // Metadata: who, when, method, licence, limits.
  const auto metadata = texts(file, "SELECT metadata FROM gpkg_metadata WHERE id = 1");
  REQUIRE(metadata.size() == 1);
  CHECK(well_formed(folder, metadata[0]));
  for (const char* word : {"Invented brook", "2024-06-01", "Test index", "CC BY 4.0",
                           "does not say that water is safe", "memory", "EPSG:4326"})
    CHECK_MESSAGE(metadata[0].find(word) != std::string::npos, std::string(word));
  CHECK(texts(file, "SELECT count(*) FROM gpkg_metadata_reference WHERE reference_scope = 'geopackage'") ==
        std::vector<std::string>{"1"});
}

TEST_CASE("the index that is built in bulk is described as GDAL describes its own") {
  const TemporaryFolder folder;
  const SmallSurvey survey;
  export_survey(survey.source(), folder / "a.gpkg", {.only = {"sites"}});
  const std::string command = "ogr2ogr -f GPKG -dsco VERSION=1.3 -lco FID=fid '" +
                              (folder / "b.gpkg").string() + "' '" + (folder / "a.gpkg").string() +
                              "' sites > /dev/null 2>&1";
  REQUIRE(std::system(command.c_str()) == 0);
  const std::string sql = "SELECT sql FROM sqlite_master WHERE name LIKE 'rtree_sites_geom%' ORDER BY name";
  const auto plain = [](std::vector<std::string> found) {
    for (std::string& text : found) std::erase_if(text, [](char c) { return c == ' ' || c == '\n'; });
    return found;
  };
  CHECK(plain(texts(folder / "a.gpkg", sql)) == plain(texts(folder / "b.gpkg", sql)));
  const std::string rows =
      "SELECT id || ' ' || minx || ' ' || maxx || ' ' || miny || ' ' || maxy FROM rtree_sites_geom ORDER BY "
      "id";
  CHECK(texts(folder / "a.gpkg", rows) == texts(folder / "b.gpkg", rows));
}

TEST_CASE("the environment's fixed time makes the same bytes") {
  const TemporaryFolder folder;
  const SmallSurvey survey;
  setenv("SOURCE_DATE_EPOCH", "1717243200", 1);
  export_survey(survey.source(), folder / "a.gpkg", {});
  export_survey(survey.source(), folder / "b.gpkg", {});
  unsetenv("SOURCE_DATE_EPOCH");
  const bool same = read_text(folder / "a.gpkg") == read_text(folder / "b.gpkg");
  CHECK(same);
  // date -u -d @1717243200 gives 2024-06-01 12:00:00.
  CHECK(texts(folder / "a.gpkg", "SELECT exported_utc FROM survey") ==
        std::vector<std::string>{"2024-06-01T12:00:00.000Z"});
}

TEST_CASE("a CSV has its data dictionary beside it, a line a column") {
  const TemporaryFolder folder;
  const SmallSurvey survey;
  export_survey(survey.source(), folder / "sites.csv", {});
  const auto data = brookmark::core::read_csv_file(folder / "sites.csv");
  const auto dictionary = brookmark::core::read_csv_file(folder / "sites.fields.csv");
  REQUIRE(dictionary.rows.size() == data.columns.size());
  for (std::size_t c = 0; c < data.columns.size(); ++c) {
    CHECK(dictionary.rows[c].cells[0] == data.columns[c]);
    CHECK(dictionary.rows[c].cells[2].size() > 4);
  }
}

TEST_CASE("a system that stretches lengths says by how much, and one that keeps them says nothing") {
  const SmallSurvey survey;
  // The sphere of web maps stretches by 1 / cos(latitude), here of 50.01 degrees, and by the ellipsoid a little more or less.
  const std::string caution = brookmark::geodata::crs_caution("EPSG:3857", survey.snapshot);
  const std::size_t at = caution.find(" are ");
  REQUIRE(at != std::string::npos);
  CHECK(std::abs(std::stod(caution.substr(at + 5)) - 1 / std::cos(50.01 * 3.14159265358979 / 180)) < 0.01);
  CHECK(brookmark::geodata::crs_caution("EPSG:32625", survey.snapshot).empty());
  CHECK(brookmark::geodata::crs_caution("EPSG:4326", survey.snapshot).empty());
}
