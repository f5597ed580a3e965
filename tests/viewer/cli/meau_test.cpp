// Real input through the command line: the mayflies of an alpine stream (tests/reference/meau/README.md tells source, terms
// and traps). The expected numbers are counted from the rows of meau_counts.csv, and stand in that README.
#include <doctest/doctest.h>

#include <array>
#include <map>

#include "tests/support/files.hpp"
#include "tests/viewer/cli/run_cli.hpp"

using namespace brookmark;
using namespace brookmark::test;

namespace {

// A survey with the meau data, imported as the README's walk-through does.
std::string import_meau(const TemporaryFolder& folder) {
  const std::string survey = (folder / "meau.brook").string();
  const auto file = [](const char* name) { return reference(std::string("meau/") + name).string(); };
  run_well({"new", survey, "--title", "Mayflies of an alpine stream"});
  run_well({"import", survey, "sites", file("sites.csv")});
  run_well({"import", survey, "samples", file("samples.csv")});
  run_well({"import", survey, "records", file("meau_counts.csv"), "--column", "count=occurrenceRemarks",
            "--name", "Ecdyonorus_sp=Ecdyonurus"});
  return survey;
}

// sample -> EPT richness, as printed.
std::map<std::string, std::string> ept_richness(const std::string& survey) {
  const core::Table table =
      run_well({"score", survey, "--method", "ept-richness", "--format", "csv"}).table();
  std::map<std::string, std::string> values;
  for (const core::TableRow& row : table.rows) values[cell(table, row, "sample")] = cell(table, row, "value");
  return values;
}

}  // namespace

TEST_CASE(
    "the alpine stream has fewer mayfly taxa below the first site in all four seasons, and recovers below") {
  const TemporaryFolder folder;
  const std::string survey = import_meau(folder);
  const auto found = ept_richness(survey);
  REQUIRE(found.size() == 24);
  const std::map<std::string, std::array<std::string, 6>> counted{{"sp", {"6", "2", "3", "3", "4", "7"}},
                                                                  {"su", {"6", "1", "2", "5", "6", "7"}},
                                                                  {"au", {"7", "1", "3", "8", "10", "7"}},
                                                                  {"wi", {"7", "5", "3", "6", "9", "7"}}};
  for (const auto& [season, richness] : counted)
    for (std::size_t site = 0; site < 6; ++site)
      CHECK_MESSAGE(found.at(season + "_" + std::to_string(site + 1)) == richness[site],
                    season << " S" << site + 1);
}

TEST_CASE("numbers that are no counts are kept as remarks and give no abundance") {
  const TemporaryFolder folder;
  const std::string survey = import_meau(folder);
  const core::Table table =
      run_well({"score", survey, "--method", "family-biotic-index", "--format", "csv"}).table();
  REQUIRE(table.rows.size() == 24);
  for (const core::TableRow& row : table.rows) {
    CHECK(cell(table, row, "value").empty());
    CHECK(says(cell(table, row, "note"), "no value"));
  }
}

TEST_CASE("a misspelt name is only proposed, and taken when the surveyor decides") {
  const TemporaryFolder folder;
  const std::string survey = (folder / "meau.brook").string();
  const auto file = [](const char* name) { return reference(std::string("meau/") + name).string(); };
  run_well({"new", survey, "--title", "Mayflies"});
  run_well({"import", survey, "sites", file("sites.csv")});
  run_well({"import", survey, "samples", file("samples.csv")});
  const Answer undecided =
      run_well({"import", survey, "records", file("meau_counts.csv"), "--column", "count=occurrenceRemarks"});
  CHECK(says(undecided.err, "Ecdyonurus"));
  // Unlisted, so not known to be a mayfly, and not counted as one.
  const Answer why = run_well({"explain", survey, "su_6", "--method", "ept-richness", "--format", "csv"});
  const core::Table table = why.table();
  bool seen = false;
  for (const core::TableRow& row : table.rows)
    if (cell(table, row, "name") == "Ecdyonorus_sp") {
      seen = true;
      CHECK(cell(table, row, "contributes") == "no");
    }
  CHECK(seen);
  run_well({"undo", survey});
  run_well({"import", survey, "records", file("meau_counts.csv"), "--column", "count=occurrenceRemarks",
            "--name", "Ecdyonorus_sp=Ecdyonurus"});
  CHECK(ept_richness(survey).at("su_6") == "7");
}

TEST_CASE("the oxygen figure out of line is imported and flagged") {
  const TemporaryFolder folder;
  const std::string survey = import_meau(folder);
  run_well({"import", survey, "measurements", reference("meau/meau_env.csv").string(), "--column",
            "Temp=measurement:temperature:C", "--column", "pH=measurement:pH", "--column",
            "Cond=measurement:conductivity:uS/cm", "--column", "Oxyg=measurement:oxygen saturation:%"});
  const Answer checked = run({"check", survey, "--format", "csv"});
  CHECK(checked.code == 1);
  const core::Table table = checked.table();
  bool flagged = false;
  for (const core::TableRow& row : table.rows)
    flagged = flagged || (says(cell(table, row, "where"), "sp_2") && says(cell(table, row, "text"), "13"));
  CHECK(flagged);
}
