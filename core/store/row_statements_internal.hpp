// Why: a row is added and replaced with the same columns in the same order; both statements come from one list.
// Use: run(replace ? row_statements(TableName::kSite).replace : row_statements(TableName::kSite).add, key, code, ...);
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "core/store/edit.hpp"

namespace brookmark::core {

// ?1 is the key, then the columns in their order, then the time of the edit and the device.
struct RowStatements {
  std::string table, columns;  // "code, name, kind"
  std::string add, replace, remove;
};

const RowStatements& row_statements(TableName table);
std::vector<std::string_view> all_row_statements();

}  // namespace brookmark::core
