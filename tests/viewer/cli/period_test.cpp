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
  CHECK_FALSE(dates({"--season", "autumn"}).empty());
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

namespace {

// Sample and measurement days of a hand-over as CSV of its layer of samples.
std::multiset<std::string> days_in(const std::string& file) {
  const core::Table table = core::read_csv_file(file);
  std::multiset<std::string> days;
  for (const core::TableRow& row : table.rows) days.insert(cell(table, row, "date"));
  return days;
}

bool is_of(const std::string& day, const char* from, const char* until) {
  const std::string month = day.substr(5, 2);
  return day >= from && day <= until && month >= "03" && month <= "05";  // spring, on the northern half
}

}  // namespace

TEST_CASE("export, report and trend take --from, --until and --season, and say so") {
  const TemporaryFolder folder;
  const std::vector<std::string> of{"--from", "2021-01-01", "--until", "2023-12-31", "--season", "spring"};
  const auto with = [&](std::vector<std::string> words) {
    words.insert(words.end(), of.begin(), of.end());
    return words;
  };
  const std::string all = (folder / "all.csv").string(), some = (folder / "some.csv").string();
  run_well({"export", demo(), all, "--only", "samples"});
  const auto told = run_well(with({"export", demo(), some, "--only", "samples"}));
  CHECK_MESSAGE(says(told.err, "from 2021-01-01 to 2023-12-31, of spring"), told.err);
  std::multiset<std::string> expected;
  for (const std::string& day : days_in(all))
    if (is_of(day, "2021-01-01", "2023-12-31")) expected.insert(day);
  CHECK(expected.size() > 20);
  CHECK(days_in(some) == expected);

  const std::string page = (folder / "r.html").string();
  run_well(with({"report", demo(), page}));
  const std::string html = read_text(page);
  CHECK(says(html, "from samples since 1 January 2021, of spring only"));
  CHECK(says(html, "Only some of the samples count here"));
  CHECK_FALSE(says(html, "Q04-2025-10"));
  CHECK_FALSE(says(html, "Q04-2022-10"));
  CHECK(says(html, "Q04-2022-04"));

  // Without a sample in it, and turned round: the verbs that hand something over say the same, as those that only read do.
  for (const auto& [verb, file] : {std::pair{"report", "n.pdf"}, {"export", "n.gpkg"}}) {
    CAPTURE(verb);
    const std::string target = (folder / file).string();
    const Answer none = run({verb, demo(), target, "--from", "1990-01-01", "--until", "1990-12-31"});
    CHECK(none.code == 1);
    CHECK_MESSAGE(
        says(none.err,
             "no sample of this survey may be told from 1990-01-01 to 1990-12-31, so there is nothing to "
             "hand over; nothing was written"),
        none.err);
    const Answer early = run({verb, demo(), target, "--until", "1990-12-31"});
    CHECK(early.code == 1);
    CHECK(says(early.err, "may be told up to 1990-12-31"));
    const Answer ahead = run({verb, demo(), target, "--from", "2999-01-01"});
    CHECK(ahead.code == 2);
    CHECK_MESSAGE(says(ahead.err, "--from 2999-01-01 lies after the last day asked for"), ahead.err);
    const Answer turned = run({verb, demo(), target, "--from", "2024-01-01", "--until", "2023-01-01"});
    CHECK(turned.code == 2);
    CHECK(says(turned.err, "lies after the last day asked for, 2023-01-01; give an earlier one"));
    CHECK_FALSE(std::filesystem::exists(target));
  }
  CHECK(run({"export", demo(), (folder / "n.gpkg").string(), "--season", "monsoon"}).code == 2);
  CHECK(run({"export", demo(), (folder / "n.gpkg").string(), "--from", "2024-01-01", "--until", "2023-01-01"})
            .code == 2);
}

TEST_CASE("a trend of some seasons and days has the values of those alone") {
  const core::Table all =
      run_well({"score", demo(), "--method", "bmwp-a", "--metric", "bmwp", "--format", "csv"}).table();
  std::set<std::string> quarters;
  for (const core::TableRow& row : all.rows)
    if (cell(all, row, "site") == "Q04" && cell(all, row, "in_scope") == "yes" &&
        is_of(cell(all, row, "date"), "2021-01-01", "2024-12-31"))
      quarters.insert(cell(all, row, "date").substr(0, 4));  // one spring a year
  const core::Table trend = run({"trend", demo(), "--of", "bmwp", "--site", "Q04", "--from", "2021-01-01",
                                 "--until", "2024-12-31", "--season", "spring", "--format", "csv"})
                                .table();
  REQUIRE(trend.rows.size() == 1);
  CHECK(cell(trend, trend.rows[0], "n") == std::to_string(quarters.size()));
  CHECK(is_of(cell(trend, trend.rows[0], "first"), "2021-01-01", "2024-12-31"));
  CHECK(is_of(cell(trend, trend.rows[0], "last"), "2021-01-01", "2024-12-31"));
}

TEST_CASE("a GeoPackage of some seasons comes back without a change: what stayed at home is no removed row") {
  const TemporaryFolder folder;
  const std::string file = (folder / "s.gpkg").string();
  run_well({"export", demo(), file, "--from", "2022-01-01", "--season", "autumn"});
  const Answer back = run({"import", demo(), "changes", file});
  CHECK_MESSAGE(back.code == 1, back.err);
}
