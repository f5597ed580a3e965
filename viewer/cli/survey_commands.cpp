#include <ostream>

#include "core/analysis/check.hpp"
#include "core/base/crs.hpp"
#include "core/base/csv.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/intake/import.hpp"
#include "core/store/survey_file.hpp"
#include "demo_area/demo.hpp"
#include "geodata/vector_input.hpp"
#include "viewer/cli/commands.hpp"

namespace brookmark::viewer {

namespace {

// "theirs=ours" words into a map.
std::map<std::string, std::string> pairs_of(const std::vector<std::string>& words, const char* option,
                                            bool may_be_empty) {
  std::map<std::string, std::string> pairs;
  for (const std::string& word : words) {
    const std::size_t equals = word.find('=');
    const std::string left(core::trim(word.substr(0, equals)));
    const std::string right(equals == std::string::npos ? "" : core::trim(word.substr(equals + 1)));
    if (left.empty() || equals == std::string::npos || (right.empty() && !may_be_empty))
      throw Error(ErrorCode::kBadUse, std::string(option) + " wants theirs=ours, and got \"" + word + "\"");
    pairs[left] = right;
  }
  return pairs;
}

core::Table read_table(const ImportCommand& command) {
  if (geodata::is_plain_table(command.file)) return core::read_csv_file(command.file);
  geodata::start_geodata();
  return geodata::read_layer(command.file, {command.layer, command.crs});
}

void print_issues(const core::Issues& issues, const Console& console) {
  constexpr std::size_t kMost = 200;
  for (std::size_t i = 0; i < issues.size() && i < kMost; ++i) {
    const core::Issue& issue = issues[i];
    console.err << core::severity_name(issue.severity) << ": " << issue.file;
    if (issue.line > 0) console.err << ", line " << issue.line;
    if (!issue.column.empty()) console.err << ", column " << issue.column;
    console.err << ": " << issue.text << '\n';
  }
  if (issues.size() > kMost) console.err << "... and " << issues.size() - kMost << " more\n";
}

std::string counted(std::size_t count, const char* one, const char* many) {
  return std::to_string(count) + " " + (count == 1 ? one : many);
}

void print_columns(const core::ImportReport& report, const Console& console) {
  console.err << "columns:";
  for (const auto& [theirs, ours] : report.columns_used) {
    console.err << ' ' << theirs;
    if (theirs != ours) console.err << " (as " << ours << ')';
    console.err << (&report.columns_used.back().first == &theirs ? "" : ",");
  }
  if (!report.columns_ignored.empty()) {
    constexpr std::size_t kMost = 12;
    console.err << "; not used:";
    for (std::size_t i = 0; i < report.columns_ignored.size() && i < kMost; ++i)
      console.err << ' ' << report.columns_ignored[i];
    if (report.columns_ignored.size() > kMost)
      console.err << " and " << report.columns_ignored.size() - kMost << " more";
  }
  console.err << '\n';
}

}  // namespace

Session open_for(const std::filesystem::path& survey, const Console& console) {
  Session session = open_session(survey);
  if (!session.notice.empty()) console.err << "note: " << session.notice << '\n';
  return session;
}

int run_demo(const std::filesystem::path& survey, const Console& console) {
  demo::make_demo_survey(survey);
  console.err << "made " << survey.string() << ": an invented catchment, on nobody's land or river\n"
              << "next: brookmark view " << survey.string() << '\n';
  return kDone;
}

int run_new(const std::filesystem::path& survey, const std::string& title, const std::string& crs,
            const Console& console) {
  core::SurveyInfo info;
  info.title = title;
  if (!crs.empty()) info.crs = crs;
  if (!info.crs.starts_with("EPSG:"))
    throw Error(ErrorCode::kBadUse,
                "\"" + info.crs + "\" is not the number of a coordinate system; write --crs EPSG:number");
  const core::CrsConverter known(info.crs);  // an unknown system is refused before a file is made
  core::SurveyFile::create(survey, info);
  console.err << "made " << survey.string() << '\n'
              << "next: brookmark import " << survey.string() << " sites FILE\n";
  return kDone;
}

int run_import(const ImportCommand& command, const Console& console) {
  const auto kind = core::parse_import_kind(command.kind);
  if (!kind)
    throw Error(ErrorCode::kBadUse,
                "\"" + command.kind +
                    "\" cannot be imported; choose one of sites samples records measurements "
                    "watercourses outfalls catchments waters");
  core::ImportOptions options;
  options.columns = pairs_of(command.columns, "--column", true);
  options.names = pairs_of(command.names, "--name", false);
  options.abundance_scheme = command.abundance_scheme;
  core::SurveyFile file =
      core::SurveyFile::open(command.survey, command.dry_run ? core::Access::kRead : core::Access::kEdit);
  options.new_key = [&file] { return file.new_key(); };
  const core::Snapshot snapshot = file.read();
  options.crs = command.crs.empty() ? snapshot.survey.crs : command.crs;
  const core::Table table = read_table(command);
  const core::ImportReport report = core::plan_import(*kind, table, snapshot, options);
  print_columns(report, console);
  if (!table.crs_note.empty()) console.err << "positions: " << table.crs_note << '\n';
  print_issues(report.issues, console);
  if (!report.ok(command.skip_bad)) {
    console.err << "nothing was imported";
    if (report.bad_rows > 0)
      console.err << ": " << counted(report.bad_rows, "bad row", "bad rows") << " among " << report.rows;
    if (report.bad_rows > 0 && report.good_rows > 0)
      console.err << "; mend them, or leave them out with --skip-bad";
    console.err << '\n';
    return kBadUse;
  }
  if (command.dry_run) {
    console.err << "nothing was written (--dry-run); would import: " << report.batch.summary << '\n';
    return kDone;
  }
  file.apply(report.batch);
  console.err << "imported " << report.batch.summary;
  if (report.bad_rows > 0)
    console.err << "; " << counted(report.bad_rows, "bad row", "bad rows") << " left out";
  console.err << '\n';
  return kDone;
}

int run_undo(const std::filesystem::path& survey, const Console& console) {
  core::SurveyFile file = core::SurveyFile::open(survey, core::Access::kEdit);
  const auto undone = file.undo();
  if (!undone) {
    console.err << "there is nothing to undo\n";
    return kAnswerIsNo;
  }
  console.err << "undone: " << undone->kind << " (" << undone->summary << ")\n";
  return kDone;
}

int run_log(const std::filesystem::path& survey, const Console& console) {
  const core::SurveyFile file = core::SurveyFile::open(survey, core::Access::kRead);
  Rows rows{{"number", "at_utc", "device", "edit", "summary", "undone", "can_be_undone"}, {}};
  for (const core::EditLogEntry& entry : file.log())
    rows.add({entry.number, text(entry.at_utc), text_or_empty(entry.device), text(entry.kind),
              text(entry.summary), entry.undone, entry.undoable && !entry.undone});
  console.rows(rows);
  return kDone;
}

int run_check(const std::filesystem::path& survey, const Console& console) {
  const Session session = open_for(survey, console);
  const auto findings = core::check_survey(session.snapshot, session.channels, core::latest_day_anywhere());
  Rows rows{{"severity", "what", "where", "text"}, {}};
  bool doubts = false;
  for (const core::Finding& finding : findings) {
    rows.add({text(core::severity_name(finding.severity)), text(finding.what), text_or_empty(finding.where),
              text(finding.text)});
    doubts = doubts || finding.severity != core::Severity::kNote;
  }
  console.rows(rows);
  if (findings.empty()) console.err << "no findings\n";
  return doubts ? kAnswerIsNo : kDone;
}

}  // namespace brookmark::viewer
