// Why: the survey file (.brook, SQLite with SpatiaLite) is the only truth; this is the only way in and out of
// it.
// Use: SurveyFile f = SurveyFile::open("brook.brook", Access::kRead);  Snapshot s = f.read();
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/base/uuid.hpp"
#include "core/store/edit.hpp"
#include "core/survey/snapshot.hpp"

namespace brookmark::core {

// Call first in main(), before any database is opened: turns off SQLite's memory statistics (they make
// SpatiaLite calls of two threads take turns) and starts SpatiaLite. Safe to call again.
void start_storage();
// "SQLite 3.40.1, SpatiaLite 5.0.1, PROJ 9.1.1"
std::string storage_versions();

enum class Access { kRead, kEdit };

struct StoreOptions {
  KeySource new_key;                 // default: random_uuid
  std::function<std::string()> now;  // "2024-05-03T08:30:00Z"; default: this machine's clock
  std::string device = {};           // default: a random id kept in the user's settings; may be any text
  std::int64_t max_pages = 0;        // 0 = no limit; a small limit simulates a full disk in tests
  int busy_timeout_ms = 3000;        // how long to wait for another program that is writing
};

struct EditLogEntry {
  std::int64_t number = 0;
  std::string at_utc, kind, summary, device;
  bool undone = false;
  bool undoable = true;    // false where the change was too large to keep its inverse (64 MiB)
  bool redo_next = false;  // what redo() would do again
};

struct Migration;

class SurveyFile {
 public:
  // Newest schema this program writes. A file with a higher number opens read-only.
  static int newest_schema();

  // Makes a new file. Written under a temporary name and renamed, so no half file ever stands there.
  // Throws Error: kBadUse when something is already at `path`, kReadOnly, kNoSpace, kStorage.
  static SurveyFile create(const std::filesystem::path& path, const SurveyInfo& info,
                           const StoreOptions& options = {});

  // Throws Error: kNotFound, kForeignFile (not ours, or damaged), kReadOnly (Access::kEdit on a medium that
  // cannot be written), kNewerFile (Access::kEdit on a newer file), kLocked. Older files are migrated on
  // kEdit, after a copy beside them; on kRead they are read through an in-memory migrated copy.
  static SurveyFile open(const std::filesystem::path& path, Access access, const StoreOptions& options = {});

  ~SurveyFile();
  SurveyFile(SurveyFile&&) noexcept;
  SurveyFile& operator=(SurveyFile&&) noexcept;

  const std::filesystem::path& path() const;
  // A sentence when the file could only be opened with a restriction (newer version); empty otherwise.
  const std::string& notice() const;

  // All edits in one transaction. Throws Error(kBadInput) with a sentence when a constraint refuses one;
  // nothing of the batch is then stored.
  void apply(const EditBatch& batch);
  // Takes back the newest edit that is not undone yet; gives its log entry, or nothing when there is none.
  // Throws Error(kBadUse) when it was too large to be kept, or its rows were changed by other means since.
  std::optional<EditLogEntry> undo();
  // Does again the edit that was taken back last, also one of an earlier run; gives its log entry, which then stands as
  // before it was taken back. Nothing when there is none: an edit made after a taking back ends what could be done again.
  // Throws Error(kBadUse) when its rows were changed by other means since.
  std::optional<EditLogEntry> redo();
  std::vector<EditLogEntry> log() const;  // newest last

  Snapshot read() const;
  std::string new_key() const;  // a key for a row about to be added, from the options' source

  // A whole, consistent copy under a new name (backup API, temporary name, rename).
  void copy_to(const std::filesystem::path& target) const;

 private:
  struct Impl;
  friend SurveyFile open_survey_file(const std::filesystem::path&, Access, const StoreOptions&,
                                     std::span<const Migration>);
  explicit SurveyFile(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

}  // namespace brookmark::core
