// Why: the tables of this folder are read alike: cells by heading, numbers that may be missing, lists between bars.
// Private to core/hygiene.
// Use: for (const TableRow& row : table.rows) { const ReferenceRow cells{table, row}; cells.number("min_pct") }
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/error.hpp"
#include "core/base/table.hpp"
#include "core/base/text.hpp"
#include "core/reference/reference.hpp"

namespace brookmark::core {

struct ReferenceRow {
  const Table& table;
  const TableRow& row;

  const std::string& text(std::string_view column) const {
    const auto at = table.find(column);
    if (!at)
      throw Error(ErrorCode::kBadInput, "the column \"" + std::string(column) + "\" is missing", table.file);
    return row.cells[*at];
  }
  std::optional<double> number(std::string_view column) const {
    if (text(column).empty()) return std::nullopt;
    if (const auto value = parse_number(text(column))) return value;
    fail("\"" + text(column) + "\" in column \"" + std::string(column) + "\" is no number");
  }
  std::vector<std::string> list(std::string_view column) const {
    return text(column).empty() ? std::vector<std::string>{} : split(text(column), '|');
  }
  Confirmed confirmed() const {
    if (const auto word = parse_confirmed(text("confirmed"))) return *word;
    fail("write document, secondary or memory under \"confirmed\"");
  }
  [[noreturn]] void fail(const std::string& sentence) const {
    throw Error(ErrorCode::kBadInput, sentence, table.file + ", line " + std::to_string(row.line));
  }
};

}  // namespace brookmark::core
