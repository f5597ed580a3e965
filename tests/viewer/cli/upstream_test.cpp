// `upstream`: the answer of core as rows, and what cannot be asked.
#include <doctest/doctest.h>

#include <map>

#include "core/base/text.hpp"
#include "tests/support/near.hpp"
#include "tests/viewer/cli/run_cli.hpp"

using namespace brookmark;
using namespace brookmark::test;

TEST_CASE("upstream lists the outfalls that distance --direction upstream lists, at the same distances") {
  const Answer answer = run_well({"upstream", demo(), "--site", "Q09", "--format", "csv"});
  const core::Table up = answer.table();
  const core::Table distance =
      run_well({"distance", demo(), "--site", "Q09", "--direction", "upstream", "--format", "csv"}).table();
  std::map<std::string, std::string> expected, found;
  for (const core::TableRow& row : distance.rows)
    if (const std::string m = cell(distance, row, "distance_m"); !m.empty())
      expected[cell(distance, row, "outfall")] = m;
  std::map<std::string, int> kinds;
  for (const core::TableRow& row : up.rows) {
    ++kinds[cell(up, row, "what")];
    if (cell(up, row, "what") == "outfall") found[cell(up, row, "code")] = cell(up, row, "distance_m");
  }
  CHECK_FALSE(expected.empty());
  CHECK(found == expected);
  CHECK(kinds["site"] > 1);
  CHECK(says(answer.err, "m of channel"));
}

TEST_CASE("upstream of a spring is only itself; off every channel the answer is no, with a reason") {
  const core::Table none = run_well({"upstream", demo(), "--site", "K01", "--format", "csv"}).table();
  REQUIRE_FALSE(none.rows.empty());
  CHECK(cell(none, none.rows[0], "code") == "K01");
  const Answer far = run({"upstream", demo(), "--at", "10,10"});
  CHECK(far.code == 1);
  CHECK(says(far.err, "on no channel"));
}

TEST_CASE("upstream of a site that is not there, or of no place, is bad input") {
  CHECK(run({"upstream", demo(), "--site", "X99"}).code == 2);
  for (const char* place : {"somewhere", "200,95", "1;2", ""}) {
    const Answer answer = run({"upstream", demo(), "--at", place});
    CHECK(answer.code == 2);
    CHECK_FALSE(answer.err.empty());
  }
  CHECK(run({"upstream", demo()}).code == 2);
  CHECK(run({"upstream", demo(), "--site", "K01", "--at", "1,2"}).code == 2);
}
