#include <map>
#include <memory>

#include "core/base/text.hpp"
#include "geodata/export_writers_internal.hpp"
#include "geodata/published_table_internal.hpp"

namespace brookmark::geodata {

namespace {

// What makes a row of a layer whose rows have no key of their own.
struct WorkedOut {
  const char* layer;
  std::vector<const char*> columns;
};
const WorkedOut kWorkedOut[] = {{"scores", {"sample_uuid", "method", "metric"}},
                                {"channel_classes", {"reach_uuid"}},
                                {"drops", {"upstream_site", "downstream_site", "season"}}};

}  // namespace

ExportTable with_row_keys(ExportTable table) {
  std::vector<std::size_t> parts;
  for (const WorkedOut& layer : kWorkedOut)
    if (table.name == layer.layer)
      for (const char* name : layer.columns)
        for (std::size_t c = 0; c < table.columns.size(); ++c)
          if (std::string_view(table.columns[c].name) == name) parts.push_back(c);
  if (parts.empty()) parts.push_back(0);
  auto keys = std::make_shared<std::vector<std::string>>();
  std::map<std::string, int> times;
  for (std::size_t i = 0; i < table.rows; ++i) {
    const ExportRow row = table.row(i);
    std::string key;
    for (const std::size_t c : parts) key += (c == parts.front() ? "" : "/") + cell_text(row.cells[c]);
    const int time = ++times[key];
    keys->push_back(time == 1 ? key : key + "/" + std::to_string(time));
  }
  table.columns.insert(table.columns.begin(), {kRowKey, ColumnType::kText});
  table.row = [keys, inner = std::move(table.row)](std::size_t i) {
    ExportRow row = inner(i);
    row.cells.insert(row.cells.begin(), (*keys)[i]);
    return row;
  };
  return table;
}

}  // namespace brookmark::geodata
