#include "core/intake/own_table.hpp"

#include <algorithm>
#include <array>

#include "core/base/formula_cell.hpp"
#include "core/intake/row_cells.hpp"

namespace brookmark::core {

namespace {

// How the files of an archive from here begin.
constexpr std::array<std::array<std::string_view, 5>, 3> kArchive = {
    {{"id", "eventID", "parentEventID", "eventType", "eventDate"},
     {"coreid", "occurrenceID", "basisOfRecord", "eventID", "scientificName"},
     {"coreid", "measurementID", "eventID", "occurrenceID", "measurementType"}}};

}  // namespace

bool is_own_table(const Table& table) {
  if (std::any_of(kArchive.begin(), kArchive.end(), [&](const auto& start) {
        return table.columns.size() > start.size() &&
               std::equal(start.begin(), start.end(), table.columns.begin());
      }))
    return true;
  if (!table.find("uuid")) return false;
  for (const char* layer : {"sites", "catchments", "reaches", "outfalls", "waters", "visits", "samples",
                            "records", "measurements"}) {
    const std::vector<std::string> own = cell_columns(layer);
    if (std::all_of(own.begin(), own.end(),
                    [&](const std::string& column) { return table.find(column).has_value(); }))
      return true;
  }
  return false;
}

void take_protection_off(Table& table) {
  if (!is_own_table(table)) return;
  for (TableRow& row : table.rows)
    for (std::string& cell : row.cells) cell = formula_again(cell);
}

}  // namespace brookmark::core
