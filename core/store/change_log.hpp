// Why: every edit is kept with what it changed (a changeset of SQLite's session extension), so that it can be
// taken back, and done again after that.
// Use: ChangeRecorder changes(db);  ...edit rows...;
//      append_log_entry(db, entry, changes.changeset(most_bytes));
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/store/sqlite.hpp"
#include "core/store/survey_file.hpp"

struct sqlite3_session;

namespace brookmark::core {

// A larger changeset is not kept, and its edit cannot be taken back.
inline constexpr std::size_t kMaxChangesetBytes = 64u << 20;

// Records what changes in the tables of the survey's data (not the log, not the spatial indexes) while it
// lives.
class ChangeRecorder {
 public:
  explicit ChangeRecorder(const Database& database);
  ~ChangeRecorder();
  ChangeRecorder(const ChangeRecorder&) = delete;
  ChangeRecorder& operator=(const ChangeRecorder&) = delete;

  bool anything_changed() const;
  std::optional<Bytes> changeset(std::size_t max_bytes) const;  // nothing when larger

 private:
  const Database& database_;
  sqlite3_session* session_ = nullptr;
};

void append_log_entry(const Database& database, const EditLogEntry& entry,
                      const std::optional<Bytes>& changeset);
std::vector<EditLogEntry> read_log(const Database& database);

// In a transaction of the caller: takes the newest entry back that still stands and marks it. Nothing when
// there is none. Throws Error(kBadUse) where it was too large to be kept, or its rows were changed by other
// means since.
std::optional<EditLogEntry> undo_newest(const Database& database, const std::string& now_utc);

// In a transaction of the caller: does again what was taken back last and marks it as standing. Nothing when there is
// none, or an edit was made since. Throws Error(kBadUse) where its rows were changed by other means since.
std::optional<EditLogEntry> redo_newest(const Database& database);
// Before another edit is logged: what was taken back stays in the log, but cannot be done again from then on.
void forget_undone(const Database& database);

// Every statement of this module.
std::span<const std::string_view> change_log_statements();

}  // namespace brookmark::core
