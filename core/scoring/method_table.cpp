#include <algorithm>

#include "core/base/csv.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/reference/reference.hpp"
#include "core/scoring/method_file_internal.hpp"

namespace brookmark::core {

namespace {

bool is_blank_row(const TableRow& row) {
  return std::all_of(row.cells.begin(), row.cells.end(),
                     [](const std::string& c) { return trim(c).empty(); });
}

}  // namespace

MethodFault::MethodFault(Issue issue)
    : Error(ErrorCode::kBadInput, issue.text,
            issue.file + (issue.line == 0 ? "" : ", line " + std::to_string(issue.line)) +
                (issue.column.empty() ? "" : ", column " + issue.column)),
      issue_(std::move(issue)) {}

MethodTable::MethodTable(const TableText& text, const std::vector<std::string>& columns,
                         const std::vector<std::string>& may_have)
    : table_(read_csv(text.text, text.file)) {
  for (std::string& name : table_.columns) name = std::string(trim(name));
  for (const std::string& name : table_.columns)
    if (name != "note" && std::find(columns.begin(), columns.end(), name) == columns.end() &&
        std::find(may_have.begin(), may_have.end(), name) == may_have.end())
      throw MethodFault({Severity::kError, text.file, 1, name,
                         "unknown column \"" + name + "\"; this table has the columns " +
                             joined(columns, ", ") + (may_have.empty() ? "" : ", " + joined(may_have, ", ")) +
                             " and note"});
  for (const std::string& name : columns)
    if (!table_.find(name))
      throw MethodFault({Severity::kError, text.file, 1, name,
                         "the column \"" + name + "\" is missing; add it, its cells may be empty"});
  // Spreadsheets leave rows of nothing but separators behind.
  std::erase_if(table_.rows, is_blank_row);
  for (const TableRow& row : table_.rows)
    if (!row.issue.empty()) throw MethodFault({Severity::kError, text.file, row.line, "", row.issue});
}

std::string MethodTable::cell(std::size_t row, std::string_view column) const {
  const std::optional<std::size_t> at = table_.find(column);
  return at ? std::string(trim(table_.rows[row].cells[*at])) : std::string();
}

std::vector<std::string> MethodTable::list(std::size_t row, std::string_view column) const {
  std::vector<std::string> parts;
  for (const std::string& part : split(cell(row, column), '|')) {
    parts.emplace_back(trim(part));
    if (parts.back().empty()) fail(row, column, "there is nothing between two \"|\"; write each name once");
  }
  return parts;
}

std::optional<double> MethodTable::number(std::size_t row, std::string_view column) const {
  const std::string text = cell(row, column);
  if (text.empty()) return std::nullopt;
  const std::optional<double> value = parse_number(text, table_.decimal);
  if (!value) fail(row, column, "\"" + text + "\" is not a number");
  const std::size_t point = text.find(table_.decimal);
  if (text.find_first_of("eE") != std::string::npos ||
      (point != std::string::npos && text.size() - point > 7))
    fail(row, column, "\"" + text + "\" has to be a plain number with at most six decimals");
  if (*value > 1e9 || *value < -1e9) fail(row, column, "\"" + text + "\" is too large for a published value");
  return value;
}

bool MethodTable::flag(std::size_t row, std::string_view column) const {
  const std::string text = to_lower_ascii(cell(row, column));
  if (text == "yes") return true;
  if (!text.empty() && text != "no") fail(row, column, "write \"yes\" or \"no\" here, not \"" + text + "\"");
  return false;
}

void MethodTable::fail(std::size_t row, std::string_view column, const std::string& sentence) const {
  throw MethodFault({Severity::kError, table_.file, line(row), std::string(column), sentence});
}

Confirmed read_confirmed(const MethodTable& table, std::size_t row, std::string_view column) {
  const std::string word = table.cell(row, column);
  if (const std::optional<Confirmed> confirmed = parse_confirmed(word)) return *confirmed;
  table.fail(row, column,
             "say how the value was established: document (read in the publication), secondary (read in a "
             "text quoting it) or memory (recalled); found \"" +
                 word + "\"");
}

SourceCells read_source(const MethodTable& table, std::size_t row) {
  SourceCells source{table.cell(row, "source_key"), table.cell(row, "source_detail"), Confirmed::kMemory};
  if (source.source_key.empty())
    table.fail(row, "source_key",
               "this line names no source; write a key of sources.csv, or \"own\" with the full citation in "
               "source_detail");
  if (source.source_key == kOwnSourceKey) {
    if (source.source_detail.empty())
      table.fail(row, "source_detail", "a source called \"own\" needs its full citation here");
  } else {
    try {
      citation(source.source_key);
    } catch (const Error&) {
      table.fail(row, "source_key",
                 "no source is known as \"" + source.source_key +
                     "\"; write a key of sources.csv, or \"own\" with the full citation in source_detail");
    }
  }
  source.confirmed = read_confirmed(table, row, "confirmed");
  return source;
}

}  // namespace brookmark::core
