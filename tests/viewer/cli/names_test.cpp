#include "tests/support/files.hpp"
#include "tests/viewer/cli/run_cli.hpp"

using brookmark::test::Answer;
using brookmark::test::cell;
using brookmark::test::run;
using brookmark::test::run_well;
using brookmark::test::says;
using brookmark::test::TemporaryFolder;
using brookmark::test::write_text;
namespace core = brookmark::core;

TEST_CASE("names says what a name is, what it may mean, and with what score") {
  const Answer answer = run_well({"names", "Gamarus", "mayflies", "Baetis cf. rhodani", "--most", "2"});
  const core::Table table = answer.table();
  REQUIRE(table.rows.size() >= 3);
  const auto& first = table.rows[0];
  CHECK(cell(table, first, "answer") == "perhaps");
  CHECK(cell(table, first, "taxon") == "Gammarus");
  CHECK(cell(table, first, "how") == "spelling");
  CHECK(cell(table, first, "distance") == "1");
  CHECK(cell(table, first, "score") == "0.938");  // an m halved weighs 0.5: 1 - 0.5 / 8 letters
  const auto& common = table.rows[table.rows.size() - 2];
  CHECK(cell(table, common, "answer") == "is");
  CHECK(cell(table, common, "taxon") == "Ephemeroptera");
  CHECK(cell(table, common, "how") == "common name");
  const auto& species = table.rows.back();
  CHECK(cell(table, species, "taxon") == "Baetis rhodani");
  CHECK(cell(table, species, "rank") == "species");
  CHECK(cell(table, species, "doubt") == "compare with (cf.)");
  CHECK(cell(table, species, "doubted_from") == "species");
}

TEST_CASE("names answers no for a name like nothing, and refuses one without a letter") {
  const Answer unknown = run({"names", "Qwxyzzyia"});
  CHECK(unknown.code == 1);
  CHECK(says(unknown.out, "unknown"));
  CHECK(says(unknown.err, "never scores"));
  const Answer empty = run({"names", ""});
  CHECK(empty.code == 2);
  CHECK(says(empty.err, "name of the animal is empty"));
  CHECK(run({"names"}).code == 2);
  CHECK(run({"names", "nowhere.brook", "Baetis"}).code == 2);
}

TEST_CASE("names puts the names that the survey has first") {
  const TemporaryFolder folder;
  const std::string survey = (folder / "one.brook").string();
  run_well({"new", survey, "--title", "One"});
  const std::string sheet = (folder / "sheet.csv").string();
  write_text(sheet,
             "site,lat,lon,sample,date,taxon,count\nA,60,10,A1,2024-05-03,Gammarus pulexoides,3\n"
             "A,60,10,A1,2024-05-03,Baetisca,3\n");
  for (const char* kind : {"sites", "samples", "records"}) run_well({"import", survey, kind, sheet});
  const auto first = [](const Answer& answer) {
    const core::Table table = answer.table();
    return cell(table, table.rows.at(0), "taxon");
  };
  CHECK(first(run_well({"names", "Baet"})) == "Baetidae");
  CHECK(first(run_well({"names", survey, "Baet"})) == "Baetisca");
  const core::Table own = run_well({"names", survey, "G. pulexoid."}).table();
  CHECK(cell(own, own.rows.at(0), "matched_on") == "Gammarus pulexoides");
  CHECK(run({"names", "G. pulexoid."}).code == 1);
  CHECK(run({"names", survey}).code == 2);
}
