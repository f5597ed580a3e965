// Why: one way in for every table and layer: columns are recognised or mapped, every row is checked, and
// either all good rows become one edit or nothing does.
// Use: ImportReport r = plan_import(ImportKind::kSites, table, snapshot, options);
//      if (r.ok(false)) file.apply(r.batch);
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
#include "core/network/mend.hpp"
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
  kWaters,
  kGround,
  kKit,  // a log: what was used where, and how it was cleaned
};
std::optional<ImportKind> parse_import_kind(std::string_view text);
const char* import_kind_name(ImportKind kind);

struct ImportOptions {
  // From --column: theirs -> ours (Darwin Core term, or any header known here); ours empty: leave it out. For an import of
  // measurements also theirs -> "measurement:quantity[:unit]": a column that holds the values of one quantity.
  std::map<std::string, std::string> columns;
  std::map<std::string, std::string> names;  // name as written -> accepted name, decided by the surveyor
  std::string crs = "EPSG:4326";             // of x and y columns in a table without shapes
  std::string abundance_scheme;              // for letters without their scheme
  std::optional<GroundKind> ground_kind;     // of all features of a layer of ground; else a column says it
  std::optional<Date> latest_day;            // later dates are refused; default: latest_day_anywhere()
  KeySource new_key;                         // default: random_uuid
  // Of watercourses: whether lines are stored mended. Else they are stored as drawn, and what mending would do
  // is told.
  bool mend = false;
  MendOptions mending;  // for both
};

// Common practice, no source.
inline constexpr double kFarOff_m = 50'000;

struct ImportReport {
  EditBatch batch;
  Issues issues;
  std::size_t rows = 0, good_rows = 0, bad_rows = 0;
  std::vector<std::pair<std::string, std::string>> columns_used;  // theirs, ours
  std::vector<std::string> columns_ignored;
  // Of watercourses: what was mended, would be, or is doubtful; `reach` of a finding is the number (from 0) of the
  // line in the file, those left out included, and feature_of[that] the feature that it is part of. Sentences call
  // it "feature 7 of the file".
  ChannelFindings channels;
  std::vector<std::size_t> feature_of;
  // Whether there is something to store: bad rows forbid it unless they are to be left out.
  bool ok(bool skip_bad) const { return good_rows > 0 && (bad_rows == 0 || skip_bad); }
};

// Checks `table` against the survey as it stands. Writes nothing. Throws Error(kBadInput) when no import
// is possible at all (a needed column is missing, two columns claim one meaning); bad rows are issues.
// Which columns are understood: import_columns_help() in columns.hpp.
//
// * A flat sheet (site, sample and record in each row) is imported three times, as sites, samples and
//   records; each takes its own columns. Rows that repeat a site or sample in the same words are one; rows
//   that differ are bad.
// * Samples of one site and start moment share a visit. A measurement by site and date makes a visit where
//   there is none.
// * An empty quantity is "present", a zero is "looked for and absent". An empty measurement is left out
//   with a warning.
// * A sample, site, outfall, catchment, reach or record that the survey has already is a bad row, so that
//   no file comes in twice. With ImportOptions::mend a reach drawn again, or without length, is no bad row: it
//   is left out and told.
// * A row of a log of kit is a use (it names a site) or a cleaning (it names an agent); an item that the survey does not
//   have yet is added with it. What is missing in a cleaning is a warning: it then proves nothing.
// * Watercourses farther than kFarOff_m from every site that has a position are brought in with a warning.
ImportReport plan_import(ImportKind kind, const Table& table, const Snapshot& snapshot,
                         const ImportOptions& options);

}  // namespace brookmark::core
