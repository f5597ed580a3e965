// Why: a table that was exported from here has apostrophes before text that a spreadsheet would run. When it comes back, they
// go again; in the table of a stranger an apostrophe is theirs and stays.
// Use: Table table = read_csv_file(file);  take_protection_off(table);
#pragma once

#include "core/base/table.hpp"

namespace brookmark::core {

// Known by its headings: those of a layer as exported, with its uuid, or those of a file of the Darwin Core Archive.
bool is_own_table(const Table& table);
// Nothing happens to a table that is not our own. Undoes not_a_formula cell by cell.
void take_protection_off(Table& table);

}  // namespace brookmark::core
