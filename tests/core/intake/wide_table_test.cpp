#include "core/intake/wide_table.hpp"

#include <doctest/doctest.h>

#include "core/base/csv.hpp"
#include "core/base/error.hpp"

using namespace brookmark;
using namespace brookmark::core;

TEST_CASE("a wide table becomes one row a measurement, with the line it came from") {
  const Table wide = read_csv("sample,Temp,pH,remark\nA1,10,8.5,clear\nA2,,7.9,\n", "t.csv");
  const Table table = long_table(wide, {{"Temp", "temperature", "C"}, {"pH", "pH", ""}});
  CHECK(table.columns == std::vector<std::string>{"sample", "remark", "measurementType", "measurementValue",
                                                  "measurementUnit"});
  REQUIRE(table.rows.size() == 3);  // the empty temperature of A2 is no measurement, and no zero
  CHECK(table.rows[0].cells == std::vector<std::string>{"A1", "clear", "temperature", "10", "C"});
  CHECK(table.rows[1].cells == std::vector<std::string>{"A1", "clear", "pH", "8.5", ""});
  CHECK(table.rows[2].cells == std::vector<std::string>{"A2", "", "pH", "7.9", ""});
  CHECK(table.rows[2].line == 3);
}

TEST_CASE("a malformed row of a wide table is reported once") {
  const Table wide = read_csv("sample,Temp,pH\nA1,10\n", "t.csv");
  const Table table = long_table(wide, {{"Temp", "temperature", "C"}, {"pH", "pH", ""}});
  REQUIRE(table.rows.size() == 1);
  CHECK_FALSE(table.rows[0].issue.empty());
}

TEST_CASE("the mapping of measured columns is taken out of the others") {
  std::map<std::string, std::string> columns{
      {"Probe", "eventID"}, {"Temp", "measurement:temperature:C"}, {"pH", "measurement:pH"}};
  const auto measured = take_measured_columns(columns);
  CHECK(columns.size() == 1);
  REQUIRE(measured.size() == 2);
  CHECK(measured[0].theirs == "Temp");
  CHECK(measured[0].unit == "C");
  CHECK(measured[1].quantity == "pH");
  CHECK(measured[1].unit.empty());
}

TEST_CASE("a measured column without a quantity, or that is not there, is refused with a sentence") {
  std::map<std::string, std::string> columns{{"Temp", "measurement:"}};
  CHECK_THROWS_WITH_AS(take_measured_columns(columns), doctest::Contains("names no quantity"), Error);
  const Table wide = read_csv("sample,Temp\nA1,10\n", "t.csv");
  CHECK_THROWS_WITH_AS(long_table(wide, {{"pH", "pH", ""}}), doctest::Contains("no column \"pH\""), Error);
}
