// Why: a survey file may come from a stranger, and a database can hold what runs when it is read or changed. Of a survey only
// its own plain tables are read, and on a change nothing runs but what keeps SpatiaLite's indexes.
// Use: refuse_what_runs_in(database, migrations);  hold_triggers(database);  // in this order, before rows are read
#pragma once

#include <span>

#include "core/store/migrations.hpp"
#include "core/store/sqlite.hpp"

namespace brookmark::core {

// Throws Error(kForeignFile) where a table that the migrations make is a view, a virtual table or has a computed column, and
// where a trigger stands on one that SpatiaLite does not make for its shapes.
void refuse_what_runs_in(const Database& database, std::span<const Migration> migrations);

// From now on a statement is refused with SQLITE_AUTH if a view or trigger of the file would, for it, write into anything but
// indexes of shapes, call anything but what those need, or go round without end. Costs nothing once a statement is prepared.
void hold_triggers(const Database& database);

}  // namespace brookmark::core
