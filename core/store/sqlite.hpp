// Why: a database handle that is always closed, a transaction that rolls back unless told otherwise, and
// every SQLite failure as one Error with a sentence. Connections carry SpatiaLite. One thread at a time per
// connection.
// Use: Transaction t(db, Transaction::kWrite);  Statement s(db, "INSERT INTO ...");  s.run("A1", 3.5);
//      t.commit();
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/error.hpp"

struct sqlite3;
struct sqlite3_stmt;

namespace brookmark::core {

using Bytes = std::vector<std::uint8_t>;

// A failure of SQLite, with both of its codes (https://www.sqlite.org/rescode.html).
class SqliteError : public Error {
 public:
  SqliteError(ErrorCode code, const std::string& message, const std::string& where, int sqlite_code,
              int extended)
      : Error(code, message, where), sqlite_code_(sqlite_code), extended_code_(extended) {}
  int sqlite_code() const { return sqlite_code_; }
  int extended_code() const { return extended_code_; }

 private:
  int sqlite_code_;
  int extended_code_;
};

enum class OpenMode {
  kReadOnly,
  kImmutable,  // read only, and nobody else writes either: for write-ahead files on a medium that cannot be
               // written
  kReadWrite,
  kCreate,
  kMemory,
};

class Database {
 public:
  // Foreign keys on, double-quoted strings off, SpatiaLite loaded. `name` for messages; empty: the file's.
  Database(const std::filesystem::path& path, OpenMode mode, int busy_timeout_ms,
           const std::string& name = {});
  ~Database();
  Database(Database&& other) noexcept;
  Database& operator=(Database&& other) noexcept;

  sqlite3* handle() const { return handle_; }
  const std::string& name() const { return name_; }  // for messages
  bool is_read_only() const;

  // Statements without parameters; answers are dropped.
  void execute(const std::string& sql) const;
  // First column of the first row; throws when there is no row.
  std::int64_t query_integer(std::string_view sql) const;
  std::string query_text(std::string_view sql) const;

  std::int64_t last_insert_id() const;
  std::int64_t changed_rows() const;  // by the statement run last

  // Throws the Error for what this connection met last. `where` names the row; empty: the file's name.
  [[noreturn]] void fail(int code, const std::string& where = {}) const;

 private:
  void close() noexcept;
  sqlite3* handle_ = nullptr;
  void* spatialite_ = nullptr;
  std::string name_;
};

class Statement {
 public:
  Statement(const Database& database, std::string_view sql);
  ~Statement();
  Statement(const Statement&) = delete;
  Statement& operator=(const Statement&) = delete;

  // Parameters count from 1. Text and bytes must stay alive until the statement was stepped.
  void bind(int at, std::nullptr_t);
  void bind(int at, std::int64_t value);
  void bind(int at, int value) { bind(at, static_cast<std::int64_t>(value)); }
  void bind(int at, bool value) { bind(at, static_cast<std::int64_t>(value)); }
  void bind(int at, double value);  // throws Error(kBadInput) unless finite
  void bind(int at, std::string_view value);
  void bind(int at, const std::string& value) { bind(at, std::string_view(value)); }
  void bind(int at, const char* value) { bind(at, std::string_view(value)); }
  void bind(int at, const Bytes& value);
  template <class T>
  void bind(int at, const std::optional<T>& value) {
    value ? bind(at, *value) : bind(at, nullptr);
  }
  template <class... Values>
  void bind_all(const Values&... values) {
    int at = 0;
    (bind(++at, values), ...);
  }

  // True while there is a row. `where` names the row in an Error.
  bool step(const std::string& where = {});
  void reset();
  // Binds, steps to the end and resets.
  template <class... Values>
  void run(const Values&... values) {
    bind_all(values...);
    while (step()) {
    }
    reset();
  }

  // Columns count from 0. Views hold until the next step.
  bool is_null(int column) const;
  std::int64_t integer(int column) const;
  double real(int column) const;
  std::string_view text(int column) const;
  std::span<const std::uint8_t> bytes(int column) const;
  std::optional<std::int64_t> optional_integer(int column) const;
  std::optional<double> optional_real(int column) const;

 private:
  const Database& database_;
  sqlite3_stmt* statement_ = nullptr;
};

class Transaction {
 public:
  enum Kind { kRead, kWrite };  // kWrite takes the write lock at once, so that a lock is met before any work
  Transaction(const Database& database, Kind kind);
  ~Transaction();  // rolls back what was not committed
  Transaction(const Transaction&) = delete;
  Transaction& operator=(const Transaction&) = delete;
  void commit();

 private:
  const Database& database_;
  bool open_ = true;
};

// Copies every page of `from` over `to` with SQLite's backup interface.
void copy_database(const Database& from, const Database& to);

// What a person reads when a constraint refuses a row, from SQLite's own message.
std::string constraint_sentence(std::string_view sqlite_message);

}  // namespace brookmark::core
