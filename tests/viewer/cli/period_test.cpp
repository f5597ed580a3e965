// --from, --until and --season: the verbs ask of the samples of a period.
#include <doctest/doctest.h>

#include <set>

#include "tests/support/files.hpp"
#include "tests/viewer/cli/run_cli.hpp"

using namespace brookmark;
using namespace brookmark::test;

TEST_CASE("score lists the samples of the season and days asked for, and no others") {
  const core::Table all = run_well({"score", demo(), "--method", "bmwp-a", "--format", "csv"}).table();
  const core::Table some = run_well({"score", demo(), "--method", "bmwp-a", "--from", "2021-01-01", "--until",
                                     "2022-12-31", "--season", "spring", "--format", "csv"})
                               .table();
  // Months read off the dates as written: spring is March to May on the northern half, where the demo lies.
  std::set<std::string> expected, found;
  for (const core::TableRow& row : all.rows) {
    const std::string date = cell(all, row, "date"), month = date.substr(5, 2);
    if (date >= "2021-01-01" && date <= "2022-12-31" && month >= "03" && month <= "05")
      expected.insert(cell(all, row, "sample"));
  }
  for (const core::TableRow& row : some.rows) found.insert(cell(some, row, "sample"));
  CHECK_FALSE(expected.empty());
  CHECK(found == expected);
}

TEST_CASE("catchments by spring and by autumn are two answers, and both seasons together bound the dates") {
  const auto dates = [](const std::vector<std::string>& more) {
    std::vector<std::string> words{"catchments", demo(), "--format", "csv"};
    words.insert(words.end(), more.begin(), more.end());
    const core::Table table = run_well(words).table();
    std::set<std::string> months;
    for (const core::TableRow& row : table.rows)
      for (const char* column : {"first", "last"})
        if (const std::string date = cell(table, row, column); !date.empty())
          months.insert(date.substr(5, 2));
    return months;
  };
  for (const std::string& month : dates({"--season", "spring"})) CHECK((month >= "03" && month <= "05"));
  for (const std::string& month : dates({"--season", "autumn"})) CHECK((month >= "09" && month <= "11"));
  CHECK_FALSE(dates({"--season", "spring"}).empty());
  CHECK(dates({"--season", "spring,autumn,winter,summer"}) == dates({}));
}

TEST_CASE("a period of one day, an empty one, and one that no one can mean") {
  const core::Table all = run_well({"score", demo(), "--method", "bmwp-a", "--format", "csv"}).table();
  const std::string date = cell(all, all.rows[0], "date");
  const core::Table one =
      run_well({"score", demo(), "--method", "bmwp-a", "--from", date, "--until", date}).table();
  CHECK_FALSE(one.rows.empty());
  for (const core::TableRow& row : one.rows) CHECK(cell(one, row, "date") == date);

  const Answer none = run({"score", demo(), "--from", "1990-01-01", "--until", "1990-12-31"});
  CHECK(none.code == 1);
  CHECK(says(none.err, "no sample to score from 1990-01-01 to 1990-12-31"));

  const Answer turned = run({"score", demo(), "--from", "2022-01-01", "--until", "2021-01-01"});
  CHECK(turned.code == 2);
  CHECK(says(turned.err, "lies after the last day"));
  const Answer monsoon = run({"catchments", demo(), "--season", "monsoon"});
  CHECK(monsoon.code == 2);
  CHECK(says(monsoon.err, "winter, spring, summer or autumn"));
  CHECK(run({"drops", demo(), "--from", "2022-02-30"}).code == 2);
}
