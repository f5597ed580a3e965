#include "core/intake/wide_table.hpp"

#include <algorithm>

#include "core/base/error.hpp"
#include "core/base/text.hpp"

namespace brookmark::core {

namespace {

constexpr std::string_view kPrefix = "measurement:";

}  // namespace

std::vector<MeasuredColumn> take_measured_columns(std::map<std::string, std::string>& columns) {
  std::vector<MeasuredColumn> measured;
  for (auto entry = columns.begin(); entry != columns.end();) {
    const std::string_view ours = entry->second;
    if (!ours.starts_with(kPrefix)) {
      ++entry;
      continue;
    }
    const std::string_view rest = ours.substr(kPrefix.size());
    const std::size_t colon = rest.find(':');
    const std::string quantity(trim(rest.substr(0, colon)));
    const std::string unit(colon == std::string_view::npos ? "" : trim(rest.substr(colon + 1)));
    if (quantity.empty())
      throw Error(ErrorCode::kBadUse,
                  "\"" + std::string(ours) + "\" names no quantity; write measurement:temperature:C");
    measured.push_back({entry->first, quantity, unit});
    entry = columns.erase(entry);
  }
  return measured;
}

Table long_table(const Table& wide, const std::vector<MeasuredColumn>& measured,
                 std::vector<std::string>* measured_in) {
  std::vector<std::size_t> at;
  for (const MeasuredColumn& column : measured) {
    const auto index = wide.find(column.theirs);
    if (!index)
      throw Error(ErrorCode::kBadUse,
                  "there is no column \"" + column.theirs + "\" to read " + column.quantity + " from",
                  wide.file);
    at.push_back(*index);
  }
  const auto is_measured = [&](std::size_t i) { return std::find(at.begin(), at.end(), i) != at.end(); };
  Table table = wide;
  table.columns.clear();
  table.rows.clear();
  for (std::size_t i = 0; i < wide.columns.size(); ++i)
    if (!is_measured(i)) table.columns.push_back(wide.columns[i]);
  for (const char* added : {"measurementType", "measurementValue", "measurementUnit"})
    table.columns.push_back(added);
  for (const TableRow& row : wide.rows) {
    TableRow kept{row.line, {}, row.shape, row.issue};
    for (std::size_t i = 0; i < row.cells.size(); ++i)
      if (!is_measured(i)) kept.cells.push_back(row.cells[i]);
    for (std::size_t m = 0; m < measured.size(); ++m) {
      const std::string value(trim(row.cells[at[m]]));
      if (value.empty() && row.issue.empty()) continue;
      TableRow one = kept;
      for (const std::string& cell : {measured[m].quantity, value, measured[m].unit})
        one.cells.push_back(cell);
      table.rows.push_back(std::move(one));
      if (measured_in != nullptr) measured_in->push_back(row.issue.empty() ? measured[m].theirs : "");
      if (!row.issue.empty()) break;  // a malformed row is reported once
    }
  }
  return table;
}

}  // namespace brookmark::core
