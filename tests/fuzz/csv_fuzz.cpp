// A table of text, as every kind of import takes it: a report of rows and issues, or an Error; and cells that are written come
// back as they were.
#include <cstddef>
#include <cstdint>

#include "core/base/csv.hpp"
#include "core/base/error.hpp"
#include "core/intake/import.hpp"
#include "tests/fuzz/fuzz_file.hpp"

using namespace brookmark::core;  // NOLINT: many words of the trade in one place
using brookmark::test::must;

namespace {

void take_in(const Table& table) {
  static const Snapshot empty;
  for (int kind = 0; kind <= static_cast<int>(ImportKind::kKit); ++kind) {
    ImportOptions options;
    options.new_key = [] { return std::string("00000000-0000-4000-8000-000000000000"); };
    try {
      const ImportReport report = plan_import(static_cast<ImportKind>(kind), table, empty, options);
      must(report.good_rows + report.bad_rows <= report.rows);
    } catch (const brookmark::Error&) {
    }
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  Table table;
  try {
    table = read_csv(text, "fuzz.csv");
  } catch (const brookmark::Error&) {
    return 0;
  }
  for (const TableRow& row : table.rows) must(row.cells.size() <= table.columns.size());
  take_in(table);
  // Written and read again, it is the same table. A line without anything in it is skipped, and a cell of one column may be one.
  // A byte order mark at the very beginning is not part of the first heading.
  if (table.columns.size() < 2 || table.columns[0].starts_with("\xEF\xBB\xBF")) return 0;
  std::string again;
  const auto line = [&](const std::vector<std::string>& cells) {
    for (std::size_t i = 0; i < table.columns.size(); ++i)
      again += (i == 0 ? "" : ",") + (i < cells.size() ? csv_cell(cells[i]) : std::string());
    again += "\n";
  };
  line(table.columns);
  std::vector<std::vector<std::string>> kept;
  for (const TableRow& row : table.rows) {
    bool any = false;
    for (const std::string& cell : row.cells) any = any || !cell.empty();
    if (!any) continue;
    line(row.cells);
    kept.push_back(row.cells);
    kept.back().resize(table.columns.size());
  }
  const Table second = read_csv(again, "again.csv", {','});
  must(second.columns == table.columns);
  std::vector<std::vector<std::string>> found;
  for (const TableRow& row : second.rows) {
    bool any = false;
    for (const std::string& cell : row.cells) any = any || !cell.empty();
    if (any) found.push_back(row.cells);
    if (any) found.back().resize(table.columns.size());
  }
  must(found == kept);
  return 0;
}
