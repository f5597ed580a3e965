#include "core/store/survey_file.hpp"

#include <system_error>
#include <utility>

#include "core/base/date.hpp"
#include "core/store/change_log.hpp"
#include "core/store/device_id.hpp"
#include "core/store/file_header.hpp"
#include "core/store/migrations.hpp"
#include "core/store/new_file.hpp"
#include "core/store/reader.hpp"
#include "core/store/schema_guard.hpp"
#include "core/store/survey_file_internal.hpp"
#include "core/store/writer.hpp"

namespace brookmark::core {
namespace {

constexpr int kSqliteError = 1;  // SQLITE_ERROR
constexpr int kReadOnlyRollback =
    776;  // SQLITE_READONLY_ROLLBACK: a change was cut off and must first be taken back

std::string now_of(const StoreOptions& options) {
  return options.now ? options.now() : now_utc();
}

std::string key_of(const StoreOptions& options) {
  return options.new_key ? options.new_key() : random_uuid();
}

EditStamp stamp_of(const StoreOptions& options) {
  return {now_of(options), options.device.empty() ? device_id() : options.device,
          [&options] { return key_of(options); }};
}

void limit_pages(const Database& database, const StoreOptions& options) {
  if (options.max_pages > 0) database.execute("PRAGMA max_page_count = " + std::to_string(options.max_pages));
}

// A file under a temporary name is worth nothing until it is published, which puts it onto the disk as a
// whole.
void prepare_temporary(const Database& database) {
  database.query_text("PRAGMA journal_mode = MEMORY");
  database.execute("PRAGMA synchronous = OFF");
}

// What DELETE journal and full synchronisation promise: a change is either on the disk or it never was.
void prepare_for_edits(const Database& database, const StoreOptions& options) {
  if (database.query_text("PRAGMA journal_mode = DELETE") != "delete") {
    throw Error(ErrorCode::kLocked, "another program is using the file; close it there and do this again",
                database.name());
  }
  database.execute("PRAGMA synchronous = FULL");
  limit_pages(database, options);
}

void copy_to_new_file(const Database& from, const std::filesystem::path& target, int busy_timeout_ms) {
  NewFile file(target);
  {
    const Database copy(file.temporary(), OpenMode::kCreate, busy_timeout_ms, target.filename().string());
    prepare_temporary(copy);
    copy_database(from, copy);
    copy.query_text("PRAGMA journal_mode = DELETE");  // a file in write-ahead mode is never handed out
  }
  file.publish();
}

// survey.brook -> survey.schema-1.brook, survey.schema-1-2.brook ...
std::filesystem::path name_for_old_copy(const std::filesystem::path& path, std::int64_t schema) {
  const std::string stem = path.stem().string() + ".schema-" + std::to_string(schema);
  std::filesystem::path candidate = path.parent_path() / (stem + path.extension().string());
  std::error_code ignored;
  for (int number = 2; std::filesystem::exists(candidate, ignored); ++number) {
    candidate = path.parent_path() / (stem + "-" + std::to_string(number) + path.extension().string());
  }
  return candidate;
}

Database open_for_edit(const std::filesystem::path& path, const StoreOptions& options) {
  const auto refuse = [&](const char* what) {
    throw Error(ErrorCode::kReadOnly,
                std::string(what) + "; open it for reading, or copy it to a folder that can be written",
                path.string());
  };
  if (!folder_is_writable(path)) refuse("the folder of the survey cannot be written");
  if (!file_is_writable(path)) refuse("the survey file cannot be written");
  Database database(path, OpenMode::kReadWrite, options.busy_timeout_ms);
  if (database.is_read_only()) refuse("the survey file cannot be written");
  return database;
}

Database open_for_reading(const std::filesystem::path& path, const FileHeader& header,
                          const StoreOptions& options) {
  const bool writable_folder = folder_is_writable(path);
  OpenMode mode = OpenMode::kReadOnly;
  if (header.write_ahead && !writable_folder) {
    std::error_code missing;
    const auto log_size = std::filesystem::file_size(path.string() + "-wal", missing);
    if (!missing && log_size > 0) {
      throw Error(ErrorCode::kReadOnly,
                  "the newest changes lie in a second file beside it (-wal), and this folder cannot be "
                  "written; copy both "
                  "files together to a folder that can",
                  path.string());
    }
    mode = OpenMode::kImmutable;
  }
  try {
    Database database(path, mode, options.busy_timeout_ms);
    database.query_integer("SELECT count(*) FROM sqlite_schema");
    return database;
  } catch (const SqliteError& error) {
    if (error.extended_code() != kReadOnlyRollback) throw;
  }
  // A program died in the middle of a change; its journal lies beside the file and the old state must come
  // back first.
  if (!writable_folder || !file_is_writable(path)) {
    throw Error(ErrorCode::kReadOnly,
                "a change to the survey was cut off, and taking it back needs a folder that can be written; "
                "copy the file "
                "together with the one ending in -journal to such a folder",
                path.string());
  }
  Database(path, OpenMode::kReadWrite, options.busy_timeout_ms)
      .query_integer("SELECT count(*) FROM sqlite_schema");
  Database database(path, OpenMode::kReadOnly, options.busy_timeout_ms);
  database.query_integer("SELECT count(*) FROM sqlite_schema");
  return database;
}

// SQLite fills a last page that is cut short with zeros and says nothing.
void check_length(const Database& database, const std::filesystem::path& path) {
  if (database.query_text("PRAGMA journal_mode") == "wal") return;  // pages may lie in the log
  const Transaction steady(database, Transaction::kRead);
  const std::int64_t pages = database.query_integer("PRAGMA page_count");
  const std::int64_t bytes = pages * database.query_integer("PRAGMA page_size");
  std::error_code error;
  const std::uintmax_t size = std::filesystem::file_size(path, error);
  if (error)
    throw Error(ErrorCode::kStorage, "the file cannot be looked at: " + error.message(), path.string());
  if (static_cast<std::uintmax_t>(bytes) > size) {
    throw Error(ErrorCode::kForeignFile, "the file is cut short; open a copy made earlier", path.string());
  }
}

// Whether every table and column that this version reads is there.
bool is_readable(const Database& database) {
  try {
    for (const std::string_view sql : reader_statements()) Statement(database, sql);
    return true;
  } catch (const SqliteError& error) {
    if (error.sqlite_code() == kSqliteError) return false;  // no such table, no such column
    throw;
  }
}

// The same survey in the newest schema, in memory: what an older file holds for those who only read, and the proof
// that the file itself can be brought forward.
Database brought_forward(const Database& older, std::span<const Migration> migrations,
                         const StoreOptions& options) {
  Database in_memory({}, OpenMode::kMemory, options.busy_timeout_ms);
  copy_database(older, in_memory);
  try {
    migrate(in_memory, migrations);
  } catch (const SqliteError& error) {
    if (error.sqlite_code() != kSqliteError) throw;
    throw Error(ErrorCode::kForeignFile,
                "the file is damaged: a table or column is missing; open a copy made earlier", older.name());
  }
  return in_memory;
}

}  // namespace

struct SurveyFile::Impl {
  std::filesystem::path path;
  Access access;
  StoreOptions options;
  Database database;
  std::string notice;

  void need_edit() const {
    if (access == Access::kEdit) return;
    throw Error(ErrorCode::kReadOnly, "the survey was opened for reading only; open it for editing",
                path.string());
  }
};

SurveyFile::SurveyFile(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
SurveyFile::~SurveyFile() = default;
SurveyFile::SurveyFile(SurveyFile&&) noexcept = default;
SurveyFile& SurveyFile::operator=(SurveyFile&&) noexcept = default;

int SurveyFile::newest_schema() {
  return built_in_migrations().back().number;
}

SurveyFile SurveyFile::create(const std::filesystem::path& path, const SurveyInfo& info,
                              const StoreOptions& options) {
  NewFile file(path);
  {
    const Database database(file.temporary(), OpenMode::kCreate, options.busy_timeout_ms,
                            path.filename().string());
    prepare_temporary(database);
    limit_pages(database, options);
    migrate(database, built_in_migrations());
    Transaction transaction(database, Transaction::kWrite);
    write_survey_info(database, info, stamp_of(options));
    transaction.commit();
  }
  file.publish();
  return open(path, Access::kEdit, options);
}

SurveyFile SurveyFile::open(const std::filesystem::path& path, Access access, const StoreOptions& options) {
  return open_survey_file(path, access, options, built_in_migrations());
}

SurveyFile open_survey_file(const std::filesystem::path& path, Access access, const StoreOptions& options,
                            std::span<const Migration> migrations) {
  const FileHeader header = read_file_header(path);
  Database database =
      access == Access::kEdit ? open_for_edit(path, options) : open_for_reading(path, header, options);
  check_length(database, path);
  refuse_what_runs_in(database, migrations);
  const std::int64_t schema = database.query_integer("PRAGMA user_version");
  const std::int64_t newest = migrations.back().number;
  std::string notice;
  if (schema < 1) {
    throw Error(ErrorCode::kForeignFile,
                "the file is damaged: it does not say its version; open a copy made earlier", path.string());
  }
  if (schema > newest) {
    const std::string what = "this survey was written by a newer version of the program (file version " +
                             std::to_string(schema) + ", this program knows " + std::to_string(newest) + ")";
    if (access == Access::kEdit) {
      throw Error(ErrorCode::kNewerFile, what + "; open it for reading, or install the newer version",
                  path.string());
    }
    if (!is_readable(database)) {
      throw Error(ErrorCode::kNewerFile, what + " and cannot be read by this one; install the newer version",
                  path.string());
    }
    notice = what + "; it was opened for reading only, and what the newer version added is not shown";
  } else if (access == Access::kEdit) {
    prepare_for_edits(database, options);
    if (schema < newest) {
      brought_forward(database, migrations, options);
      const std::filesystem::path copy = name_for_old_copy(path, schema);
      copy_to_new_file(database, copy, options.busy_timeout_ms);
      migrate(database, migrations);
      notice = "this survey was brought to the newest file version; the file as it was is kept as " +
               copy.filename().string();
    }
    const Transaction probe(database,
                            Transaction::kWrite);  // another program that is writing is met here, not later
  } else if (schema < newest) {
    database = brought_forward(database, migrations, options);
  }
  hold_triggers(database);
  if (schema <= newest && !is_readable(database)) {
    throw Error(ErrorCode::kForeignFile,
                "the file is damaged: a table or column is missing; open a copy made earlier", path.string());
  }
  return SurveyFile(std::make_unique<SurveyFile::Impl>(
      SurveyFile::Impl{path, access, options, std::move(database), std::move(notice)}));
}

const std::filesystem::path& SurveyFile::path() const {
  return impl_->path;
}

const std::string& SurveyFile::notice() const {
  return impl_->notice;
}

void SurveyFile::apply(const EditBatch& batch) {
  impl_->need_edit();
  const Database& database = impl_->database;
  const EditStamp stamp = stamp_of(impl_->options);
  Transaction transaction(database, Transaction::kWrite);
  const ChangeRecorder changes(database);
  BatchWriter(database, stamp).write(batch.edits);
  if (!changes.anything_changed()) return;  // every taxon was known: nothing to log, nothing to take back
  EditLogEntry entry;
  entry.at_utc = stamp.now_utc;
  entry.kind = batch.kind;
  entry.summary = batch.summary;
  entry.device = stamp.device;
  forget_undone(database);
  append_log_entry(database, entry, changes.changeset(kMaxChangesetBytes));
  transaction.commit();
}

std::optional<EditLogEntry> SurveyFile::undo() {
  impl_->need_edit();
  Transaction transaction(impl_->database, Transaction::kWrite);
  auto entry = undo_newest(impl_->database, now_of(impl_->options));
  transaction.commit();
  return entry;
}

std::optional<EditLogEntry> SurveyFile::redo() {
  impl_->need_edit();
  Transaction transaction(impl_->database, Transaction::kWrite);
  auto entry = redo_newest(impl_->database);
  transaction.commit();
  return entry;
}

std::vector<EditLogEntry> SurveyFile::log() const {
  return read_log(impl_->database);
}

Snapshot SurveyFile::read() const {
  const Transaction transaction(impl_->database, Transaction::kRead);
  return read_snapshot(impl_->database);
}

std::string SurveyFile::new_key() const {
  return key_of(impl_->options);
}

void SurveyFile::copy_to(const std::filesystem::path& target) const {
  copy_to_new_file(impl_->database, target, impl_->options.busy_timeout_ms);
}

}  // namespace brookmark::core
