#include "core/base/csv.hpp"

#include <doctest/doctest.h>

#include <functional>

#include "core/base/error.hpp"
#include "tests/support/files.hpp"

using namespace brookmark;
using namespace brookmark::core;

namespace {

std::string refusal(const std::string& text) {
  try {
    read_csv(text, "t.csv");
  } catch (const Error& error) {
    CHECK(error.code() == ErrorCode::kBadInput);
    return error.what();
  }
  return "accepted";
}

bool says(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("cells may be quoted, with separators, quotes and lines inside") {
  const Table table = read_csv("a,b\n\"x, y\",\"say \"\"hi\"\"\"\n\"two\nlines\",2\nlast,3\n", "t.csv");
  REQUIRE(table.rows.size() == 3);
  CHECK(table.rows[0].cells == std::vector<std::string>{"x, y", "say \"hi\""});
  CHECK(table.rows[1].cells[0] == "two\nlines");
  CHECK(table.rows[1].line == 3);
  CHECK(table.rows[2].line == 5);
}

TEST_CASE("a byte order mark, CR LF and blank lines do no harm") {
  const Table table = read_csv("\xEF\xBB\xBFsite,lat\r\n\r\nS1,45\r\n,\r\nS2,46", "t.csv");
  CHECK(table.columns == std::vector<std::string>{"site", "lat"});
  REQUIRE(table.rows.size() == 2);
  CHECK(table.rows[1].cells[0] == "S2");
  CHECK(table.rows[1].line == 5);
}

TEST_CASE("the separator is seen from the header, and decimal commas from the numbers") {
  const Table semicolons = read_csv("site;lat;lon\nS1;45,5;-30,25\n", "t.csv");
  CHECK(semicolons.columns.size() == 3);
  CHECK(semicolons.decimal == ',');
  const Table tabs = read_csv("site\tlat\nS1\t45.5\n", "t.csv");
  CHECK(tabs.columns.size() == 2);
  CHECK(tabs.decimal == '.');
  CHECK(read_csv("a,b\n1,2\n", "t.csv").decimal == '.');
}

TEST_CASE("a row of the wrong width is kept and marked") {
  const Table table = read_csv("a,b\n1\n1,2,3\n1,2,\n", "t.csv");
  REQUIRE(table.rows.size() == 3);
  CHECK(says(table.rows[0].issue, "1 cell and the header 2"));
  CHECK(says(table.rows[1].issue, "3 cells"));
  CHECK(table.rows[2].issue.empty());
}

TEST_CASE("text that is no table is refused with a sentence") {
  CHECK(says(refusal(""), "the file is empty"));
  CHECK(says(refusal("\xEF\xBB\xBF \n \n"), "the file is empty"));
  CHECK(says(refusal("a,b\n\"open,1\n"), "never closed"));
  CHECK(says(refusal("a,b\n\"open,1\n"), "line 2"));
  CHECK(says(refusal("a,a\n1,2\n"), "two columns are headed"));
  CHECK(says(refusal("a,,c\n1,2,3\n"), "column 2 has no heading"));
  CHECK(says(refusal("a,b\n\xFF\xFE,1\n"), "not UTF-8"));
  CHECK(says(refusal(std::string("a,b\n\0,1\n", 8)), "not UTF-8"));
}

TEST_CASE("a file that is not there, or is a folder, is said so") {
  const test::TemporaryFolder folder;
  CHECK_THROWS_WITH_AS(read_csv_file(folder / "none.csv"), doctest::Contains("no such file"), Error);
  CHECK_THROWS_WITH_AS(read_csv_file(folder.path()), doctest::Contains("a folder"), Error);
}

TEST_CASE("what is written as a cell reads back the same") {
  for (const std::string value : {"plain", "a,b", "say \"hi\"", "two\nlines", "", "=1+1"}) {
    const Table table = read_csv("a,b\n" + csv_cell(value) + ",1\n", "t.csv");
    CHECK(table.rows[0].cells[0] == value);
  }
}
