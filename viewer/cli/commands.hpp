// Why: what the functions that answer a verb share: where they write, and how they choose survey, method,
// metric and date. The verbs themselves are told in verbs.hpp.
#pragma once

#include <filesystem>
#include <iosfwd>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "core/base/date.hpp"
#include "core/base/geometry.hpp"
#include "core/scoring/method.hpp"
#include "core/survey/period.hpp"
#include "viewer/cli/rows.hpp"
#include "viewer/session.hpp"

namespace brookmark::viewer {

inline constexpr int kDone = 0, kAnswerIsNo = 1, kBadUse = 2, kFailed = 3;

// Where a command writes, and how.
struct Console {
  std::ostream& out;  // data
  std::ostream& err;  // messages
  Format format = Format::kCsv;
  std::size_t width = 0;  // of the terminal; 0 when it is none

  void rows(const Rows& rows_to_print) const { print(rows_to_print, format, out, width); }
};

// Commands that paint or list by one metric of one method.
struct ScoreOptions {
  std::string method;  // id or a descriptor file; empty: the default method
  std::string metric;  // empty: the method's first
  std::string until;   // a date; empty: the newest sample
  std::string from;    // a date; empty: without limit
  std::string season;  // as core::parse_seasons reads them; empty: all
};

// Reads a survey and passes on what the file has to say about itself ("opened read-only because ...").
Session open_for(const std::filesystem::path& survey, const Console& console);
// A shipped method by id, or a surveyor's own by its descriptor file. Throws Error(kNotFound) listing the
// ids.
std::shared_ptr<const core::Method> choose_method(const std::string& id_or_file);
// Index of the metric; empty = the first. Throws Error(kNotFound) listing the metrics.
std::size_t choose_metric(const core::Method& method, const std::string& metric);
Cell class_cell(const core::Metric& metric, int rank);  // the class's published name; empty for 0
Cell rank_cell(int rank);                               // empty for 0
// The day of the newest sample; today for a survey without samples.
core::Date newest_day(const core::Snapshot& snapshot);
// The date given, or `otherwise` for an empty text. Throws Error(kBadInput).
core::Date choose_date(const std::string& text, core::Date otherwise);
// What --until, --from and --season ask for; without --until up to `otherwise`. Throws Error(kBadInput), also for a first
// day after the last.
core::Period choose_period(const ScoreOptions& options, core::Date otherwise);
// A place written as LON,LAT in degrees. Throws Error(kBadInput), also where the two seem to be the wrong way round.
core::LonLat choose_place(const std::string& words);

}  // namespace brookmark::viewer
