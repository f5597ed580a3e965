// Why: a spreadsheet runs a cell that begins like a formula, and a stranger's name for a pond may be one. Whoever writes a table
// that people open takes the sting out; whoever reads that table again gets the text back as it was.
// Use: csv_cell(not_a_formula(name));  name == formula_again(not_a_formula(name))
#pragma once

#include <string>
#include <string_view>

#include "core/base/text.hpp"

namespace brookmark::core {

// True where the text, behind any apostrophes, begins with = + - @, a tab or a line end and is no plain number (common
// practice, no source).
inline bool looks_like_formula(std::string_view text) {
  constexpr std::string_view kFormulaStarts = "=+-@\t\r\n";
  const std::size_t start = text.find_first_not_of('\'');
  if (start == std::string_view::npos) return false;
  text.remove_prefix(start);
  return kFormulaStarts.find(text.front()) != std::string_view::npos && !parse_number(text);
}

// With an apostrophe in front, which makes it text, where it looks like a formula.
inline std::string not_a_formula(std::string_view text) {
  return looks_like_formula(text) ? "'" + std::string(text) : std::string(text);
}

// The text before not_a_formula.
inline std::string formula_again(std::string_view cell) {
  return std::string(cell.starts_with('\'') && looks_like_formula(cell) ? cell.substr(1) : cell);
}

}  // namespace brookmark::core
