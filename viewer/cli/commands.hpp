// Why: one function a verb, plain options in, exit code out; cli.cpp only reads the words of the command
// line.
#pragma once

#include <filesystem>
#include <iosfwd>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "core/base/date.hpp"
#include "core/network/river_graph.hpp"
#include "core/scoring/method.hpp"
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
};

struct ImportCommand {
  std::filesystem::path survey, file;
  std::string kind, layer, crs, abundance_scheme;
  std::vector<std::string> columns, names;  // "theirs=ours"
  bool skip_bad = false, dry_run = false;
};

struct DistanceCommand {
  std::filesystem::path survey;
  std::string site, at, direction;
  bool all = false;
};

struct ExportCommand {
  std::filesystem::path survey, target;
  ScoreOptions score;
  bool force = false;
};

int run_demo(const std::filesystem::path& survey, const Console& console);
int run_new(const std::filesystem::path& survey, const std::string& title, const std::string& crs,
            const Console& console);
int run_import(const ImportCommand& command, const Console& console);
int run_undo(const std::filesystem::path& survey, const Console& console);
int run_log(const std::filesystem::path& survey, const Console& console);
int run_check(const std::filesystem::path& survey, const Console& console);
int run_methods(const std::string& name, const Console& console);
int run_score(const std::filesystem::path& survey, const ScoreOptions& options, const Console& console);
int run_explain(const std::filesystem::path& survey, const std::string& sample, const ScoreOptions& options,
                const Console& console);
int run_distance(const DistanceCommand& command, const Console& console);
int run_catchments(const std::filesystem::path& survey, const ScoreOptions& options, const Console& console);
int run_export(const ExportCommand& command, const Console& console);

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

}  // namespace brookmark::viewer
