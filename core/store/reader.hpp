// Why: reads the whole survey into columns with one plain pass over each table; order is made here, not by
// SQL.
// Use: Transaction t(db, Transaction::kRead);  Snapshot s = read_snapshot(db);
#pragma once

#include <string_view>
#include <vector>

#include "core/store/sqlite.hpp"
#include "core/survey/snapshot.hpp"

namespace brookmark::core {

// The caller holds a transaction, so that all tables are of one moment.
Snapshot read_snapshot(const Database& database);

// Every statement of this module: a file they can all be prepared on can be read by this version.
std::vector<std::string_view> reader_statements();

}  // namespace brookmark::core
