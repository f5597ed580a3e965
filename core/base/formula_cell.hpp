// Why: a spreadsheet runs a cell that begins like a formula, and a stranger's name for a pond may be one. Whoever writes a table
// that people open takes the sting out.
// Use: csv_cell(not_a_formula(name))
#pragma once

#include <string>
#include <string_view>

#include "core/base/text.hpp"

namespace brookmark::core {

// With an apostrophe in front, which makes it text, where it begins with = + - @, a tab or a line end (common practice, no
// source). Plain numbers stay.
inline std::string not_a_formula(std::string_view text) {
  constexpr std::string_view kFormulaStarts = "=+-@\t\r\n";
  if (text.empty() || kFormulaStarts.find(text.front()) == std::string_view::npos || parse_number(text))
    return std::string(text);
  return "'" + std::string(text);
}

}  // namespace brookmark::core
