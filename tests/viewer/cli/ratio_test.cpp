// Reference sites are marked, samples held against them, and refusals say what is missing.
#include <doctest/doctest.h>

#include "tests/support/files.hpp"
#include "tests/viewer/cli/run_cli.hpp"

using namespace brookmark;
using namespace brookmark::test;

namespace {

// Four sites, one spring sample each: R1 to R3 with four families of animals, T1 with two.
std::string small_survey(const TemporaryFolder& folder) {
  const std::string survey = (folder / "s.brook").string();
  const auto file = [&](const char* name, const std::string& text) {
    write_text(folder / name, text);
    return (folder / name).string();
  };
  run_well({"new", survey, "--title", "References"});
  run_well({"import", survey, "sites",
            file("sites.csv", "site,kind\nR1,stream\nR2,stream\nR3,stream\nT1,stream\n")});
  run_well({"import", survey, "samples",
            file("samples.csv",
                 "sample,site,date\nR1-A,R1,2023-04-10\nR2-A,R2,2023-04-11\nR3-A,R3,2022-05-01\n"
                 "T1-A,T1,2024-05-03\nT1-B,T1,2024-08-03\n")});
  std::string records = "sample,taxon,count\nT1-A,Baetidae,5\nT1-A,Asellidae,5\nT1-B,Baetidae,5\n";
  for (const char* sample : {"R1-A", "R2-A", "R3-A"})
    for (const char* taxon : {"Baetidae", "Perlidae", "Leuctridae", "Asellidae"})
      records += std::string(sample) + "," + taxon + ",5\n";
  run_well({"import", survey, "records", file("records.csv", records)});
  return survey;
}

std::string cell_of(const core::Table& table, const std::string& sample, const std::string& column) {
  for (const core::TableRow& row : table.rows)
    if (cell(table, row, "sample") == sample) return cell(table, row, column);
  return "no such row";
}

}  // namespace

TEST_CASE("a sample is held against the median of the marked references of its type and season") {
  const TemporaryFolder folder;
  const std::string survey = small_survey(folder);
  for (const char* site : {"R1", "R2", "R3"})
    run_well({"mark", survey, "--site", site, "--type", "chalk stream", "--reference", "yes"});
  run_well({"mark", survey, "--site", "T1", "--type", "chalk stream"});
  const Answer answer = run_well(
      {"ratio", survey, "--method", "ept-richness", "--limits", "0.8,0.6,0.4,0.2", "--format", "csv"});
  const core::Table table = answer.table();
  CHECK(cell_of(table, "T1-A", "observed") == "1");
  CHECK(cell_of(table, "T1-A", "expected") == "3.0");
  CHECK(cell_of(table, "T1-A", "ratio") == "0.333");
  CHECK(cell_of(table, "T1-A", "class") == "Poor");
  CHECK(cell_of(table, "T1-A", "reference_samples") == "3");
  CHECK(cell_of(table, "T1-B", "ratio") == "");
  CHECK(says(cell_of(table, "T1-B", "note"),
             "3 more reference samples of type \"chalk stream\" taken in summer"));
  CHECK(says(cell_of(table, "R1-A", "note"), "1 more reference sample"));  // its own left out
  CHECK(says(answer.err, "not published"));
  CHECK(says(answer.err, "confirmed: memory"));
  CHECK(says(answer.err, "3 more reference samples"));

  const Answer shannon =
      run_well({"ratio", survey, "--diversity", "richness", "--least", "2", "--format", "csv"});
  CHECK(cell_of(shannon.table(), "T1-A", "ratio") == "0.500");
  CHECK(cell_of(shannon.table(), "T1-A", "class") == "");
  CHECK(cell_of(shannon.table(), "T1-A", "confirmed") == "memory");
  CHECK(cell_of(shannon.table(), "R1-A", "ratio") == "1.000");
  CHECK(says(shannon.err, "no classes: give limits"));
}

TEST_CASE("too few references: the answer is no, and it says how many are missing") {
  const TemporaryFolder folder;
  const std::string survey = small_survey(folder);
  for (const char* site : {"R1", "R2"})
    run_well({"mark", survey, "--site", site, "--type", "chalk stream", "--reference", "yes"});
  run_well({"mark", survey, "--site", "T1", "--type", "chalk stream"});
  const Answer answer = run({"ratio", survey, "--method", "ept-richness", "--format", "csv"});
  CHECK(answer.code == 1);
  CHECK(says(answer.err,
             "1 more reference sample of type \"chalk stream\" taken in spring is needed: there are 2 of 3"));
  CHECK(cell_of(answer.table(), "T1-A", "expected") == "");
  CHECK(cell_of(answer.table(), "R3-A", "note") ==
        "no ratio: the site has no type; mark it with the type of its reference sites");
}

TEST_CASE("a mark is an edit: it is logged, can be taken back, and is refused where it says nothing") {
  const TemporaryFolder folder;
  const std::string survey = small_survey(folder);
  run_well({"mark", survey, "--site", "R1", "--type", "chalk stream", "--reference", "yes"});
  CHECK(says(run_well({"log", survey, "--format", "csv"}).out, "mark site R1 as reference of type"));
  CHECK(says(run_well({"mark", survey, "--site", "R1", "--reference", "yes"}).err, "marked so already"));
  CHECK(says(run_well({"mark", survey, "--site", "R1", "--reference", "no"}).err, "no reference"));
  run_well({"undo", survey});
  CHECK(says(run_well({"mark", survey, "--site", "R1", "--reference", "yes"}).err, "marked so already"));
  const Answer untyped = run({"mark", survey, "--site", "R2", "--reference", "yes"});
  CHECK(untyped.code == 2);
  CHECK(says(untyped.err, "give it one with --type"));
  CHECK(run({"mark", survey, "--site", "R1"}).code == 2);
  CHECK(run({"mark", survey, "--site", "R9", "--type", "a"}).code == 2);
  CHECK(run({"mark", survey, "--site", "R1", "--reference", "maybe"}).code == 2);
}

TEST_CASE("limits and names that make no sense are refused with a sentence") {
  const TemporaryFolder folder;
  const std::string survey = small_survey(folder);
  CHECK(run({"ratio", survey, "--limits", "0.2,0.4,0.6,0.8"}).code == 2);
  CHECK(run({"ratio", survey, "--limits", (folder / "none.csv").string()}).code == 2);
  CHECK(run({"ratio", survey, "--diversity", "beauty"}).code == 2);
  CHECK(run({"ratio", survey, "--method", "beauty"}).code == 2);
  CHECK(run({"ratio", survey, "--least", "0"}).code == 2);
  write_text(folder / "mine.csv", "class,lower\nfine,0.5\nworse,0.7\npoor,\n");
  const Answer answer = run({"ratio", survey, "--limits", (folder / "mine.csv").string()});
  CHECK(answer.code == 2);
  CHECK(says(answer.err, "line 3"));
}
