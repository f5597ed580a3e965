// The wrapper: what is not committed is not stored, and every failure of SQLite is one Error.
#include <limits>

#include "tests/core/store/fixture.hpp"

using namespace brookmark::core;
using namespace brookmark::test;
using brookmark::Error;
using brookmark::ErrorCode;

TEST_CASE("a transaction that is not committed rolls back") {
  const Database database({}, OpenMode::kMemory, 50);
  database.execute("CREATE TABLE t (a)");
  {
    const Transaction forgotten(database, Transaction::kWrite);
    database.execute("INSERT INTO t VALUES (1)");
  }
  CHECK(database.query_integer("SELECT count(*) FROM t") == 0);
  Transaction kept(database, Transaction::kWrite);
  database.execute("INSERT INTO t VALUES (1)");
  kept.commit();
  CHECK(database.query_integer("SELECT count(*) FROM t") == 1);
}

TEST_CASE("a misspelt column is an error, not a text") {
  const Database database({}, OpenMode::kMemory, 50);
  database.execute("CREATE TABLE t (a)");
  CHECK_THROWS_AS(database.execute("INSERT INTO t VALUES (\"nosuchcolumn\")"), Error);
}

TEST_CASE("both codes of SQLite are kept") {
  const Database database({}, OpenMode::kMemory, 50);
  database.execute("CREATE TABLE t (a UNIQUE)");
  database.execute("INSERT INTO t VALUES (1)");
  try {
    database.execute("INSERT INTO t VALUES (1)");
    FAIL("no error");
  } catch (const SqliteError& error) {
    CHECK(error.code() == ErrorCode::kBadInput);
    CHECK(error.sqlite_code() == 19);      // SQLITE_CONSTRAINT, https://www.sqlite.org/rescode.html
    CHECK(error.extended_code() == 2067);  // SQLITE_CONSTRAINT_UNIQUE
  }
}

TEST_CASE("an empty text is stored as a text and a missing one as nothing") {
  const Database database({}, OpenMode::kMemory, 50);
  database.execute("CREATE TABLE t (a TEXT, b TEXT, c REAL)");
  Statement insert(database, "INSERT INTO t VALUES (?1, ?2, ?3)");
  insert.run(std::string_view{}, std::optional<std::string>{}, std::optional<double>{});
  Statement row(database, "SELECT a, b, c FROM t");
  REQUIRE(row.step());
  CHECK_FALSE(row.is_null(0));
  CHECK(row.text(0).empty());
  CHECK(row.is_null(1));
  CHECK_FALSE(row.optional_real(2).has_value());
}

TEST_CASE("a number that is none is refused, not stored as missing") {
  const Database database({}, OpenMode::kMemory, 50);
  Statement statement(database, "SELECT ?1");
  CHECK_THROWS_AS(statement.bind(1, std::numeric_limits<double>::quiet_NaN()), Error);
  CHECK_THROWS_AS(statement.bind(1, -std::numeric_limits<double>::infinity()), Error);
}

TEST_CASE("each version that matters can be printed") {
  const std::string versions = storage_versions();
  CHECK(holds(versions, "SQLite 3."));
  CHECK(holds(versions, "SpatiaLite "));
  CHECK(holds(versions, "PROJ "));
}
