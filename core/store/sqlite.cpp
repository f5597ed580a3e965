#include "core/store/sqlite.hpp"

// sqlite3.h must stand before spatialite.h.
#include <sqlite3.h>
// (kept apart so that no formatter sorts them)
#include <spatialite.h>

#include <cmath>
#include <mutex>
#include <utility>

#include "core/store/storage_start.hpp"
#include "core/store/survey_file.hpp"

namespace brookmark::core {
namespace {

ErrorCode error_code_of(int code) {
  switch (code & 0xff) {
    case SQLITE_FULL:
      return ErrorCode::kNoSpace;
    case SQLITE_READONLY:
    case SQLITE_CANTOPEN:
    case SQLITE_PERM:
      return ErrorCode::kReadOnly;
    case SQLITE_NOTADB:
    case SQLITE_CORRUPT:
    case SQLITE_AUTH:
      return ErrorCode::kForeignFile;
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      return ErrorCode::kLocked;
    case SQLITE_CONSTRAINT:
    case SQLITE_TOOBIG:
      return ErrorCode::kBadInput;
    default:
      return ErrorCode::kStorage;
  }
}

std::string sentence_of(int code, const std::string& sqlite_message) {
  switch (error_code_of(code)) {
    case ErrorCode::kNoSpace:
      return "there is no space left to write; nothing of this change was stored, so free some space and do "
             "it again";
    case ErrorCode::kReadOnly:
      return "the file or its folder cannot be written; look at their permissions, or work on a copy in "
             "another folder";
    case ErrorCode::kForeignFile:
      if ((code & 0xff) == SQLITE_AUTH)
        return "a view or trigger of the file would do more than keep its indexes of shapes; nothing of this "
               "was done. Ask "
               "whoever sent the file for one that nobody changed by other tools";
      return "the file is damaged or is no survey file; open a copy made earlier";
    case ErrorCode::kLocked:
      return "another program is using the file; close it there, or wait a moment and do it again";
    case ErrorCode::kBadInput:
      if ((code & 0xff) == SQLITE_TOOBIG) return "a text or shape is too large to be stored";
      return constraint_sentence(sqlite_message);
    default:
      return "the database or the disk failed (" + sqlite_message + "); nothing of this change was stored";
  }
}

bool starts_with(std::string_view text, std::string_view start) {
  return text.substr(0, start.size()) == start;
}

// A path as a file: URI, every byte that means something in a URI escaped.
std::string uri_of(const std::filesystem::path& path) {
  static constexpr char kHex[] = "0123456789ABCDEF";
  std::string uri = "file:";
  for (const char c : std::filesystem::absolute(path).string()) {
    const auto byte = static_cast<unsigned char>(c);
    const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
                       c == '/' || c == '.' || c == '-' || c == '_';
    if (plain) {
      uri += c;
    } else {
      uri += {'%', kHex[byte >> 4], kHex[byte & 15]};
    }
  }
  return uri + "?immutable=1";
}

}  // namespace

std::string constraint_sentence(std::string_view message) {
  const auto after = [&](std::string_view start) { return message.substr(start.size()); };
  if (constexpr std::string_view start = "CHECK constraint failed: "; starts_with(message, start)) {
    return std::string(after(start));
  }
  for (const std::string_view start : {"UNIQUE constraint failed: ", "NOT NULL constraint failed: "}) {
    if (!starts_with(message, start)) continue;
    const std::string_view column = after(start);
    const std::size_t point = column.find('.');
    const std::string table(column.substr(0, point));
    std::string field(point == std::string_view::npos ? "" : column.substr(point + 1));
    const std::string article = table == "outfall" ? "an " : "a ";
    if (start.front() == 'U') {
      return "another " + table + " already has this " + field + "; each " + table + " needs a " + field +
             " of its own";
    }
    if (field == "geom") field = table == "site" || table == "outfall" ? "position" : "shape";
    if (field.ends_with("_id")) field.resize(field.size() - 3);
    return article + table + " needs a " + field;
  }
  if (starts_with(message, "FOREIGN KEY constraint failed")) {
    return "a row belongs to another one that is not in this survey; add that one first";
  }
  if (message.find("violates Geometry constraint") != std::string_view::npos) {
    return "the shape is not of the kind that belongs there (point, line or polygon in EPSG:4326)";
  }
  return "the survey file refused a value (" + std::string(message) + ")";
}

Database::Database(const std::filesystem::path& path, OpenMode mode, int busy_timeout_ms,
                   const std::string& name)
    : name_(name.empty() ? path.filename().string() : name) {
  start_storage();
  int flags = SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE;
  std::string file = mode == OpenMode::kMemory ? ":memory:" : std::filesystem::absolute(path).string();
  switch (mode) {
    case OpenMode::kReadOnly:
      flags |= SQLITE_OPEN_READONLY;
      break;
    case OpenMode::kImmutable:
      flags |= SQLITE_OPEN_READONLY | SQLITE_OPEN_URI;
      file = uri_of(path);
      break;
    case OpenMode::kReadWrite:
      flags |= SQLITE_OPEN_READWRITE;
      break;
    case OpenMode::kCreate:
    case OpenMode::kMemory:
      flags |= SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE;
      break;
  }
  try {
    if (const int code = sqlite3_open_v2(file.c_str(), &handle_, flags, nullptr); code != SQLITE_OK)
      fail(code);
    sqlite3_db_config(handle_, SQLITE_DBCONFIG_DQS_DML, 0, nullptr);
    sqlite3_db_config(handle_, SQLITE_DBCONFIG_DQS_DDL, 0, nullptr);
    {
      const std::lock_guard lock(spatialite_lock());
      spatialite_ = spatialite_alloc_connection();
      spatialite_init_ex(handle_, spatialite_, 0);
    }
    sqlite3_busy_timeout(handle_, busy_timeout_ms);  // after SpatiaLite, which sets one of its own
    execute("PRAGMA foreign_keys = ON");
    execute("PRAGMA cache_size = -65536");  // 64 MiB
  } catch (...) {
    close();
    throw;
  }
}

Database::~Database() {
  close();
}

Database::Database(Database&& other) noexcept
    : handle_(std::exchange(other.handle_, nullptr)),
      spatialite_(std::exchange(other.spatialite_, nullptr)),
      name_(std::move(other.name_)) {}

Database& Database::operator=(Database&& other) noexcept {
  if (this != &other) {
    close();
    handle_ = std::exchange(other.handle_, nullptr);
    spatialite_ = std::exchange(other.spatialite_, nullptr);
    name_ = std::move(other.name_);
  }
  return *this;
}

void Database::close() noexcept {
  if (handle_ != nullptr) sqlite3_close_v2(std::exchange(handle_, nullptr));
  if (spatialite_ != nullptr) {
    const std::lock_guard lock(spatialite_lock());
    spatialite_cleanup_ex(std::exchange(spatialite_, nullptr));
  }
}

bool Database::is_read_only() const {
  return sqlite3_db_readonly(handle_, "main") != 0;
}

void Database::execute(const std::string& sql) const {
  if (const int code = sqlite3_exec(handle_, sql.c_str(), nullptr, nullptr, nullptr); code != SQLITE_OK)
    fail(code);
}

std::int64_t Database::query_integer(std::string_view sql) const {
  Statement statement(*this, sql);
  if (!statement.step()) fail(SQLITE_ERROR);
  return statement.integer(0);
}

std::string Database::query_text(std::string_view sql) const {
  Statement statement(*this, sql);
  if (!statement.step()) fail(SQLITE_ERROR);
  return std::string(statement.text(0));
}

std::int64_t Database::last_insert_id() const {
  return sqlite3_last_insert_rowid(handle_);
}

std::int64_t Database::changed_rows() const {
  return sqlite3_changes64(handle_);
}

void Database::fail(int code, const std::string& where) const {
  const std::string message = handle_ == nullptr ? sqlite3_errstr(code) : sqlite3_errmsg(handle_);
  // A function that is held back is reported as a plain error (sqlite3_set_authorizer).
  if (code == SQLITE_ERROR && starts_with(message, "not authorized")) fail(SQLITE_AUTH, where);
  const ErrorCode kind = error_code_of(code);
  const bool the_row =
      kind == ErrorCode::kBadInput && !where.empty();  // any other failure is of the whole file
  throw SqliteError(kind, sentence_of(code, message), the_row ? where : name_, code & 0xff, code);
}

Statement::Statement(const Database& database, std::string_view sql) : database_(database) {
  const int code = sqlite3_prepare_v3(database.handle(), sql.data(), static_cast<int>(sql.size()), 0,
                                      &statement_, nullptr);
  if (code != SQLITE_OK) database.fail(code);
}

Statement::~Statement() {
  sqlite3_finalize(statement_);
}

void Statement::bind(int at, std::nullptr_t) {
  if (const int code = sqlite3_bind_null(statement_, at); code != SQLITE_OK) database_.fail(code);
}

void Statement::bind(int at, std::int64_t value) {
  if (const int code = sqlite3_bind_int64(statement_, at, value); code != SQLITE_OK) database_.fail(code);
}

void Statement::bind(int at, double value) {
  if (!std::isfinite(value)) throw Error(ErrorCode::kBadInput, "a number is not finite and cannot be stored");
  if (const int code = sqlite3_bind_double(statement_, at, value); code != SQLITE_OK) database_.fail(code);
}

void Statement::bind(int at, std::string_view value) {
  // A null pointer would be stored as NULL, and an empty text is not a missing one.
  const char* data = value.data() == nullptr ? "" : value.data();
  const int code = sqlite3_bind_text64(statement_, at, data, value.size(), SQLITE_STATIC, SQLITE_UTF8);
  if (code != SQLITE_OK) database_.fail(code);
}

void Statement::bind(int at, const Bytes& value) {
  const int code = sqlite3_bind_blob64(statement_, at, value.data(), value.size(), SQLITE_STATIC);
  if (code != SQLITE_OK) database_.fail(code);
}

bool Statement::step(const std::string& where) {
  const int code = sqlite3_step(statement_);
  if (code == SQLITE_ROW) return true;
  if (code == SQLITE_DONE) return false;
  // The message must be read before the reset clears it.
  try {
    database_.fail(code, where);
  } catch (...) {
    sqlite3_reset(statement_);
    throw;
  }
}

void Statement::reset() {
  sqlite3_reset(statement_);
}

bool Statement::is_null(int column) const {
  return sqlite3_column_type(statement_, column) == SQLITE_NULL;
}

std::int64_t Statement::integer(int column) const {
  return sqlite3_column_int64(statement_, column);
}

double Statement::real(int column) const {
  return sqlite3_column_double(statement_, column);
}

std::string_view Statement::text(int column) const {
  const auto* data = reinterpret_cast<const char*>(sqlite3_column_text(statement_, column));
  if (data == nullptr) return {};
  return {data, static_cast<std::size_t>(sqlite3_column_bytes(statement_, column))};
}

std::span<const std::uint8_t> Statement::bytes(int column) const {
  const auto* data = static_cast<const std::uint8_t*>(sqlite3_column_blob(statement_, column));
  if (data == nullptr) return {};
  return {data, static_cast<std::size_t>(sqlite3_column_bytes(statement_, column))};
}

std::optional<std::int64_t> Statement::optional_integer(int column) const {
  if (is_null(column)) return std::nullopt;
  return integer(column);
}

std::optional<double> Statement::optional_real(int column) const {
  if (is_null(column)) return std::nullopt;
  return real(column);
}

Transaction::Transaction(const Database& database, Kind kind) : database_(database) {
  database_.execute(kind == kWrite ? "BEGIN IMMEDIATE" : "BEGIN");
}

Transaction::~Transaction() {
  // SQLite may have rolled back by itself (disk full): then there is nothing left to do.
  if (open_ && sqlite3_get_autocommit(database_.handle()) == 0) {
    sqlite3_exec(database_.handle(), "ROLLBACK", nullptr, nullptr, nullptr);
  }
}

void Transaction::commit() {
  database_.execute("COMMIT");
  open_ = false;
}

void copy_database(const Database& from, const Database& to) {
  sqlite3_backup* backup = sqlite3_backup_init(to.handle(), "main", from.handle(), "main");
  if (backup == nullptr) to.fail(sqlite3_extended_errcode(to.handle()));
  const int stepped = sqlite3_backup_step(backup, -1);
  const int finished = sqlite3_backup_finish(backup);
  if (stepped == SQLITE_DONE && finished == SQLITE_OK) return;
  to.fail(stepped == SQLITE_DONE ? finished : stepped);
}

}  // namespace brookmark::core
