#include <doctest/doctest.h>

#include <random>

#include "core/base/formula_cell.hpp"
#include "core/intake/own_table.hpp"
#include "core/intake/row_cells.hpp"

using namespace brookmark::core;  // NOLINT: many words of the trade in one place

TEST_CASE("any text is protected from being run, and comes back as it was") {
  constexpr std::string_view kLetters = "''''=+-@\t\r\n0123456789.eA b";
  std::mt19937_64 random(4711);
  for (int i = 0; i < 200000; ++i) {
    std::string text;
    for (std::uint64_t n = random() % 7; n > 0; --n) text += kLetters[random() % kLetters.size()];
    CAPTURE(text);
    const std::string cell = not_a_formula(text);
    REQUIRE(formula_again(cell) == text);
    const bool runs = !cell.empty() &&
                      std::string_view("=+-@\t\r\n").find(cell.front()) != std::string_view::npos &&
                      !parse_number(cell);
    REQUIRE_FALSE(runs);
  }
}

TEST_CASE("an apostrophe goes in a table of our own only") {
  Table own;
  own.columns = {"longitude", "latitude", "uuid"};
  for (const std::string& column : cell_columns("sites")) own.columns.push_back(column);
  TableRow row;
  row.cells = {"1", "2", "u", "'+B2", "'@SUM(1)", "'t Hof", "'5", "'-3"};
  own.rows = {row};
  Table foreign = own;
  foreign.columns[2] = "id";
  take_protection_off(own);
  take_protection_off(foreign);
  CHECK(own.rows[0].cells ==
        std::vector<std::string>{"1", "2", "u", "+B2", "@SUM(1)", "'t Hof", "'5", "'-3"});
  CHECK(foreign.rows[0].cells == row.cells);
}
