#include "core/store/migrations.hpp"

#include <sqlite3.h>

#include <optional>

#include "core/base/embedded.hpp"
#include "core/base/text.hpp"

namespace brookmark::core {
namespace {

// SpatiaLite's functions answer 0 instead of failing, and keep the reason to themselves. The likeliest is a
// full disk: asking for space here gives SQLite's own answer. Nothing of it is committed.
[[noreturn]] void explain_refusal(const Database& database, const Migration& migration,
                                  std::string_view sql) {
  std::optional<Transaction> own;  // SQLite may have taken the whole transaction back
  if (sqlite3_get_autocommit(database.handle()) != 0) own.emplace(database, Transaction::kWrite);
  database.execute("CREATE TABLE space_probe (bytes)");
  database.execute("INSERT INTO space_probe VALUES (zeroblob(1000000))");
  throw Error(ErrorCode::kStorage, "the database could not be prepared (" + std::string(trim(sql)) + ")",
              migration.name);
}

void run_script(const Database& database, const Migration& migration) {
  const char* rest = migration.sql.c_str();
  while (*rest != '\0') {
    sqlite3_stmt* compiled = nullptr;
    const char* after = rest;
    if (const int code = sqlite3_prepare_v2(database.handle(), rest, -1, &compiled, &after);
        code != SQLITE_OK) {
      database.fail(code, migration.name);
    }
    sqlite3_finalize(compiled);
    if (compiled != nullptr) {
      Statement statement(database, std::string_view(rest, static_cast<std::size_t>(after - rest)));
      while (statement.step(migration.name)) {
        if (statement.integer(0) != 1) explain_refusal(database, migration, std::string_view(rest, after));
      }
    }
    rest = after;
  }
}

}  // namespace

std::vector<Migration> built_in_migrations() {
  std::vector<Migration> migrations;
  for (const EmbeddedText& file : embedded_schema()) {
    const auto number = parse_integer(file.name.substr(0, file.name.find('_')));
    if (number != static_cast<std::int64_t>(migrations.size()) + 1) {
      throw Error(ErrorCode::kStorage, "schema files must be numbered 0001, 0002 and so on",
                  std::string(file.name));
    }
    migrations.push_back({static_cast<int>(*number), std::string(file.name), std::string(file.text)});
  }
  return migrations;
}

void migrate(const Database& database, std::span<const Migration> migrations) {
  // Foreign keys cannot be switched inside a transaction; a step that rebuilds a table needs them off. They
  // are all looked at before the commit.
  database.execute("PRAGMA foreign_keys = OFF");
  Transaction transaction(database, Transaction::kWrite);
  const std::int64_t from = database.query_integer("PRAGMA user_version");
  for (const Migration& migration : migrations) {
    if (migration.number <= from) continue;
    run_script(database, migration);
    database.execute("PRAGMA user_version = " + std::to_string(migration.number));
  }
  database.execute("PRAGMA application_id = " + std::to_string(kApplicationId));
  if (Statement orphans(database, "PRAGMA foreign_key_check"); orphans.step()) {
    throw Error(ErrorCode::kStorage,
                "rows of table " + std::string(orphans.text(0)) + " would be left without their owner",
                database.name());
  }
  transaction.commit();
  database.execute("PRAGMA foreign_keys = ON");
}

}  // namespace brookmark::core
