// The verbs that tell where quality falls and how much of a catchment is known.
#include <doctest/doctest.h>

#include <fstream>
#include <map>
#include <set>

#include "core/base/text.hpp"
#include "tests/support/files.hpp"
#include "tests/support/near.hpp"
#include "tests/viewer/cli/run_cli.hpp"

using namespace brookmark;
using namespace brookmark::test;

namespace {

std::string write(const TemporaryFolder& folder, const char* name, const std::string& words) {
  const auto path = folder / name;
  std::ofstream(path) << words;
  return path.string();
}

// The alpine stream on an invented line: the true positions are not published. S1 to S5 follow each other down one
// stream, S6 stands on another (tests/reference/meau/README.md).
std::string placed_meau(const TemporaryFolder& folder) {
  const std::string survey = (folder / "meau.brook").string();
  const auto file = [](const char* name) { return reference(std::string("meau/") + name).string(); };
  const std::string sites =
      write(folder, "sites.csv",
            "locationID,locality,habitat,decimalLongitude,decimalLatitude\n"
            "S1,one,stream,-38,40.010\nS2,two,stream,-38,40.008\nS3,three,stream,-38,40.006\n"
            "S4,four,stream,-38,40.004\nS5,five,stream,-38,40.002\nS6,six,stream,-37.98,40.001\n");
  const std::string waters = write(folder, "waters.geojson",
                                   R"({"type":"FeatureCollection","features":[
{"type":"Feature","properties":{"name":"invented stream"},"geometry":{"type":"LineString","coordinates":[[-38,40.012],[-38,40]]}},
{"type":"Feature","properties":{"name":"invented control"},"geometry":{"type":"LineString","coordinates":[[-37.98,40.012],[-37.98,40]]}}]})");
  run_well({"new", survey, "--title", "Mayflies of an alpine stream"});
  run_well({"import", survey, "watercourses", waters});
  run_well({"import", survey, "sites", sites});
  run_well({"import", survey, "samples", file("samples.csv")});
  run_well({"import", survey, "records", file("meau_counts.csv"), "--column", "count=occurrenceRemarks",
            "--name", "Ecdyonorus_sp=Ecdyonurus"});
  return survey;
}

}  // namespace

TEST_CASE("drops has the columns it promises, the failing stretch first, and no blank that is a zero") {
  const Answer answer = run_well({"drops", demo(), "--format", "csv"});
  const core::Table table = answer.table();
  const std::vector<std::string> promised{"upstream_site", "downstream_site",
                                          "date_up",       "date_down",
                                          "season",        "fall",
                                          "low",           "high",
                                          "probability",   "class_up",
                                          "class_down",    "length_m",
                                          "outfalls",      "tributaries",
                                          "since",         "note"};
  REQUIRE(table.columns.size() >= promised.size());
  for (std::size_t i = 0; i < promised.size(); ++i) CHECK(table.columns[i] == promised[i]);
  REQUIRE_FALSE(table.rows.empty());
  CHECK(cell(table, table.rows[0], "upstream_site") == "Q03");
  CHECK(cell(table, table.rows[0], "downstream_site") == "Q04");
  CHECK(says(cell(table, table.rows[0], "outfalls"), "OUT-2 storm sewage"));
  double last = 1e9;
  for (const core::TableRow& row : table.rows) {
    const double fall = core::parse_number(cell(table, row, "fall")).value();
    CHECK(fall > 0);
    if (cell(table, row, "class_up") == cell(table, row, "class_down")) {  // no class lost: these stand last
      CHECK(fall <= last);
      last = fall;
    } else {
      CHECK(last == 1e9);
    }
    // The demo's animals are counted.
    const double probability = core::parse_number(cell(table, row, "probability")).value();
    CHECK((probability >= 0 && probability <= 1));
    CHECK(core::parse_number(cell(table, row, "low")).value() <=
          core::parse_number(cell(table, row, "high")).value());
  }
  CHECK(says(answer.err, "stretches between neighbours"));
}

TEST_CASE("--all lists the stretches that do not fall too, --history each pair of samples") {
  const core::Table falls = run_well({"drops", demo(), "--format", "csv"}).table();
  const core::Table all = run_well({"drops", demo(), "--all", "--format", "csv"}).table();
  const core::Table history = run_well({"drops", demo(), "--history", "--format", "csv"}).table();
  CHECK(all.rows.size() > falls.rows.size());
  std::size_t pairs = 0;
  for (const core::TableRow& row : falls.rows)
    pairs += static_cast<std::size_t>(core::parse_integer(cell(falls, row, "pairs")).value());
  CHECK(history.rows.size() == pairs);
}

TEST_CASE("since begins at the first clear fall, and what a probability is and covers is said once") {
  const Answer answer = run_well({"drops", demo(), "--format", "csv"});
  const core::Table table = answer.table();
  // The overflow spills from 1 March 2022 (demo_area); the winter before, Q03 and Q04 were 79 and 78, both Good.
  CHECK(cell(table, table.rows[0], "since") == "2022-04-25");
  for (const core::TableRow& row : table.rows) {
    CHECK(says(cell(table, row, "confidence_note"), "counting error only, not the spread between samples"));
    const bool dated = !cell(table, row, "since").empty();
    CHECK(dated == (core::parse_integer(cell(table, row, "worse_in_a_row")).value() > 0));
    CHECK(dated != says(cell(table, row, "note"), "not clearly different"));
    const bool lost = cell(table, row, "class_up") != cell(table, row, "class_down");
    CHECK(dated == (lost || core::parse_number(cell(table, row, "low")).value() > 0));
  }
  CHECK(says(answer.err, "a draw without any fall counts half"));
  CHECK(says(answer.err, "counting error only"));
  CHECK(says(answer.err, "the interval is too narrow"));
  CHECK(says(run_well({"drops", "--help"}).out, "clearly worse below"));
}

TEST_CASE("before anything was sampled the answer is no, with a sentence") {
  const Answer answer = run({"drops", demo(), "--until", "2019-01-01", "--format", "csv"});
  CHECK(answer.code == 1);
  CHECK(says(answer.err, "no two sites on one flow path"));
}

TEST_CASE("a survey without watercourses says what to bring in") {
  const TemporaryFolder folder;
  const std::string survey = (folder / "empty.brook").string();
  run_well({"new", survey, "--title", "Empty"});
  const Answer answer = run({"drops", survey});
  CHECK(answer.code == 1);
  CHECK(says(answer.err, "import SURVEY watercourses"));
  CHECK(run({"drops", survey, "--days", "-1"}).code == 2);
  CHECK(run({"drops", survey, "--method", "nothing"}).code == 2);
}

TEST_CASE("on the alpine stream mayflies fall between S1 and S2 in all four seasons, and S6 is in no pair") {
  const TemporaryFolder folder;
  const std::string survey = placed_meau(folder);
  const core::Table table =
      run_well({"drops", survey, "--method", "ept-richness", "--history", "--all", "--format", "csv"})
          .table();
  std::map<std::string, std::string> fall;  // by season, between S1 and S2
  std::set<std::string> pairs;
  for (const core::TableRow& row : table.rows) {
    const std::string up = cell(table, row, "upstream_site"), down = cell(table, row, "downstream_site");
    pairs.insert(up + down);
    CHECK(cell(table, row, "probability").empty());
    CHECK(cell(table, row, "class_up").empty());
    if (up == "S1" && down == "S2") fall[cell(table, row, "season")] = cell(table, row, "fall");
  }
  CHECK(pairs == std::set<std::string>{"S1S2", "S2S3", "S3S4", "S4S5"});
  // 6 and 2, 6 and 1, 7 and 1, 7 and 5 taxa, counted from the rows of meau_counts.csv: see meau_test.cpp.
  CHECK(fall == std::map<std::string, std::string>{
                    {"spring", "4"}, {"summer", "5"}, {"autumn", "6"}, {"winter", "2"}});
  const core::Table newest =
      run_well({"drops", survey, "--method", "ept-richness", "--format", "csv"}).table();
  REQUIRE_FALSE(newest.rows.empty());
  bool found = false;
  for (const core::TableRow& row : newest.rows) {
    if (cell(newest, row, "upstream_site") != "S1") continue;
    found = true;
    CHECK(cell(newest, row, "worse_in_a_row") == "4");
    CHECK(cell(newest, row, "pairs") == "4");
    CHECK(says(cell(newest, row, "note"), "unexplained"));
    CHECK(says(cell(newest, row, "note"), "no probability"));  // presence only
  }
  CHECK(found);
}

TEST_CASE("catchments rank by three rules, each with its reason and the known share of channel") {
  std::set<std::string> first;
  for (const char* rule : {"worst", "median", "length"}) {
    const core::Table table = run_well({"catchments", demo(), "--rule", rule, "--format", "csv"}).table();
    REQUIRE(table.rows.size() == 9);
    first.insert(cell(table, table.rows[0], "catchment"));
    for (const core::TableRow& row : table.rows) {
      CHECK(cell(table, row, "rule") == rule);
      CHECK_FALSE(cell(table, row, "driver").empty());
      const auto metres = [&](const char* column) {
        return core::parse_number(cell(table, row, column)).value();
      };
      // Each is rounded to a metre.
      CHECK(near(metres("measured_m") + metres("inferred_m") + metres("unknown_m"), metres("channel_m"), 2));
    }
  }
  CHECK(first.count("C4") == 1);
  CHECK(run({"catchments", demo(), "--rule", "mean"}).code == 2);
}
