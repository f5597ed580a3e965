// What publishing would do, asked of a real server that nothing is written to; and how a desktop GIS draws what is published.
#include <doctest/doctest.h>

#include <map>

#include "core/base/text.hpp"
#include "core/store/survey_file.hpp"
#include "core/survey/rows.hpp"
#include "tests/server/region.hpp"
#include "tests/support/secret_survey.hpp"
#include "tests/viewer/cli/run_cli.hpp"

using namespace brookmark::test;

namespace {

// Layer to "rows added changed removed unchanged" of the rows of layers in the answer to --preview; with its first column
// "added" the answer of publishing itself reads alike.
std::map<std::string, std::string> counts(const brookmark::test::Answer& answer) {
  const auto table = answer.table();
  std::map<std::string, std::string> all;
  for (const auto& row : table.rows) {
    if (table.find("what") && cell(table, row, "what") != "leaves") continue;
    std::string words;
    for (const char* column : {"added", "changed", "removed", "unchanged"})
      words += (words.empty() ? "" : " ") + cell(table, row, column);
    all[cell(table, row, "layer")] = words;
  }
  return all;
}

// Everything that is in the database, tables of the catalogue about tables included.
std::string all_of(const Region& region) {
  return shell_well("pg_dump " + in_quotes(region.connection()) + " | grep -v restrict");
}

}  // namespace

TEST_CASE("a preview says what publishing then does, row by row of its answer, and writes nothing at all") {
  const Region region;
  const TemporaryFolder folder;
  const std::string survey = (folder / "a.brook").string();
  std::filesystem::copy_file(demo(), survey);
  const std::string empty = all_of(region);
  const auto look = [&](std::vector<std::string> more = {}) {
    std::vector<std::string> words{"publish", survey, region.words(), "--preview", "--format", "csv"};
    words.insert(words.end(), more.begin(), more.end());
    return run_well(words);
  };
  const auto first = look();
  CHECK(says(first.err, "nothing was written"));
  CHECK(all_of(region) == empty);
  const auto done = run_well({"publish", survey, region.words(), "--format", "csv"});
  CHECK(counts(first) == counts(done));

  const std::string published = all_of(region);
  CHECK(says(look().err, "publishing would change nothing on the server"));
  {
    using namespace brookmark::core;  // NOLINT: many words of the trade in one place
    SurveyFile file = SurveyFile::open(survey, Access::kEdit);
    const Snapshot snapshot = file.read();
    Site site = site_row(snapshot, *snapshot.find_site("N02"));
    site.note = "a note that is new";
    Site more;
    more.code = "X99";
    more.key = "00000000-0000-4000-8000-000000000099";
    file.apply({"site", "a note, and a site", {Replace<Site>{site}, AddSite{more}}});
  }
  region.ask("DELETE FROM brookmark.samples WHERE code = (SELECT min(code) FROM brookmark.samples)");
  region.ask("ALTER TABLE brookmark.outfalls DROP COLUMN kind");
  const std::string before = all_of(region);
  const auto second = look();
  CHECK(counts(second).at("sites").starts_with("1 1 0 "));
  CHECK(counts(second).at("samples").starts_with("1 0 0 "));
  CHECK(all_of(region) == before);
  CHECK(before != published);
  CHECK(counts(second) == counts(run_well({"publish", survey, region.words(), "--format", "csv"})));
  // Of some layers: the others are looked at for what is hidden since, as publishing does.
  run_well({"share", survey, "--site", "Q04", "--as", "withheld"});
  const auto some = look({"--only", "outfalls"});
  const auto sites = brookmark::core::split(counts(some).at("sites"), ' ');
  CHECK(sites.at(0) == "0");  // none is added; others may say less of their neighbours
  CHECK(sites.at(2) == "1");
  CHECK(counts(some) ==
        counts(run_well({"publish", survey, region.words(), "--only", "outfalls", "--format", "csv"})));
}

TEST_CASE("a preview lists what stays at home too, and what leaves where no server answers") {
  const Region region;
  const TemporaryFolder folder;
  const std::string survey = (folder / "secret.brook").string();
  secret_survey(survey);
  const auto preview = run_well({"publish", survey, region.words(), "--preview", "--format", "csv"});
  CHECK(preview.out.starts_with("layer,of,what,why,rows,added,changed,removed,unchanged\n"));
  CHECK(says(preview.out, "sites,Q02,"));
  CHECK(says(preview.out, "people,Bob Baker,"));
  const auto away = run({"publish", survey, "PG:host=127.0.0.1 port=1 dbname=none password=geheim",
                         "--preview", "--format", "csv"});
  CHECK(away.code == 3);
  CHECK_MESSAGE(says(away.err, "no connection to the server"), away.err);
  CHECK(says(away.err, "what it would change on the server is not known"));
  CHECK_FALSE(says(away.err, "geheim"));
  CHECK(says(away.out, "sites,,leaves,,5,,,,"));
  CHECK(says(away.out, "sites,Q02,"));
}

TEST_CASE("a preview says that publishing would be refused, and why; a user who may only read can ask it") {
  const Region region;
  run_well({"publish", demo(), region.words()});
  const auto later =
      run({"publish", demo(), region.words(), "--season", "spring", "--preview", "--format", "csv"});
  CHECK(later.code == 1);
  CHECK_MESSAGE(says(later.err, "as things stand it would be refused"), later.err);
  CHECK(says(later.err, "of other days or seasons than asked for"));
  const std::string kept = region.everything();
  const auto refused = run({"publish", demo(), region.words(), "--season", "spring"});
  CHECK(refused.code == 2);
  CHECK(region.everything() == kept);
  run_well({"publish", demo(), region.words(), "--season", "spring", "--from", "2022-01-01", "--force"});
  CHECK(region.ask("SELECT bool_and(date >= '2022-01-01' AND extract(month FROM date) BETWEEN 3 AND 5) FROM "
                   "brookmark.visits") == "t\n");

  region.ask("CREATE ROLE reader_" + region.name() + " LOGIN");
  region.ask("GRANT USAGE ON SCHEMA brookmark TO reader_" + region.name() +
             "; GRANT SELECT ON ALL TABLES IN SCHEMA brookmark, public TO reader_" + region.name());
  const std::string before = all_of(region);
  const std::string as_reader = region.words_as("reader_" + region.name());
  const auto reads = run({"publish", demo(), as_reader, "--preview"});
  CHECK_MESSAGE(reads.code == 0, reads.err);
  CHECK(run({"publish", demo(), as_reader}).code != 0);
  CHECK(all_of(region) == before);
}

TEST_CASE(
    "how a desktop GIS draws each layer stands where it looks for it, and only our own rows are touched") {
  const Region region;
  const auto styles = [&](const std::string& columns) {
    return region.ask("SELECT " + columns +
                      " FROM public.layer_styles ORDER BY f_table_schema, f_table_name, stylename");
  };
  run_well({"publish", demo(), region.words()});
  CHECK(styles("f_table_name, useasdefault") ==
        "catchments|t\nchannel_classes|t\ndrops|t\noutfalls|t\nreaches|t\nsites|t\nwaters|t\n");
  CHECK(region.ask("SELECT count(*) FROM public.layer_styles WHERE f_table_catalog = current_database() AND "
                   "f_table_schema = 'brookmark' AND f_geometry_column = 'geom' AND styleqml IS DOCUMENT AND "
                   "stylesld IS DOCUMENT") == "7\n");
  // The same words as in the GeoPackage, read by the server's own XML.
  const TemporaryFolder folder;
  const std::string gpkg = (folder / "a.gpkg").string();
  run_well({"export", demo(), gpkg});
  const auto labels = [](const std::string& text) {
    std::string found;
    for (std::size_t at = text.find("label=\""); at != std::string::npos; at = text.find("label=\"", at + 1))
      found += text.substr(at, text.find('"', at + 7) - at) + "\n";
    return found;
  };
  const std::string ours =
                        region.ask("SELECT styleqml FROM public.layer_styles WHERE f_table_name = 'sites'"),
                    theirs = shell_well(
                        "ogrinfo -q " + in_quotes(gpkg) +
                        " -sql \"SELECT styleQML FROM layer_styles WHERE f_table_name = 'sites'\"");
  CHECK(labels(ours).size() > 50);
  CHECK(labels(ours) == labels(theirs));

  // Theirs stay, also as the default; ours are brought level, once.
  region.ask("UPDATE public.layer_styles SET useasdefault = false WHERE f_table_name = 'sites'");
  region.ask(
      "INSERT INTO public.layer_styles (f_table_catalog, f_table_schema, f_table_name, f_geometry_column, "
      "stylename, styleqml, useasdefault, description) VALUES (current_database(), 'brookmark', 'sites', "
      "'geom', "
      "'mine', '<qgis/>', true, 'mine')");
  region.ask("UPDATE public.layer_styles SET styleqml = '<old/>' WHERE stylename = 'outfalls (Brookmark)'");
  const std::string before = styles("stylename, xmin, ctid");
  const auto again = run_well({"publish", demo(), region.words(), "--format", "csv"});
  CHECK(counts(again).at("layer_styles") == "0 1 0 6");
  CHECK(region.ask(
            "SELECT count(*) FROM public.layer_styles WHERE stylename = 'mine' AND description = 'mine' AND "
            "useasdefault") == "1\n");
  CHECK(styles("stylename, xmin, ctid") != before);
  const std::string settled = styles("stylename, xmin, ctid");
  CHECK(says(run_well({"publish", demo(), region.words()}).err, "nothing has changed since the last time"));
  CHECK(styles("stylename, xmin, ctid") == settled);
  // Another schema has rows of its own.
  run_well({"publish", demo(), region.words(), "--schema", "apart", "--only", "sites"});
  CHECK(region.ask(
            "SELECT count(*), count(*) FILTER (WHERE f_table_schema = 'apart') FROM public.layer_styles") ==
        "9|1\n");
}

TEST_CASE("where styles may not be written the rest is published, and it is said") {
  const Region region;
  const std::string role = "writer_" + region.name();
  region.ask("CREATE ROLE " + role + " LOGIN");
  region.ask("CREATE SCHEMA brookmark AUTHORIZATION " + role);
  const auto refused = run_well({"publish", demo(), region.words_as(role)});
  CHECK_MESSAGE(says(refused.err, "is not told in public.layer_styles"), refused.err);
  CHECK(region.ask("SELECT count(*) > 20 FROM brookmark.sites") == "t\n");
  CHECK(region.ask("SELECT to_regclass('public.layer_styles') IS NULL") == "t\n");
  region.ask("CREATE TABLE public.layer_styles (other text)");
  const auto odd = run_well({"publish", demo(), region.words()});
  CHECK_MESSAGE(says(odd.err, "it has no column f_table_catalog"), odd.err);
}
