#include "core/store/change_log.hpp"

// The session functions are declared only with these two.
#define SQLITE_ENABLE_SESSION 1
#define SQLITE_ENABLE_PREUPDATE_HOOK 1
#include <sqlite3.h>

#include <algorithm>
#include <array>
#include <memory>

namespace brookmark::core {
namespace {

constexpr std::string_view kInsertEntry =
    "INSERT INTO edit_log (at_utc, kind, summary, device, changeset) VALUES (?1, ?2, ?3, ?4, ?5)";
constexpr std::string_view kEntries = R"(
  SELECT id, at_utc, kind, summary, device, undone_utc IS NOT NULL, changeset IS NOT NULL FROM edit_log ORDER BY id)";
// Edits are taken back from the newest on, so what can be done again lies above all that stand, and the oldest of it was
// taken back last. What another edit was made after is no longer that: its changeset is empty.
constexpr std::string_view kNextRedo = R"(
  SELECT id, at_utc, kind, summary, device, 0, 1, changeset FROM edit_log
  WHERE undone_utc IS NOT NULL AND length(changeset) > 0
    AND id > (SELECT coalesce(max(id), 0) FROM edit_log WHERE undone_utc IS NULL)
  ORDER BY id LIMIT 1)";
constexpr std::string_view kNewestEntry = R"(
  SELECT id, at_utc, kind, summary, device, undone_utc IS NOT NULL, changeset IS NOT NULL, changeset
  FROM edit_log WHERE undone_utc IS NULL ORDER BY id DESC LIMIT 1)";
constexpr std::string_view kMarkUndone = "UPDATE edit_log SET undone_utc = ?2 WHERE id = ?1";

constexpr std::string_view kMarkStanding = "UPDATE edit_log SET undone_utc = NULL WHERE id = ?1";
// Above all that stand; a long log is not walked through at each edit.
constexpr std::string_view kForgetAbove = R"(
  UPDATE edit_log SET changeset = x'' WHERE undone_utc IS NOT NULL AND length(changeset) > 0
    AND id > (SELECT coalesce(max(id), 0) FROM edit_log WHERE undone_utc IS NULL))";
constexpr std::string_view kForgetBelow =
    "UPDATE edit_log SET changeset = x'' WHERE undone_utc IS NOT NULL AND length(changeset) > 0 AND id < ?1";

constexpr std::string_view kStatements[] = {kInsertEntry, kEntries,      kNextRedo,    kNewestEntry,
                                            kMarkUndone,  kMarkStanding, kForgetAbove, kForgetBelow};

constexpr std::array<std::string_view, 21> kDataTables = {
    "survey",          "taxon",   "water",   "site",      "visit",   "sample",     "record",
    "measurement",     "outfall", "reach",   "catchment", "photo",   "layer",      "person",
    "sensitive_taxon", "kit",     "kit_use", "cleaning",  "holding", "water_risk", "ground"};

int is_data_table(void*, const char* table) {
  return std::find(kDataTables.begin(), kDataTables.end(), table) != kDataTables.end() ? 1 : 0;
}

struct LimitedBytes {
  Bytes bytes;
  std::size_t limit;
  bool too_large = false;
};

// Called by SQLite with the next piece. No exception may cross it.
int append_piece(void* out, const void* piece, int size) {
  auto& target = *static_cast<LimitedBytes*>(out);
  const auto* begin = static_cast<const std::uint8_t*>(piece);
  if (target.bytes.size() + static_cast<std::size_t>(size) > target.limit) {
    target.too_large = true;
    return SQLITE_ABORT;
  }
  try {
    target.bytes.insert(target.bytes.end(), begin, begin + size);
  } catch (...) {
    return SQLITE_NOMEM;
  }
  return SQLITE_OK;
}

int refuse_conflict(void* met, int, sqlite3_changeset_iter*) {
  *static_cast<bool*>(met) = true;
  return SQLITE_CHANGESET_ABORT;
}

struct FreeSqlite {
  void operator()(void* memory) const { sqlite3_free(memory); }
};

EditLogEntry entry_of(const Statement& row) {
  return {row.integer(0),           std::string(row.text(1)), std::string(row.text(2)),
          std::string(row.text(3)), std::string(row.text(4)), row.integer(5) != 0,
          row.integer(6) != 0};
}

// False, and nothing changed, where a row is not as the changeset knows it or others depend on it.
bool apply_changeset(const Database& database, int size, void* changeset) {
  bool conflict = false;
  const int code =
      sqlite3changeset_apply(database.handle(), size, changeset, is_data_table, refuse_conflict, &conflict);
  if (conflict) return false;
  if (code != SQLITE_OK) database.fail(code);
  return true;
}

}  // namespace

ChangeRecorder::ChangeRecorder(const Database& database) : database_(database) {
  if (const int code = sqlite3session_create(database.handle(), "main", &session_); code != SQLITE_OK)
    database.fail(code);
  sqlite3session_table_filter(session_, is_data_table, nullptr);
  if (const int code = sqlite3session_attach(session_, nullptr); code != SQLITE_OK) {
    sqlite3session_delete(session_);
    database.fail(code);
  }
}

ChangeRecorder::~ChangeRecorder() {
  sqlite3session_delete(session_);
}

bool ChangeRecorder::anything_changed() const {
  return sqlite3session_isempty(session_) == 0;
}

std::optional<Bytes> ChangeRecorder::changeset(std::size_t max_bytes) const {
  LimitedBytes target{{}, max_bytes};
  const int code = sqlite3session_changeset_strm(session_, append_piece, &target);
  if (target.too_large) return std::nullopt;
  if (code != SQLITE_OK) database_.fail(code);
  return std::move(target.bytes);
}

void append_log_entry(const Database& database, const EditLogEntry& entry,
                      const std::optional<Bytes>& changeset) {
  Statement(database, kInsertEntry).run(entry.at_utc, entry.kind, entry.summary, entry.device, changeset);
}

std::vector<EditLogEntry> read_log(const Database& database) {
  std::vector<EditLogEntry> entries;
  std::int64_t next_redo = 0;
  if (Statement row(database, kNextRedo); row.step()) next_redo = row.integer(0);
  for (Statement row(database, kEntries); row.step();) {
    entries.push_back(entry_of(row));
    entries.back().redo_next = entries.back().number == next_redo;
  }
  return entries;
}

std::optional<EditLogEntry> undo_newest(const Database& database, const std::string& now_utc) {
  EditLogEntry entry;
  std::unique_ptr<void, FreeSqlite> inverse;
  int inverse_size = 0;
  {
    Statement row(database, kNewestEntry);
    if (!row.step()) return std::nullopt;
    entry = entry_of(row);
    if (!entry.undoable) {
      throw Error(
          ErrorCode::kBadUse,
          "the newest change (" + entry.kind + ") was too large to be taken back; open a copy made before it",
          database.name());
    }
    const auto changeset = row.bytes(7);
    void* memory = nullptr;
    const int code =
        sqlite3changeset_invert(static_cast<int>(changeset.size()), changeset.data(), &inverse_size, &memory);
    inverse.reset(memory);
    if (code != SQLITE_OK) database.fail(code);
  }
  if (!apply_changeset(database, inverse_size, inverse.get()))
    throw Error(ErrorCode::kBadUse,
                "the newest change (" + entry.kind +
                    ") cannot be taken back, because rows of it were changed by other means or others depend "
                    "on them; "
                    "nothing was changed",
                database.name());
  Statement(database, kForgetBelow).run(entry.number);  // files of before kept these
  Statement(database, kMarkUndone).run(entry.number, now_utc);
  entry.undone = true;
  return entry;
}

std::optional<EditLogEntry> redo_newest(const Database& database) {
  EditLogEntry entry;
  Bytes changeset;
  {
    Statement row(database, kNextRedo);
    if (!row.step()) return std::nullopt;
    entry = entry_of(row);
    const auto kept = row.bytes(7);
    changeset.assign(kept.begin(), kept.end());
  }
  if (!apply_changeset(database, static_cast<int>(changeset.size()), changeset.data()))
    throw Error(ErrorCode::kBadUse,
                "the change taken back last (" + entry.kind +
                    ") cannot be done again, because rows of it were changed by other means since; nothing "
                    "was changed",
                database.name());
  Statement(database, kMarkStanding).run(entry.number);
  return entry;
}

void forget_undone(const Database& database) {
  Statement(database, kForgetAbove).run();
}

std::span<const std::string_view> change_log_statements() {
  return kStatements;
}

}  // namespace brookmark::core
