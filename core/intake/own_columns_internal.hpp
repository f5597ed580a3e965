// Why: a table that this program exported may be taken in again, by another surveyor or after years. Its headings say more than
// an import asks for ("code" and "sample" in one row of a site), so they are known as a whole and not word by word.
// Use: for (const auto& [theirs, ours] : own_columns(ImportKind::kSites, table)) ...
#pragma once

#include <map>
#include <string>

#include "core/intake/import.hpp"

namespace brookmark::core {

// Their heading to our word, or to nothing for a column to leave out; empty where the table is none of ours. Only columns that
// are there: forms such as KML leave out what is empty in every row.
std::map<std::string, std::string> own_columns(ImportKind kind, const Table& table);

}  // namespace brookmark::core
