// Why: survey files outlive program versions. Each numbered file of core/store/sql takes a survey one schema
// further.
// Use: migrate(db, built_in_migrations());  // from whatever user_version says, in one transaction
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "core/store/sqlite.hpp"

namespace brookmark::core {

// Written into every survey file (bytes 68 to 71): the letters "BROK".
inline constexpr std::int64_t kApplicationId = 0x42524F4B;

struct Migration {
  int number = 0;  // user_version afterwards
  std::string name;
  std::string sql;  // each SELECT in it must answer 1
};

// core/store/sql/*.sql, numbered 1, 2, 3 ... without gaps.
std::vector<Migration> built_in_migrations();

// Runs what `database` lacks, all or nothing. Throws Error(kStorage) when a step fails.
void migrate(const Database& database, std::span<const Migration> migrations);

}  // namespace brookmark::core
