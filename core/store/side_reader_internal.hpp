// Why: the rows that are few beside samples and records (kit, photos, ground ...) are read as plain values.
// Use: read_side_tables(database, snapshot);
#pragma once

#include <span>
#include <string_view>

#include "core/store/sqlite.hpp"
#include "core/survey/snapshot.hpp"

namespace brookmark::core {

// Fills photos, layers, people, sensitive_taxa, kit, kit_uses, cleanings, holdings, risks and grounds.
void read_side_tables(const Database& database, Snapshot& snapshot);
std::span<const std::string_view> side_reader_statements();

// Of a date in the file; throws Error(kForeignFile) for anything else. A time of day and an offset out of range too.
Date stored_date(std::string_view text);
Moment stored_moment(const Statement& row, int date_column);  // date, minute of day, offset in three columns

}  // namespace brookmark::core
