// The command line as other programs rely on it: columns, exit codes, the same answer in every form.
#include <doctest/doctest.h>

#include <cstdlib>
#include <set>

#include "tests/support/files.hpp"
#include "tests/support/near.hpp"
#include "tests/viewer/cli/run_cli.hpp"

using namespace brookmark;
using namespace brookmark::test;

TEST_CASE("score has the columns it promises, one row a sample and metric") {
  const core::Table table = run_well({"score", demo(), "--method", "bmwp-a", "--format", "csv"}).table();
  const std::vector<std::string> promised{"sample",   "site",         "date",          "method",
                                          "metric",   "value",        "class",         "class_rank",
                                          "in_scope", "scoring_taxa", "unscored_taxa", "note"};
  REQUIRE(table.columns.size() >= promised.size());
  for (std::size_t i = 0; i < promised.size(); ++i) CHECK(table.columns[i] == promised[i]);
  std::set<std::string> seen;
  for (const core::TableRow& row : table.rows)
    CHECK(seen.insert(cell(table, row, "sample") + "/" + cell(table, row, "metric")).second);
  for (const core::TableRow& row : table.rows) {
    if (cell(table, row, "in_scope") == "no") CHECK(cell(table, row, "class").empty());
    if (!cell(table, row, "class").empty()) CHECK_FALSE(cell(table, row, "value").empty());
  }
}

TEST_CASE("without a method every shipped method answers") {
  const core::Table methods = run_well({"methods", "--format", "csv"}).table();
  const core::Table table = run_well({"score", demo(), "--format", "csv"}).table();
  std::set<std::string> listed, scored;
  for (const core::TableRow& row : methods.rows) listed.insert(cell(methods, row, "method"));
  for (const core::TableRow& row : table.rows) scored.insert(cell(table, row, "method"));
  CHECK(listed == scored);
  CHECK(listed.size() >= 7);
}

TEST_CASE("every method shows its table, and each line says where it comes from and how well confirmed") {
  const core::Table methods = run_well({"methods", "--format", "csv"}).table();
  for (const core::TableRow& method : methods.rows) {
    const core::Table table =
        run_well({"methods", cell(methods, method, "method"), "--format", "csv"}).table();
    for (const core::TableRow& row : table.rows) {
      const std::string part = cell(table, row, "part");
      // A statement may claim nothing about the world ("id", "summary", a metric's title); then it has no source.
      if (part == "statement" && cell(table, row, "confirmed").empty()) continue;
      CHECK_FALSE(cell(table, row, "source").empty());
      const std::string confirmed = cell(table, row, "confirmed");
      CHECK((confirmed == "document" || confirmed == "secondary" || confirmed == "memory"));
    }
  }
}

TEST_CASE("the three forms of an answer say the same") {
  const std::vector<std::string> words{"catchments", demo(), "--format"};
  const auto in = [&](const std::string& format) {
    std::vector<std::string> all = words;
    all.push_back(format);
    return run_well(all).out;
  };
  CHECK(says(in("csv"), "Seriously polluted"));
  CHECK(says(in("table"), "Seriously polluted"));
  CHECK(says(in("json"), "\"worst_class\":\"Seriously polluted\""));
}

TEST_CASE("explain accounts for every record of the sample") {
  const core::Table scores =
      run_well({"score", demo(), "--method", "bmwp-a", "--metric", "bmwp", "--format", "csv"}).table();
  int checked = 0;
  for (const core::TableRow& row : scores.rows) {
    if (cell(scores, row, "value").empty() || ++checked > 5) continue;
    const core::Table parts =
        run_well({"explain", demo(), cell(scores, row, "sample"), "--method", "bmwp-a", "--format", "csv"})
            .table();
    double sum = 0;
    for (const core::TableRow& part : parts.rows) {
      CHECK_FALSE(cell(parts, part, "why").empty());
      if (cell(parts, part, "contributes") == "yes") sum += std::atof(cell(parts, part, "value").c_str());
    }
    CHECK(near(sum, std::atof(cell(scores, row, "value").c_str()), 1e-9));  // whole numbers
  }
  CHECK(checked > 5);
}

TEST_CASE("distance has the columns it promises and lists the nearest outfall first") {
  const core::Table table =
      run_well({"distance", demo(), "--site", "Q04", "--direction", "upstream", "--format", "csv"}).table();
  CHECK(table.columns == std::vector<std::string>{"site", "outfall", "direction", "distance_m", "snap_m",
                                                  "reach_count", "straight_m", "note", "outfall_snap_m"});
  REQUIRE_FALSE(table.rows.empty());
  CHECK(cell(table, table.rows[0], "outfall") == "OUT-2");
  double last = 0;
  for (const core::TableRow& row : table.rows) {
    if (cell(table, row, "distance_m").empty()) continue;
    const double now = std::atof(cell(table, row, "distance_m").c_str());
    CHECK(now >= last);
    CHECK(now >=
          std::atof(cell(table, row, "straight_m").c_str()) - 60);  // both ends may lie off the channel
    last = now;
  }
}

TEST_CASE("a pond on no channel has no distance along water, says so, and the answer is no") {
  const Answer answer = run({"distance", demo(), "--site", "N01", "--format", "csv"});
  const core::Table table = answer.table();
  CHECK(answer.code == 1);
  for (const core::TableRow& row : table.rows) {
    CHECK(cell(table, row, "distance_m").empty());
    CHECK_FALSE(cell(table, row, "straight_m").empty());
    CHECK(says(cell(table, row, "note"), "straight"));
  }
}

TEST_CASE("a point of the map can be asked from as well as a site") {
  const Answer answer = run_well({"distance", demo(), "--at=-30.0,45.0", "--format", "csv"});
  CHECK(answer.table().rows.size() == 5);
}

TEST_CASE("check answers yes or no by its exit code") {
  CHECK(run({"check", demo()}).code == 1);
  const TemporaryFolder folder;
  const std::string survey = (folder / "s.brook").string();
  run_well({"new", survey, "--title", "t"});
  CHECK(run({"check", survey}).code == 0);
  CHECK(run({"score", survey}).code == 1);
}

TEST_CASE("log and undo tell what was done and take it back") {
  const TemporaryFolder folder;
  const std::string survey = (folder / "s.brook").string();
  run_well({"new", survey, "--title", "t"});
  write_text(folder / "sites.csv", "site,lat,lon\nS1,45,-30\n");
  run_well({"import", survey, "sites", (folder / "sites.csv").string(), "--dry-run"});
  CHECK(run_well({"log", survey, "--format", "csv"}).table().rows.empty());
  run_well({"import", survey, "sites", (folder / "sites.csv").string()});
  CHECK(run_well({"log", survey, "--format", "csv"}).table().rows.size() == 1);
  CHECK(says(run_well({"undo", survey}).err, "import sites"));
  CHECK(run({"undo", survey}).code == 1);
  CHECK(run({"distance", survey, "--site", "S1"}).code == 2);
}

TEST_CASE("redo does again what was undone last, and says no when there is nothing") {
  const TemporaryFolder folder;
  const std::string survey = (folder / "s.brook").string();
  run_well({"new", survey, "--title", "t"});
  write_text(folder / "sites.csv", "site,lat,lon\nS1,45,-30\n");
  write_text(folder / "more.csv", "site,lat,lon\nS2,45.01,-30\n");
  CHECK(run({"redo", survey}).code == 1);
  run_well({"import", survey, "sites", (folder / "sites.csv").string()});
  CHECK(run({"redo", survey}).code == 1);
  run_well({"undo", survey});
  const core::Table log = run_well({"log", survey, "--format", "csv"}).table();
  REQUIRE(log.rows.size() == 1);
  CHECK(cell(log, log.rows[0], "undone") == "yes");
  CHECK(cell(log, log.rows[0], "redo_next") == "yes");
  CHECK(says(run_well({"redo", survey}).err, "import sites"));
  CHECK(run({"redo", survey}).code == 1);
  CHECK(run({"distance", survey, "--site", "S1"}).code != 2);  // the site is there again
  run_well({"undo", survey});
  run_well({"import", survey, "sites", (folder / "more.csv").string()});
  const auto answer = run({"redo", survey});
  CHECK(answer.code == 1);
  CHECK(says(answer.err, "an edit was made since"));
  CHECK(run({"redo", (folder / "none.brook").string()}).code == 2);
}

TEST_CASE("an own method scores beside the shipped ones") {
  const TemporaryFolder folder;
  const std::string source = ",own,\"invented for this test\",document\n";
  write_text(folder / "mine.method.csv",
             "key,value,source_key,source_detail,confirmed\nid,mine,,,\ntitle,Mine" + source +
                 "summary,A test.,,,\nregion,nowhere" + source +
                 "flow,any,,,\nlevel,family,,,\nmetric,sum,,,\nsum.title,Sum,,,\nsum.unit,points,,,\nsum."
                 "formula,sum of scores" +
                 source + "sum.better,higher,,,\n");
  write_text(folder / "mine.scores.csv",
             "name,members,except,life_stage,score,group,source_key,source_detail,confirmed\n"
             "Baetidae,Baetidae,,,3,,own,invented for this test,document\n");
  const core::Table table =
      run_well({"score", demo(), "--method", (folder / "mine.method.csv").string(), "--format", "csv"})
          .table();
  bool scored = false;
  for (const core::TableRow& row : table.rows) {
    CHECK(cell(table, row, "method") == "mine");
    if (!cell(table, row, "value").empty()) {
      CHECK(cell(table, row, "value") == "3");  // one family, once, whatever its number
      scored = true;
    }
  }
  CHECK(scored);
}
