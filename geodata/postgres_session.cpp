#include "geodata/postgres_session_internal.hpp"

#include <ogrsf_frmts.h>

#include "core/base/error.hpp"
#include "core/base/text.hpp"

namespace brookmark::geodata {

namespace {

constexpr const char* kDriver = "PostgreSQL";

bool holds(const std::string& text, const char* part) {
  return text.find(part) != std::string::npos;
}

// Doubles every `quote` and sets the text between two of them.
std::string between(const std::string& text, char quote) {
  std::string result(1, quote);
  for (const char c : text) {
    if (c == quote) result += quote;
    result += c;
  }
  return result + quote;
}

}  // namespace

std::string sql_name(const std::string& name) {
  return between(name, '"');
}

std::string sql_text(const std::string& text) {
  return between(text, '\'');
}

PostgresDriver::PostgresDriver() {
  RegisterOGRPG();
}

PostgresDriver::~PostgresDriver() {
  if (GDALDriver* driver = GetGDALDriverManager()->GetDriverByName(kDriver)) {
    GetGDALDriverManager()->DeregisterDriver(driver);
    GDALDestroyDriver(driver);
  }
}

PostgresSession::PostgresSession(const PostgresWords& words) : words_(words) {
  if (GetGDALDriverManager()->GetDriverByName(kDriver) == nullptr)
    throw Error(ErrorCode::kStorage,
                "this installation of GDAL cannot reach PostgreSQL; install its PostgreSQL driver");
  const char* const drivers[] = {kDriver, nullptr};
  // Its list of tables is not asked for: a server may hold thousands.
  const char* const options[] = {"LIST_ALL_TABLES=NO", nullptr};
  dataset_.reset(GDALDataset::Open(
      words.connection.c_str(), GDAL_OF_VECTOR | GDAL_OF_UPDATE | GDAL_OF_VERBOSE_ERROR, drivers, options));
  // A server that answers and says no was asked wrongly; one that does not answer is away.
  const auto answered = [&](const std::string& said) {
    return holds(said, "authentication failed") || holds(said, "does not exist") ||
           holds(said, "no password supplied") || holds(said, "no pg_hba.conf entry");
  };
  if (dataset_ == nullptr)
    throw Error(
        answered(messages_.text()) ? ErrorCode::kNotFound : ErrorCode::kStorage,
        "no connection to the server; check that it runs, its name and port, the name of the database, "
        "and user and password" +
            server_said(messages_.text(), words_),
        words_.shown);
  expect(dataset_->StartTransaction() == OGRERR_NONE);
  open_ = true;
}

PostgresSession::~PostgresSession() {
  if (open_) dataset_->RollbackTransaction();
}

bool PostgresSession::answers() {
  const GdalMessages quiet;
  dataset_->RollbackTransaction();
  open_ = false;
  // Not through a layer: a lost connection says so to any statement.
  CPLErrorReset();
  OGRLayer* answer = dataset_->ExecuteSQL("WITH a AS (SELECT 1) SELECT * FROM a", nullptr, nullptr);
  if (answer != nullptr) dataset_->ReleaseResultSet(answer);
  return answer != nullptr && !quiet.failed();
}

void PostgresSession::fail(const std::string& what) {
  const std::string said = messages_.text();
  if (!answers())
    throw Error(ErrorCode::kStorage,
                "the server went away; what was published before is there unchanged, and nothing of this was "
                "stored: publish again when it is back" +
                    server_said(said, words_),
                words_.shown);
  if (holds(said, "permission denied") || holds(said, "must be owner") ||
      holds(said, "read-only transaction"))
    throw Error(ErrorCode::kReadOnly,
                "this user may not write there; ask whoever runs the database for the right, or name another "
                "schema; nothing was stored" +
                    server_said(said, words_),
                words_.shown);
  throw Error(ErrorCode::kStorage, what + "; nothing was stored" + server_said(said, words_), words_.shown);
}

void PostgresSession::expect(bool succeeded, const char* what) {
  if (!succeeded || messages_.failed()) fail(what);
}

void PostgresSession::run(const std::string& sql) {
  if (OGRLayer* answer = dataset_->ExecuteSQL(sql.c_str(), nullptr, nullptr))
    dataset_->ReleaseResultSet(answer);
  expect(true);
}

std::vector<std::vector<std::string>> PostgresSession::rows(const std::string& with) {
  OGRLayer* answer = dataset_->ExecuteSQL(with.c_str(), nullptr, nullptr);
  std::vector<std::vector<std::string>> rows;
  if (answer != nullptr) {
    while (const std::unique_ptr<OGRFeature> feature{answer->GetNextFeature()}) {
      std::vector<std::string>& row = rows.emplace_back();
      for (int i = 0; i < feature->GetFieldCount(); ++i) row.emplace_back(feature->GetFieldAsString(i));
    }
    dataset_->ReleaseResultSet(answer);
  }
  expect(answer != nullptr);
  return rows;
}

std::int64_t PostgresSession::number(const std::string& with) {
  const auto answer = rows(with);
  const auto value =
      answer.size() == 1 && answer[0].size() == 1 ? core::parse_integer(answer[0][0]) : std::nullopt;
  if (!value) fail("the server gave no number where one was asked for");
  return *value;
}

void PostgresSession::commit() {
  expect(true);
  open_ = false;
  if (dataset_->CommitTransaction() == OGRERR_NONE && !messages_.failed()) return;
  const std::string said = messages_.text();
  if (answers())
    throw Error(ErrorCode::kStorage,
                "the server did not keep it; nothing was stored" + server_said(said, words_), words_.shown);
  throw Error(
      ErrorCode::kStorage,
      "the server went away while it was asked to keep all of it: either all of this is there or nothing; "
      "publish again when it is back" +
          server_said(said, words_),
      words_.shown);
}

}  // namespace brookmark::geodata
