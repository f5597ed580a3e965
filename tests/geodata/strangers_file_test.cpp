// Files from strangers, as an import opens them: what is in them is read, never run, followed or expanded.
#include <doctest/doctest.h>
#include <gdal.h>

#include <cstdlib>
#include <ctime>
#include <filesystem>
#include <functional>

#include "core/base/error.hpp"
#include "core/store/sqlite.hpp"
#include "core/store/survey_file.hpp"
#include "geodata/export.hpp"
#include "geodata/sqlite_guard_internal.hpp"
#include "geodata/vector_input.hpp"
#include "tests/geodata/small_survey.hpp"
#include "tests/support/files.hpp"

using namespace brookmark;        // NOLINT: many words of the trade in one place
using namespace brookmark::core;  // NOLINT
using brookmark::geodata::module_of;
using brookmark::geodata::read_layer;
using brookmark::test::read_text;
using brookmark::test::SmallSurvey;
using brookmark::test::TemporaryFolder;
using brookmark::test::write_text;

namespace {

std::string refusal(const std::filesystem::path& file, const std::string& layer = {}) {
  try {
    read_layer(file, {layer, "EPSG:4326"});
  } catch (const Error& error) {
    CHECK(error.code() == ErrorCode::kBadInput);
    return error.what();
  }
  return {};
}

bool says(const std::string& text, const char* part) {
  return text.find(part) != std::string::npos;
}

// A GeoPackage of ours that somebody changed with plain SQL.
std::filesystem::path changed(const TemporaryFolder& folder, const std::string& name,
                              const std::string& sql) {
  const SmallSurvey survey;
  const auto file = folder / name;
  export_survey(survey.source(), file, {});
  const Database database(file, OpenMode::kReadWrite, 0);
  database.execute(sql);
  return file;
}

std::string all_text(const Table& table) {
  std::string text;
  for (const TableRow& row : table.rows)
    for (const std::string& cell : row.cells) text += cell + "\n";
  return text;
}

// Ten entities of ten of the one before: a hundred million words.
std::string laughs(const char* root) {
  std::string text = std::string("<?xml version=\"1.0\"?>\n<!DOCTYPE ") + root + " [<!ENTITY a \"ha\">";
  for (char c = 'b'; c < 'j'; ++c) {
    text += std::string("<!ENTITY ") + c + " \"";
    for (int i = 0; i < 10; ++i) text += std::string("&") + static_cast<char>(c - 1) + ";";
    text += "\">";
  }
  return text + "]>\n";
}

std::string gpx(const std::string& name) {
  return "<gpx version=\"1.1\" xmlns=\"http://www.topografix.com/GPX/1/1\"><wpt lat=\"50\" "
         "lon=\"-30\"><name>" +
         name + "</name></wpt></gpx>";
}

std::string kml(const std::string& name) {
  return "<kml xmlns=\"http://www.opengis.net/kml/2.2\"><Document><Placemark><name>" + name +
         "</name><Point><coordinates>-30,50</coordinates></Point></Placemark></Document></kml>";
}

std::string gml(const std::string& name) {
  return "<c xmlns:gml=\"http://www.opengis.net/gml\"><gml:featureMember><f><name>" + name +
         "</name><g><gml:Point "
         "srsName=\"EPSG:4326\"><gml:coordinates>-30,50</gml:coordinates></gml:Point></g></f>"
         "</gml:featureMember></c>";
}

}  // namespace

TEST_CASE("a view, a virtual table and a computed column of a stranger's database are not read") {
  const TemporaryFolder folder;
  // It never ends: whoever only counts its rows hangs.
  const auto endless =
      changed(folder, "endless.gpkg",
              "CREATE VIEW v AS WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) "
              "SELECT i AS fid, 'x' AS code FROM n WHERE i < 0; INSERT INTO gpkg_contents "
              "(table_name, data_type, identifier, srs_id) VALUES ('v', 'attributes', 'v', 0)");
  const std::clock_t began = std::clock();  // of this program alone: other work does not count
  CHECK(says(refusal(endless), "\"v\" is a view"));
  CHECK(says(refusal(endless, "sites"), "\"v\" is a view"));
  CHECK(std::clock() - began < 5 * CLOCKS_PER_SEC);

  // It would bring another file of this machine into the survey.
  write_text(folder / "diary.txt", "code:name\nD1:dear diary\n");
  const auto reads =
      changed(folder, "reads.gpkg",
              "PRAGMA writable_schema = ON; INSERT INTO sqlite_master (type, name, tbl_name, rootpage, sql) "
              "VALUES ('table', "
              "'visitors', 'visitors', 0, 'CREATE VIRTUAL TABLE visitors USING VirtualText(''" +
                  (folder / "diary.txt").string() +
                  "'', ''UTF-8'', 1, POINT, NONE, '':'')'); INSERT INTO gpkg_contents (table_name, "
                  "data_type, identifier, "
                  "srs_id) VALUES ('visitors', 'attributes', 'visitors', 0)");
  CHECK(says(refusal(reads, "visitors"), "\"visitors\" is a virtual table"));
  CHECK(says(refusal(reads, "sites"), "\"visitors\" is a virtual table"));

  const auto computed = changed(folder, "computed.gpkg",
                                "ALTER TABLE outfalls ADD COLUMN more TEXT AS (hex(zeroblob(400000000)))");
  CHECK(says(refusal(computed, "sites"), "\"more\" of \"outfalls\" is computed"));
}

TEST_CASE("triggers of a stranger's database do not fire, and not a byte of it changes") {
  const TemporaryFolder folder;
  const auto file = changed(folder, "triggers.gpkg",
                            "CREATE TRIGGER t1 AFTER INSERT ON gpkg_ogr_contents BEGIN DELETE FROM sites; "
                            "END; CREATE TRIGGER t2 AFTER "
                            "UPDATE ON gpkg_contents BEGIN DELETE FROM sites; END; CREATE TRIGGER t3 BEFORE "
                            "UPDATE ON sites BEGIN SELECT "
                            "RAISE(ABORT, 'mine'); END");
  const std::string before = read_text(file);
  CHECK(read_layer(file, {"sites", {}}).rows.size() == 3);
  const bool same = read_text(file) == before;
  CHECK(same);
  CHECK(std::distance(std::filesystem::directory_iterator(folder.path()), {}) == 1);
}

TEST_CASE("names in an archive that climb out of it write nothing and read nothing outside") {
  const TemporaryFolder outside;
  std::filesystem::create_directory(outside / "in");
  write_text(outside / "doc.kml", kml("outside"));
  const std::string script =
      "import sys, zipfile\n"
      "for name in ('a.kmz', 'b.kmz'):\n"
      "  z = zipfile.ZipFile(sys.argv[1] + '/' + name, 'w')\n"
      "  z.writestr('../../climbed.txt', 'x'); z.writestr('../climbed.txt', 'x')\n"
      "  z.writestr('/tmp/brookmark-climbed.txt', 'x')\n"
      "  z.writestr('doc.kml' if name == 'a.kmz' else '../doc.kml', sys.stdin.read() if name == 'a.kmz' else "
      "'x')\n"
      "  z.close()\n";
  write_text(outside / "make.py", script);
  write_text(outside / "in.kml", kml("N1"));
  REQUIRE(std::system(("python3 " + (outside / "make.py").string() + " " + (outside / "in").string() + " < " +
                       (outside / "in.kml").string())
                          .c_str()) == 0);
  CHECK(says(all_text(read_layer(outside / "in" / "a.kmz", {})), "N1"));
  CHECK(refusal(outside / "in" / "b.kmz").size() > 20);
  CHECK(std::distance(std::filesystem::directory_iterator(outside / "in"), {}) == 2);
  CHECK(std::distance(std::filesystem::directory_iterator(outside.path()), {}) == 4);
  CHECK_FALSE(std::filesystem::exists(outside.path().parent_path() / "climbed.txt"));
  CHECK_FALSE(std::filesystem::exists("/tmp/brookmark-climbed.txt"));
}

TEST_CASE("what a plain file of others has is let through: GeoPackage, SpatiaLite, tiles") {
  const TemporaryFolder folder;
  CHECK(read_layer(changed(folder, "plain.gpkg", "SELECT 1"), {"sites", {}}).rows.size() == 3);
  SurveyFile::create(folder / "own.brook", {"", "Own", "", "EPSG:4326"});
  geodata::refuse_what_runs(folder / "own.brook", GDAL_OF_VECTOR);
  {
    const Database full(folder / "full.sqlite", OpenMode::kCreate, 0);
    REQUIRE(full.query_integer("SELECT InitSpatialMetaDataFull(1, 'WGS84_ONLY')") == 1);
    full.execute("CREATE TABLE ponds (id INTEGER PRIMARY KEY, code TEXT)");
    REQUIRE(full.query_integer("SELECT AddGeometryColumn('ponds', 'geom', 4326, 'POINT', 'XY')") == 1);
    REQUIRE(full.query_integer("SELECT CreateSpatialIndex('ponds', 'geom')") == 1);
    full.execute("INSERT INTO ponds (code, geom) VALUES ('P1', MakePoint(-30, 50, 4326))");
  }
  CHECK(read_layer(folder / "full.sqlite", {"ponds", {}}).rows.size() == 1);
  {
    const Database tiles(folder / "a.mbtiles", OpenMode::kCreate, 0);
    tiles.execute(
        "CREATE TABLE map (z, x, y, id); CREATE TABLE images (id, data); CREATE VIEW tiles AS SELECT map.z "
        "AS "
        "zoom_level, map.x AS tile_column, map.y AS tile_row, images.data AS tile_data FROM map JOIN images "
        "ON "
        "images.id = map.id");
  }
  geodata::refuse_what_runs(folder / "a.mbtiles", GDAL_OF_VECTOR);
  std::filesystem::copy_file(folder / "a.mbtiles", folder / "a.sqlite");
  CHECK_THROWS_AS(geodata::refuse_what_runs(folder / "a.sqlite", GDAL_OF_VECTOR), Error);
  geodata::refuse_what_runs(folder / "a.sqlite", GDAL_OF_RASTER);
}

TEST_CASE("the module of a virtual table is read only where it stands plainly") {
  CHECK(module_of("CREATE VIRTUAL TABLE \"rtree_a_geom\" USING rtree(id, minx)") == "rtree");
  CHECK(module_of("CREATE VIRTUAL TABLE SpatialIndex USING VirtualSpatialIndex()") == "virtualspatialindex");
  CHECK(module_of("CREATE VIRTUAL TABLE 't' USING fts5(a)") == "fts5");
  CHECK(module_of("CREATE VIRTUAL TABLE \"x USING rtree(\" USING VirtualText('/etc/passwd')") ==
        "virtualtext");
  CHECK(module_of("CREATE VIRTUAL TABLE \"x\"\" USING rtree(\" USING VirtualText('a')") == "virtualtext");
  CHECK(module_of("CREATE VIRTUAL TABLE /* x USING rtree( */ y USING VirtualText('a')").empty());
  CHECK(module_of("CREATE VIRTUAL TABLE y USING \"VirtualText\"('a')").empty());
  CHECK(module_of("CREATE VIRTUAL TABLE \"y USING rtree(").empty());
  CHECK(module_of("CREATE TABLE y (a)").empty());
  CHECK(module_of("").empty());
}

TEST_CASE("entities in XML do not expand, neither to a flood nor to a file") {
  const TemporaryFolder folder;
  write_text(folder / "secret.txt", "do not tell");
  struct Form {
    const char *ending, *root;
    std::function<std::string(const std::string&)> text;
  };
  for (const Form& form : {Form{".gpx", "gpx", gpx}, Form{".kml", "kml", kml}, Form{".gml", "c", gml}}) {
    CAPTURE(form.ending);
    const auto flood = folder / (std::string("flood") + form.ending);
    write_text(flood, laughs(form.root) + form.text("&i;"));
    const std::clock_t began = std::clock();
    CHECK(says(refusal(flood), "declares a document type"));
    CHECK(std::clock() - began < 10 * CLOCKS_PER_SEC);

    const auto file = folder / (std::string("file") + form.ending);
    write_text(file, std::string("<?xml version=\"1.0\"?>\n<!DOCTYPE ") + form.root +
                         " [<!ENTITY x SYSTEM \"file://" + (folder / "secret.txt").string() + "\">]>\n" +
                         form.text("N&x;"));
    CHECK(says(refusal(file), "declares a document type"));
    // One small entity, behind a comment, and in two bytes a letter.
    const std::string small = "<?xml version=\"1.0\"?>\n<!-- <not-the-root> -->\n<!DOCTYPE " +
                              std::string(form.root) + " [<!ENTITY l \"lol\">]>\n" + form.text("N&l;");
    write_text(file, small);
    CHECK(says(refusal(file), "declares a document type"));
    std::string wide = "\xff\xfe";
    for (const char c : small) wide += {c, '\0'};
    write_text(file, wide);
    CHECK(says(refusal(file), "declares a document type"));
    // The same without an entity is read.
    write_text(file, form.text("N1"));
    CHECK(says(all_text(read_layer(file, {})), "N1"));
  }
  // Nothing was written beside them.
  CHECK(std::distance(std::filesystem::directory_iterator(folder.path()), {}) == 7);
}
