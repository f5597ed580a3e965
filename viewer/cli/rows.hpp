// Why: every verb that answers with rows answers the same way: a table for eyes, CSV or JSON for programs.
// Use: Rows rows{{"site", "distance_m"}};  rows.add({"S1", number(812.4, 1)});
//      print(rows, Format::kCsv, out);
#pragma once

#include <cstdint>
#include <iosfwd>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

namespace brookmark::viewer {

struct Number {
  double value = 0;
  int decimals = 0;  // shown in every form, so that all forms agree
};
// monostate is an empty cell: not known, not zero.
using Cell = std::variant<std::monostate, std::string, std::int64_t, Number, bool>;

inline Cell number(double value, int decimals) {
  return Number{value, decimals};
}
Cell exact(double value);  // with as many decimals as it has
// Rounded to so many digits that say something (1 to 15), whatever the size: 0.000012345, 1234.5.
Cell significant(double value, int digits);
Cell exact_or_empty(const std::optional<double>& value);
inline Cell whole(std::size_t value) {
  return static_cast<std::int64_t>(value);
}
inline Cell text(std::string_view value) {
  return std::string(value);
}
// An empty text is an empty cell.
Cell text_or_empty(std::string_view value);

struct Rows {
  std::vector<std::string> columns;
  std::vector<std::vector<Cell>> rows;
  void add(std::vector<Cell> row) { rows.push_back(std::move(row)); }
};

enum class Format { kTable, kCsv, kJson };

// kJson: an array of objects, an empty cell is null. kTable: numbers to the right, wrapped to `width`
// characters when the last column is too long for it; 0 = never wrapped.
void print(const Rows& rows, Format format, std::ostream& out, std::size_t width = 0);

}  // namespace brookmark::viewer
