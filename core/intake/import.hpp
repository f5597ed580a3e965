// Why: one way in for every table and layer: columns are recognised or mapped, every row is checked, and
// either all good rows become one edit or nothing does. Use: ImportReport r = plan_import(ImportKind::kSites,
// table, snapshot, options);  if (r.ok()) file.apply(r.batch);
#pragma once

#include <functional>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/issue.hpp"
#include "core/base/table.hpp"
#include "core/base/uuid.hpp"
#include "core/store/edit.hpp"
#include "core/survey/snapshot.hpp"

namespace brookmark::core {

enum class ImportKind {
  kSites,
  kSamples,
  kRecords,
  kMeasurements,
  kWatercourses,
  kOutfalls,
  kCatchments,
  kWaters
};
std::optional<ImportKind> parse_import_kind(std::string_view text);
const char* import_kind_name(ImportKind kind);

struct ImportOptions {
  std::map<std::string, std::string> columns;  // theirs -> ours (Darwin Core term), from --column
  std::map<std::string, std::string> names;    // name as written -> accepted name, decided by the surveyor
  std::string crs = "EPSG:4326";               // of x and y columns in a table without shapes
  std::string abundance_scheme;                // for letters without their scheme
  bool skip_bad = false;
  Date today;         // later dates are refused; default: the machine's date
  KeySource new_key;  // default: random_uuid
};

struct ImportReport {
  EditBatch batch;
  Issues issues;
  std::size_t rows = 0, good_rows = 0, bad_rows = 0;
  std::vector<std::pair<std::string, std::string>> columns_used;  // theirs, ours
  std::vector<std::string> columns_ignored;
  bool ok(bool skip_bad) const { return good_rows > 0 && (bad_rows == 0 || skip_bad); }
};

// Checks `table` against the survey as it stands. Writes nothing. Throws Error(kBadInput) when no import is
// possible at all (a needed column is missing); bad rows are issues.
ImportReport plan_import(ImportKind kind, const Table& table, const Snapshot& snapshot,
                         const ImportOptions& options);

}  // namespace brookmark::core
