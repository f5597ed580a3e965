// trend, impact and chemistry as other programs rely on them: columns, exit codes, the invented story, real data, bad input.
#include <doctest/doctest.h>

#include <cstdlib>
#include <set>

#include "core/base/text.hpp"
#include "tests/support/files.hpp"
#include "tests/support/near.hpp"
#include "tests/viewer/cli/run_cli.hpp"

using namespace brookmark;
using namespace brookmark::test;

namespace {

// A survey of one stream site S1 with these rows of chemistry: "date,quantity,value,unit".
std::string measured(const TemporaryFolder& folder, const std::string& rows) {
  const std::string survey = (folder / "m.brook").string();
  run_well({"new", survey, "--title", "t"});
  write_text(folder / "sites.csv", "site,lat,lon,kind\nS1,45,-30,stream\n");
  run_well({"import", survey, "sites", (folder / "sites.csv").string()});
  std::string csv = "locationID,eventDate,measurementType,measurementValue,measurementUnit\n";
  for (const std::string& row : core::split(rows, '\n'))
    if (!row.empty()) csv += "S1," + row + "\n";
  write_text(folder / "m.csv", csv);
  run_well({"import", survey, "measurements", (folder / "m.csv").string()});
  return survey;
}

double number_in(const core::Table& table, const core::TableRow& row, const std::string& column) {
  return std::atof(cell(table, row, column).c_str());
}

const core::TableRow& row_of(const core::Table& table, const std::string& column, const std::string& value) {
  for (const core::TableRow& row : table.rows)
    if (cell(table, row, column) == value) return row;
  FAIL("no row with " << column << " " << value);
  return table.rows.front();
}

}  // namespace

TEST_CASE("trend has the columns it promises, first and in order, one row a site") {
  const core::Table table = run_well({"trend", demo(), "--of", "bmwp", "--format", "csv"}).table();
  const std::vector<std::string> promised{"site",           "of",           "n", "s", "var_s", "z", "p",
                                          "slope_per_year", "season_method"};
  REQUIRE(table.columns.size() >= promised.size());
  for (std::size_t i = 0; i < promised.size(); ++i) CHECK(table.columns[i] == promised[i]);
  std::set<std::string> seen;
  for (const core::TableRow& row : table.rows) {
    CHECK(seen.insert(cell(table, row, "site") + "/" + cell(table, row, "taken_by")).second);
    CHECK(cell(table, row, "of") == "bmwp");
    // A number is there, or a note says why not.
    const bool empty = cell(table, row, "p").empty();
    CHECK(empty == (cell(table, row, "answer") == "no answer"));
    if (empty) CHECK_FALSE(cell(table, row, "note").empty());
    CHECK_FALSE(says(cell(table, row, "p") + cell(table, row, "z"), "nan"));
  }
}

// demo_area/README.md: from spring 2022 OUT-2 fails; Q04 below it falls, Q03 above stays; the works above T02 and T03 closed.
TEST_CASE(
    "the invented story shows in trends: a fall below the outfall, a recovery elsewhere, and no change "
    "above") {
  const core::Table table = run_well({"trend", demo(), "--of", "bmwp", "--format", "csv"}).table();
  const auto answer = [&](const char* site) { return cell(table, row_of(table, "site", site), "answer"); };
  CHECK(says(answer("Q04"), "falling, for the worse"));
  CHECK(says(answer("Q05"), "falling, for the worse"));
  CHECK(answer("Q03") == "no trend shown");
  CHECK(answer("Q02") == "no trend shown");
  CHECK(says(answer("T02"), "rising, for the better"));
  CHECK(answer("N01") == "no answer");  // a pond: outside the method's scope
  CHECK(number_in(table, row_of(table, "site", "Q04"), "slope_per_year") < -5);
  // Before the failure there is nothing to see.
  const core::Table early =
      run_well({"trend", demo(), "--of", "bmwp", "--site", "Q04", "--until", "2021-12-31", "--format", "csv"})
          .table();
  CHECK(cell(early, early.rows[0], "answer") == "no trend shown");
}

TEST_CASE(
    "the invented story shows as an impact: the difference falls by more than fifty points, and only below") {
  const core::Table table = run_well({"impact", demo(), "--control", "Q03", "--impact", "Q04", "--event",
                                      "2022-03-01", "--format", "csv"})
                                .table();
  REQUIRE(table.rows.size() == 3);
  const core::TableRow& change = row_of(table, "test", "change of the difference");
  CHECK(number_in(table, change, "estimate") < -50);
  CHECK(number_in(table, change, "high") < 0);
  CHECK(number_in(table, change, "p") < 0.001);
  CHECK(cell(table, change, "confirmed") == "memory");  // as the method that gave the values
  CHECK(says(cell(table, change, "answer"), "lower after 2022-03-01 than before, for the worse"));
  const core::Table above = run_well({"impact", demo(), "--control", "Q02", "--impact", "Q03", "--event",
                                      "2022-03-01", "--format", "csv"})
                                .table();
  CHECK(cell(above, above.rows[0], "answer") == "no change of the difference shown");
  // The same answer for the same seed, though it rests on draws.
  CHECK(run_well({"impact", demo(), "--control", "Q03", "--impact", "Q04", "--event", "2022-03-01",
                  "--format", "csv"})
            .table()
            .rows[0]
            .cells == change.cells);
}

TEST_CASE(
    "an outfall in use before the first sample leaves no before: said, and the difference after is judged") {
  const Answer answer =
      run({"impact", demo(), "--control", "Q03", "--impact", "Q04", "--outfall", "OUT-2", "--format", "csv"});
  CHECK(answer.code == 1);  // the question has no answer
  const core::Table table = answer.table();
  CHECK(cell(table, row_of(table, "test", "change of the difference"), "p").empty());
  CHECK(says(answer.err, "nothing to compare"));
  CHECK(number_in(table, row_of(table, "test", "difference after"), "estimate") < -20);
  const core::Table turned =
      run({"impact", demo(), "--control", "Q04", "--impact", "Q03", "--outfall", "OUT-2", "--format", "csv"})
          .table();
  CHECK(cell(turned, turned.rows[0], "note")
            .starts_with("Q04 lies downstream of Q03: control and impact seem"));
  CHECK(says(cell(turned, turned.rows[0], "note"), "OUT-2 drains to Q04 too, so that is no control"));
}

TEST_CASE("a control that does not lie above is accepted, but the warning comes before the answer") {
  const Answer right = run_well(
      {"impact", demo(), "--control", "Q03", "--impact", "Q04", "--event", "2022-03-01", "--format", "csv"});
  CHECK_FALSE(says(right.err, "warning"));
  const Answer turned = run_well(
      {"impact", demo(), "--control", "Q04", "--impact", "Q03", "--event", "2022-03-01", "--format", "csv"});
  CHECK(turned.err.find("warning: Q04 lies downstream of Q03") <
        turned.err.find("higher after 2022-03-01 than before"));
  const core::Table table = turned.table();
  for (const core::TableRow& row : table.rows)
    CHECK(cell(table, row, "note").starts_with("Q04 lies downstream of Q03"));
}

TEST_CASE("by season and by catchment there are two rows each, without and with covariance") {
  const core::Table seasons =
      run_well({"trend", demo(), "--of", "bmwp", "--site", "Q04", "--by-season", "--format", "csv"}).table();
  REQUIRE(seasons.rows.size() == 2);
  CHECK(cell(seasons, seasons.rows[0], "season_method") == "seasons");
  CHECK(cell(seasons, seasons.rows[1], "season_method") == "seasons, covariance");
  // Two tests of one series, of which one counts.
  CHECK(cell(seasons, seasons.rows[0], "counts") != cell(seasons, seasons.rows[1], "counts"));
  CHECK(says(run({"trend", demo(), "--of", "bmwp", "--site", "Q04", "--by-season"}).err,
             "of 1 series show a trend"));
  const core::Table catchments =
      run_well({"trend", demo(), "--of", "aspt", "--catchment", "C4", "--format", "csv"}).table();
  REQUIRE(catchments.rows.size() == 2);
  CHECK(cell(catchments, catchments.rows[0], "place") == "catchment");
  CHECK(says(cell(catchments, catchments.rows[0], "answer"), "falling"));
  const core::Table shannon =
      run({"trend", demo(), "--of", "shannon", "--site", "Q04", "--format", "csv"}).table();
  REQUIRE(shannon.rows.size() == 1);
  CHECK(cell(shannon, shannon.rows[0], "confirmed") == "memory");  // as diversity_metrics.csv says of it
}

// tests/reference/trend: Nile: S -1387, var S 112728.333333, z -4.12806652284, p 3.65826292166e-05, slope -2.6.
TEST_CASE("a published series comes through import and trend unchanged") {
  const TemporaryFolder folder;
  std::string rows;
  const core::Table nile = core::read_csv_file(reference("trend/series_Nile.csv"));
  for (const core::TableRow& row : nile.rows)
    rows += row.cells[0] + "-07-01,flow," + row.cells[1] + ",10^8 m3\n";
  const std::string survey = measured(folder, rows);
  const core::Table table =
      run_well({"trend", survey, "--of", "measurement:flow", "--format", "csv"}).table();
  REQUIRE(table.rows.size() == 1);
  const auto& row = table.rows[0];
  CHECK(cell(table, row, "n") == "100");
  CHECK(cell(table, row, "s") == "-1387");
  CHECK(near(number_in(table, row, "var_s"), 112728.333333, 1e-4));  // ten digits are printed
  CHECK(near(number_in(table, row, "z"), -4.12806652284, 1e-8));
  CHECK(near_relative(number_in(table, row, "p"), 3.65826292166e-05, 1e-8));
  CHECK(near(number_in(table, row, "slope_per_year"), -2.6, 1e-9));
  CHECK(cell(table, row, "answer") == "falling (p < 0.05)");  // of a flow nobody says what is better
}

// meau_env.csv: sp_2 has oxygen 13 %, temperature 11 C, pH 8.3, conductivity 315 uS/cm.
TEST_CASE(
    "the chemistry of the alpine stream is told, and the oxygen out of line is flagged without failing") {
  const TemporaryFolder folder;
  const std::string survey = (folder / "meau.brook").string();
  const auto file = [](const char* name) { return reference(std::string("meau/") + name).string(); };
  run_well({"new", survey, "--title", "Mayflies"});
  run_well({"import", survey, "sites", file("sites.csv")});
  run_well({"import", survey, "samples", file("samples.csv")});
  run_well({"import", survey, "measurements", file("meau_env.csv"), "--column",
            "Temp=measurement:temperature:C", "--column", "pH=measurement:pH", "--column",
            "Cond=measurement:conductivity:uS/cm", "--column", "Oxyg=measurement:oxygen saturation:%",
            "--column", "Ammo=measurement:ammonium:mg/l"});
  const core::Table table = run_well({"chemistry", survey, "--site", "S2", "--pressure", "900",
                                      "--ammonia-as", "N", "--format", "csv"})
                                .table();
  CHECK(table.columns == std::vector<std::string>{"site", "date", "sample", "quantity", "value", "unit",
                                                  "basis", "below", "below_detection", "flag", "source",
                                                  "confirmed", "note"});
  int flagged = 0, derived = 0;
  for (const core::TableRow& row : table.rows) {
    CHECK(cell(table, row, "site") == "S2");
    if (!cell(table, row, "flag").empty()) {
      ++flagged;
      CHECK(cell(table, row, "quantity") == "oxygen saturation");
      CHECK(cell(table, row, "value") == "13");
      CHECK(cell(table, row, "flag") == "out of line");
      CHECK(cell(table, row, "sample") == "sp_2");
    }
    if (cell(table, row, "basis") == "derived") {
      ++derived;
      CHECK_FALSE(cell(table, row, "source").empty());
      CHECK_FALSE(cell(table, row, "confirmed").empty());
      if (cell(table, row, "value").empty()) CHECK_FALSE(cell(table, row, "note").empty());
    }
  }
  CHECK(flagged == 1);
  CHECK(derived == 16);  // oxygen, two of ammonia, conductivity; four seasons
  // One year has no trend, and it says so.
  const Answer none = run({"trend", survey, "--of", "measurement:oxygen", "--by-season", "--site", "S2"});
  CHECK(none.code == 1);
  CHECK(says(none.out, "too few: 0 comparisons"));
}

TEST_CASE(
    "a value below detection stays a bound in chemistry, and takes the trend away until a number is asked "
    "for") {
  const TemporaryFolder folder;
  std::string rows;
  for (int year = 2001; year <= 2006; ++year)
    rows += std::to_string(year) + "-06-01,ammonia," +
            (year == 2003 ? "<0.05" : "0." + std::to_string(year % 10)) + ",mg/l N\n";
  const std::string survey = measured(folder, rows);
  const core::Table chemistry = run_well({"chemistry", survey, "--format", "csv"}).table();
  int bounds = 0;
  for (const core::TableRow& row : chemistry.rows)
    if (cell(chemistry, row, "below") == "0.05") {
      ++bounds;
      CHECK(cell(chemistry, row, "value").empty());
      CHECK(cell(chemistry, row, "below_detection") == "yes");
    }
  CHECK(bounds == 1);
  const Answer refused = run({"trend", survey, "--of", "measurement:ammonia", "--format", "csv"});
  CHECK(refused.code == 1);
  CHECK(says(refused.out, "1 value of 6 below detection"));
  const core::Table asked = run_well({"trend", survey, "--of", "measurement:ammonia", "--below-detection",
                                      "half", "--format", "csv"})
                                .table();
  CHECK(cell(asked, asked.rows[0], "n") == "6");
}

TEST_CASE("bad use is refused with a sentence") {
  const auto refused = [](const std::vector<std::string>& words, const char* part) {
    const Answer answer = run(words);
    INFO(answer.err);
    return answer.code == 2 && says(answer.err, part);
  };
  CHECK(refused({"trend", demo(), "--of", "nonsense"}, "choose one of bmwp"));
  CHECK(refused({"trend", demo(), "--of", "measurement:radium"}, "was measured in this survey; it has"));
  CHECK(refused({"trend", demo(), "--of", "bmwp", "--site", "X9"}, "there is no site \"X9\""));
  CHECK(refused({"trend", demo(), "--of", "bmwp", "--catchment", "X9"}, "there is no catchment \"X9\""));
  CHECK(refused({"trend", demo(), "--of", "bmwp", "--site", "Q04", "--catchment", "C4"}, "not both"));
  CHECK(refused({"trend", demo(), "--of", "bmwp", "--until", "yesterday"}, "is not a date"));
  CHECK(refused({"trend", demo(), "--of", "bmwp", "--by-season", "--by-month"}, "choose one"));
  CHECK(refused({"trend", demo(), "--of", "bmwp", "--by-season", "--each", "day"}, "leave out --each"));
  CHECK(refused({"trend", demo(), "--of", "measurement:pH", "--method", "bmwp-a"}, "has no method"));
  CHECK(refused({"impact", demo(), "--control", "Q03", "--impact", "Q03", "--event", "2022-03-01"},
                "same site"));
  CHECK(
      refused({"impact", demo(), "--control", "Q03", "--impact", "Q04", "--event", "soon"}, "is not a date"));
  CHECK(refused({"impact", demo(), "--control", "Q03", "--impact", "Q04", "--outfall", "X"},
                "there is no outfall"));
  CHECK(run({"impact", demo(), "--control", "Q03", "--impact", "Q04"}).code == 2);
  CHECK(
      run({"impact", demo(), "--control", "Q03", "--impact", "Q04", "--event", "2022-03-01", "--days", "-1"})
          .code == 2);
  CHECK(refused({"chemistry", demo(), "--site", "X9"}, "there is no site \"X9\""));
  CHECK(run({"chemistry", demo(), "--pressure", "101"}).code == 2);
}

TEST_CASE("text in place of a value is refused at import, with its line") {
  const TemporaryFolder folder;
  const std::string survey = measured(folder, "2001-06-01,pH,7,\n");
  write_text(
      folder / "bad.csv",
      "locationID,eventDate,measurementType,measurementValue,measurementUnit\nS1,2002-06-01,pH,neutral,\n");
  const Answer answer = run({"import", survey, "measurements", (folder / "bad.csv").string()});
  CHECK(answer.code != 0);
  CHECK(says(answer.err + answer.out, "neutral"));
  CHECK(run_well({"chemistry", survey, "--format", "csv"}).table().rows.size() == 1);
}

TEST_CASE("pH 20, a negative concentration and an unknown unit are kept, flagged and not used") {
  const TemporaryFolder folder;
  const std::string survey = measured(folder,
                                      "2001-06-01,pH,20,\n2001-06-01,ammonia,-1,mg/l "
                                      "N\n2001-06-01,temperature,10,C\n2001-06-01,oxygen,9,furlong\n");
  const core::Table table = run_well({"chemistry", survey, "--format", "csv"}).table();
  CHECK(cell(table, row_of(table, "quantity", "pH"), "flag") == "impossible");
  CHECK(cell(table, row_of(table, "quantity", "ammonia"), "flag") == "impossible");
  CHECK(says(cell(table, row_of(table, "quantity", "oxygen"), "note"), "unit \"furlong\" is not known here"));
  CHECK(cell(table, row_of(table, "quantity", "un-ionised ammonia"), "value").empty());
  CHECK(run({"check", survey}).code == 1);
}

TEST_CASE("a survey without samples or measurements has no trend and no chemistry, and says so") {
  const TemporaryFolder folder;
  const std::string survey = (folder / "s.brook").string();
  run_well({"new", survey, "--title", "t"});
  CHECK(run({"trend", survey, "--of", "bmwp"}).code == 1);
  CHECK(run({"chemistry", survey}).code == 1);
  CHECK(says(run({"trend", survey, "--of", "measurement:pH"}).err, "it has no measurements"));
}
