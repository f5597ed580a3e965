#include "core/store/storage_start.hpp"

// sqlite3.h must stand before spatialite.h.
#include <sqlite3.h>
// (kept apart so that no formatter sorts them)
#include <proj.h>
#include <spatialite.h>

#include "core/store/survey_file.hpp"

namespace brookmark::core {

std::mutex& spatialite_lock() {
  static std::mutex lock;
  return lock;
}

void start_storage() {
  static std::once_flag started;
  std::call_once(started, [] {
    // Answers "misuse" when somebody opened a database before: slower then, but not wrong.
    sqlite3_config(SQLITE_CONFIG_MEMSTATUS, 0);
    sqlite3_initialize();
    const std::lock_guard lock(spatialite_lock());
    spatialite_initialize();
  });
}

std::string storage_versions() {
  return std::string("SQLite ") + sqlite3_libversion() + ", SpatiaLite " + spatialite_version() + ", PROJ " +
         proj_info().version;
}

}  // namespace brookmark::core
