#include <map>
#include <ostream>

#include "core/base/csv.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/intake/columns.hpp"
#include "core/intake/import.hpp"
#include "core/store/survey_file.hpp"
#include "geodata/vector_input.hpp"
#include "viewer/cli/verbs.hpp"

namespace brookmark::viewer {

namespace {

struct ImportCommand {
  std::filesystem::path file;
  std::string kind, layer, crs, abundance_scheme;
  std::vector<std::string> columns, names;  // "theirs=ours"
  bool skip_bad = false, dry_run = false;
};

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

int run_import(const std::filesystem::path& survey, const ImportCommand& command, const Console& console) {
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
      core::SurveyFile::open(survey, command.dry_run ? core::Access::kRead : core::Access::kEdit);
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

std::string columns_footer() {
  std::string columns =
      "Columns understood, by kind (any heading can be mapped with --column theirs=ours):\n";
  for (const auto kind :
       {core::ImportKind::kSites, core::ImportKind::kSamples, core::ImportKind::kRecords,
        core::ImportKind::kMeasurements, core::ImportKind::kWatercourses, core::ImportKind::kOutfalls,
        core::ImportKind::kCatchments, core::ImportKind::kWaters})
    columns += std::string("\n") + core::import_kind_name(kind) + "\n" + core::import_columns_help(kind);
  return columns;
}

}  // namespace

void add_import_verbs(Verbs& verbs) {
  const auto command = std::make_shared<ImportCommand>();
  verbs
      .add_for_survey(
          "import", "add sites, samples, records ... from a table or a vector layer",
          [command](const auto& survey, const Console& c) { return run_import(survey, *command, c); })
      .word("KIND", command->kind,
            "sites samples records measurements watercourses outfalls catchments waters")
      .required()
      .word("FILE", command->file, "CSV, or any vector format for places")
      .required()
      .option("--column", command->columns, "their column = our column, for headings not understood")
      .option("--name", command->names, "name as written = accepted name, where you have decided")
      .option("--layer", command->layer, "which layer of a file with several")
      .option("--crs", command->crs, "system of the coordinates where the file does not say, EPSG:number")
      .option("--abundance-scheme", command->abundance_scheme, "scheme of abundance letters")
      .flag("--skip-bad", command->skip_bad, "leave bad rows out instead of refusing the file")
      .flag("--dry-run", command->dry_run, "say what would happen and write nothing")
      .footer(columns_footer);
}

}  // namespace brookmark::viewer
