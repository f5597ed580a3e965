// A survey in a PostgreSQL server: the same layers as in a GeoPackage, and no row written that says what it said before.
#include <doctest/doctest.h>

#include <algorithm>
#include <vector>

#include "core/scoring/method.hpp"
#include "core/store/survey_file.hpp"
#include "core/survey/rows.hpp"
#include "geodata/export.hpp"
#include "tests/server/region.hpp"
#include "tests/support/secret_survey.hpp"
#include "tests/viewer/cli/run_cli.hpp"

using namespace brookmark::test;

namespace {

// A copy that may be edited.
struct Copy {
  TemporaryFolder folder;
  std::string survey = (folder / "a.brook").string();
  Copy() { std::filesystem::copy_file(demo(), survey); }
};

std::vector<std::string> sorted_lines(const std::string& text) {
  std::vector<std::string> lines;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    lines.push_back(text.substr(at, end - at));
    at = end + 1;
  }
  std::sort(lines.begin(), lines.end());
  return lines;
}

// Rows of an answer of `publish`: added, changed, removed, unchanged of a layer.
std::string counts(const brookmark::test::Answer& answer, const std::string& layer) {
  const auto table = answer.table();
  for (const auto& row : table.rows)
    if (row.cells[0] == layer)
      return row.cells[1] + " " + row.cells[2] + " " + row.cells[3] + " " + row.cells[4];
  return "no such layer";
}

}  // namespace

TEST_CASE("the server holds the layers of the GeoPackage, cell by cell") {
  const Region region;
  const TemporaryFolder folder;
  const std::string gpkg = (folder / "a.gpkg").string();
  run_well({"export", demo(), gpkg});
  run_well({"publish", demo(), region.words()});
  for (const std::string& layer : brookmark::geodata::export_layer_names()) {
    CAPTURE(layer);
    // Both read by GDAL's own program, to text; the columns of the GeoPackage are asked for by name.
    const std::string from_gpkg = shell_well("ogr2ogr -f CSV /vsistdout/ " + in_quotes(gpkg) + " " + layer +
                                             " -lco GEOMETRY=AS_WKT -lco SEPARATOR=SEMICOLON 2>/dev/null");
    std::string columns = from_gpkg.substr(0, from_gpkg.find('\n'));
    std::erase(columns, '"');
    if (columns.starts_with("WKT;")) columns.erase(0, 4);
    std::replace(columns.begin(), columns.end(), ';', ',');
    const std::string from_server = shell_well(
        "PGTZ=UTC ogr2ogr -f CSV /vsistdout/ " + in_quotes(region.words()) + " brookmark." + layer +
        " -select " + columns + " -lco GEOMETRY=AS_WKT -lco SEPARATOR=SEMICOLON 2>/dev/null");
    const auto theirs = sorted_lines(from_gpkg), ours = sorted_lines(from_server);
    CHECK(theirs.size() > 3);
    REQUIRE(ours.size() == theirs.size());
    for (std::size_t i = 0; i < ours.size(); ++i)
      if (ours[i] != theirs[i]) REQUIRE(ours[i] == theirs[i]);
  }
  // GDAL's text has fifteen digits; the rest of a number is seen here.
  CHECK(
      region.ask(
          "SELECT count(*) FROM brookmark.reaches WHERE abs(length_m - ST_Length(geom::geography)) > 1e-3") ==
      "0\n");
  CHECK(region.ask("SELECT count(*) FROM brookmark.visits WHERE started_utc::date NOT BETWEEN date - 1 AND "
                   "date + 1") == "0\n");
  CHECK(says(region.ask("SELECT col_description('brookmark.sites'::regclass, attnum) FROM pg_attribute WHERE "
                        "attrelid = 'brookmark.sites'::regclass AND attname = 'snap_m'"),
             "m"));
}

TEST_CASE("publishing again writes no row at all") {
  const Region region;
  run_well({"publish", demo(), region.words()});
  const std::string before = region.versions();
  CHECK(before.size() > 100000);
  const auto again = run_well({"publish", demo(), region.words(), "--format", "csv"});
  CHECK(says(again.err, "nothing has changed since the last time"));
  CHECK(counts(again, "records").starts_with("0 0 0 "));
  CHECK(region.versions() == before);
}

TEST_CASE("only what changed is written: one row added, changed or removed is one row on the server") {
  const Region region;
  const Copy copy;
  run_well({"publish", copy.survey, region.words()});
  const std::string visits = region.versions_of("brookmark.visits");
  const std::string other_sites = region.versions_of("brookmark.sites", "code <> 'N02'");
  const std::string other_records = region.versions_of("brookmark.records", "verbatim_name <> 'gone'");

  {
    using namespace brookmark::core;  // NOLINT: many words of the trade in one place
    SurveyFile file = SurveyFile::open(copy.survey, Access::kEdit);
    const Snapshot snapshot = file.read();
    Site site = site_row(snapshot, *snapshot.find_site("N02"));
    site.note = "a note that is new";
    file.apply({"site", "a note", {Replace<Site>{site}}});
  }
  const auto changed = run_well({"publish", copy.survey, region.words(), "--format", "csv"});
  CHECK(says(changed.err, "1 row written"));
  CHECK(counts(changed, "sites").starts_with("0 1 0 "));
  CHECK(region.ask("SELECT note FROM brookmark.sites WHERE code = 'N02'") == "a note that is new\n");
  CHECK(region.versions_of("brookmark.sites", "code <> 'N02'") == other_sites);

  // And back: the row says again what it said at first.
  run_well({"undo", copy.survey});
  CHECK(counts(run_well({"publish", copy.survey, region.words(), "--format", "csv"}), "sites")
            .starts_with("0 1 0 "));
  CHECK(region.ask("SELECT count(*) FROM brookmark.sites WHERE note = 'a note that is new'") == "0\n");
  CHECK(region.versions_of("brookmark.visits") == visits);
  CHECK(region.versions_of("brookmark.records") == other_records);
}

TEST_CASE("what somebody changed or deleted on the server is put right, and rows of theirs stay") {
  const Region region;
  run_well({"publish", demo(), region.words()});
  const std::string before = region.everything();
  region.ask("UPDATE brookmark.sites SET name = 'wrong' WHERE code = 'N02'");
  region.ask(
      "UPDATE brookmark.outfalls SET geom = ST_Translate(geom, 0.001, 0) WHERE code = (SELECT min(code) FROM "
      "brookmark.outfalls)");
  region.ask("DELETE FROM brookmark.samples WHERE code = (SELECT min(code) FROM brookmark.samples)");
  region.ask(
      "INSERT INTO brookmark.sites (survey_uuid, row_key, code, published_utc) VALUES ('theirs', 'x', 'X1', "
      "now())");
  const auto again = run_well({"publish", demo(), region.words(), "--format", "csv"});
  CHECK(says(again.err, "3 rows written"));
  CHECK(counts(again, "samples").starts_with("1 0 0 "));
  CHECK(region.ask("SELECT code FROM brookmark.sites WHERE survey_uuid = 'theirs'") == "X1\n");
  CHECK(region.ask("SELECT count(*) FROM brookmark.sites WHERE name = 'wrong'") == "0\n");
}

TEST_CASE("surveys of a region stand side by side and touch only their own rows") {
  const Region region;
  const TemporaryFolder folder;
  const std::string other = (folder / "secret.brook").string();
  secret_survey(other);
  run_well({"publish", demo(), region.words()});
  const std::string ours = "survey_uuid = (SELECT min(survey_uuid) FROM brookmark.samples)";
  run_well({"publish", other, region.words()});
  CHECK(region.ask("SELECT count(*) FROM brookmark.survey") == "2\n");
  const std::string title = "(SELECT uuid FROM brookmark.survey WHERE title = 'Secret brook')";
  const std::string theirs = region.versions_of("brookmark.records", "survey_uuid <> " + title);
  const std::string all = region.versions();
  const auto refused = run({"publish", other, region.words(), "--until", "2023-12-31"});
  CHECK(refused.code == 2);
  CHECK_MESSAGE(says(refused.err, "5 visits of this survey after 2023-12-31"), refused.err);
  CHECK(says(refused.err, "--force"));
  CHECK(region.versions() == all);
  run_well({"publish", other, region.words(), "--until", "2023-12-31", "--force"});
  CHECK(region.versions_of("brookmark.records", "survey_uuid <> " + title) == theirs);
  CHECK(region.ask("SELECT max(date) < '2024-01-01' FROM brookmark.visits WHERE survey_uuid = " + title) ==
        "t\n");
}

TEST_CASE("what may not leave is not on the server, and what is withheld from now on is taken away") {
  const Region region;
  const TemporaryFolder folder;
  const std::string survey = (folder / "secret.brook").string();
  secret_survey(survey);
  run_well({"publish", survey, region.words()});
  const std::string all = region.everything();
  for (const char* secret : {"Bob Baker", "Hidden Farm", "leaning alder", "hidden alder", "Otter Holt",
                             "50.0153", "50.0312", "50.0111", "Newt Pond"}) {
    CAPTURE(secret);
    CHECK_FALSE(says(all, secret));
  }
  CHECK(says(all, "Ann Archer"));
  CHECK(says(all, "Q03"));
  run_well({"share", survey, "--site", "Q03", "--as", "withheld"});
  run_well({"publish", survey, region.words()});
  const std::string fewer = region.everything();
  CHECK_FALSE(says(fewer, "Q03"));
  CHECK(says(fewer, "Q01"));
  run_well({"publish", survey, region.words(), "--without", "people"});
  CHECK_FALSE(says(region.everything(), "Ann Archer"));
}

TEST_CASE("layers that are not asked for stay as they are") {
  const Region region;
  run_well({"publish", demo(), region.words(), "--only", "sites,outfalls", "--schema", "two_layers"});
  CHECK(region.ask("SELECT string_agg(tablename, ',' ORDER BY tablename) FROM pg_tables WHERE schemaname = "
                   "'two_layers'") == "outfalls,sites,survey\n");
  run_well({"publish", demo(), region.words(), "--only", "reaches", "--schema", "two_layers"});
  CHECK(region.ask("SELECT count(*) > 20 FROM two_layers.sites") == "t\n");
  CHECK(run({"publish", demo(), region.words(), "--only", "site"}).code == 2);
}

TEST_CASE("what is hidden since is taken away also from layers that are not chosen") {
  const Region region;
  const TemporaryFolder folder;
  const std::string survey = (folder / "secret.brook").string();
  secret_survey(survey);
  run_well({"publish", survey, region.words()});
  CHECK(says(region.everything(), "Q03"));
  CHECK(region.ask("SELECT count(*) FROM brookmark.sites WHERE abs(ST_Y(geom) - 50.0002) < 1e-6") == "1\n");
  run_well({"share", survey, "--site", "Q03", "--as", "withheld"});
  run_well({"share", survey, "--site", "Q04", "--as", "blurred"});
  run_well({"share", survey, "--person", "Ann Archer", "--as", "unnamed"});
  run_well({"publish", survey, region.words(), "--only", "outfalls"});
  const std::string only = region.everything();
  for (const char* secret : {"Q03", "Q04", "Weir", "50.0002", "Ann Archer"}) {
    CAPTURE(secret);
    CHECK_FALSE(says(only, secret));
  }
  // A binary shape holds no digits to look for.
  CHECK(region.ask("SELECT count(*) FROM brookmark.sites WHERE abs(ST_Y(geom) - 50.0002) < 1e-6") == "0\n");
  CHECK(says(only, "Q01"));
  // Of six sites one was withheld from the start, and Q03 is now. Publishing all of it has nothing left to take away.
  CHECK(region.ask("SELECT count(*) FROM brookmark.sites") == "4\n");
  const auto all = run_well({"publish", survey, region.words()});
  CHECK_MESSAGE(says(all.err, "nothing has changed since the last time"), all.err);
}

TEST_CASE("a table of somebody else's under the name of a layer that is not chosen is in nobody's way") {
  const Region region;
  region.ask("CREATE SCHEMA brookmark");
  region.ask("CREATE TABLE brookmark.reaches (theirs text)");
  run_well({"publish", demo(), region.words(), "--only", "sites"});
  CHECK(region.ask("SELECT count(*) FROM brookmark.reaches") == "0\n");
}

TEST_CASE("two methods on one map are refused, and one survey alone may change its method") {
  const Region region;
  const TemporaryFolder folder;
  const std::string other = (folder / "secret.brook").string();
  secret_survey(other);
  const auto& shipped = brookmark::core::shipped_methods();
  REQUIRE(shipped.size() > 1);
  run_well({"publish", other, region.words()});
  run_well({"publish", other, region.words(), "--method", shipped[1].id});
  const std::string before = region.versions();
  const auto refused = run({"publish", demo(), region.words(), "--method", shipped[0].id});
  CHECK(refused.code == 2);
  CHECK_MESSAGE(says(refused.err, "Secret brook"), refused.err);
  CHECK(says(refused.err, shipped[1].id.c_str()));
  CHECK(says(refused.err, "--schema"));
  CHECK(region.versions() == before);
  run_well({"publish", demo(), region.words(), "--method", shipped[0].id, "--schema", "apart"});
}

TEST_CASE("a survey without anything in it is published, says so, and is filled later") {
  const Region region;
  const TemporaryFolder folder;
  const std::string survey = (folder / "n.brook").string();
  run_well({"new", survey, "--title", "Nothing yet"});
  CHECK(
      says(run_well({"publish", survey, region.words()}).err, "no sample went out, so no site has a class"));
  CHECK(region.ask("SELECT title FROM brookmark.survey") == "Nothing yet\n");
  brookmark::test::write_text(folder / "s.csv", "site,lat,lon\nA,50,-30\n");
  run_well({"import", survey, "sites", (folder / "s.csv").string()});
  CHECK(counts(run_well({"publish", survey, region.words(), "--format", "csv"}), "sites") == "1 0 0 0");
}

TEST_CASE("a column that this program knows and the server does not is added") {
  const Region region;
  run_well({"publish", demo(), region.words()});
  region.ask(
      "ALTER TABLE brookmark.outfalls DROP COLUMN kind; ALTER TABLE brookmark.outfalls ADD COLUMN theirs "
      "text");
  region.ask("UPDATE brookmark.outfalls SET theirs = 'kept'");
  run_well({"publish", demo(), region.words()});
  CHECK(region.ask("SELECT count(kind) > 0, count(*) = count(theirs) FROM brookmark.outfalls") == "t|t\n");
}
