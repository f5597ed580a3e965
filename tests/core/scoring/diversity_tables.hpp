// Why: several tests read the same count tables and expected values.
// Use: for (const auto& [sample, counts] : count_table("diversity/vegan_BCI_counts.csv", "sample")) ...
#pragma once

#include <doctest/doctest.h>

#include <cstdlib>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "core/base/csv.hpp"
#include "core/base/text.hpp"
#include "tests/support/files.hpp"

namespace brookmark::test {

// Counts by the value of the first key column.
inline std::map<std::string, std::vector<std::int64_t>> count_table(const std::string& file,
                                                                    const std::string& key) {
  const core::Table table = core::read_csv_file(reference(file));
  std::map<std::string, std::vector<std::int64_t>> counts;
  for (const core::TableRow& row : table.rows)
    counts[row.cells.at(*table.find(key))].push_back(
        core::parse_integer(row.cells.at(*table.find("count"))).value());
  return counts;
}

inline std::map<std::pair<std::string, std::string>, std::vector<std::int64_t>> reference_samples() {
  std::map<std::pair<std::string, std::string>, std::vector<std::int64_t>> all;
  for (const auto& [name, file] :
       std::map<std::string, std::string>{{"meau", "meau/meau_counts.csv"},
                                          {"dune", "diversity/vegan_dune_counts.csv"},
                                          {"BCI", "diversity/vegan_BCI_counts.csv"}})
    for (auto& [sample, counts] : count_table(file, "sample")) all[{name, sample}] = std::move(counts);
  return all;
}

// One row of a table, by column name; an empty cell is nothing.
class Expected {
 public:
  Expected(const core::Table& table, const core::TableRow& row) : table_(table), row_(row) {}
  std::string text(const std::string& column) const {
    const auto at = table_.find(column);
    REQUIRE_MESSAGE(at.has_value(), column);
    return row_.cells.at(*at);
  }
  std::optional<double> number(const std::string& column) const { return core::parse_number(text(column)); }

 private:
  const core::Table& table_;
  const core::TableRow& row_;
};

}  // namespace brookmark::test
