#include <map>
#include <optional>
#include <ostream>
#include <sstream>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/intake/columns.hpp"
#include "core/intake/import.hpp"
#include "core/store/survey_file.hpp"
#include "geodata/output_file.hpp"
#include "geodata/terrain/dem.hpp"
#include "viewer/cli/change_commands_internal.hpp"
#include "viewer/cli/photo_command_internal.hpp"
#include "viewer/cli/rows.hpp"
#include "viewer/cli/verbs.hpp"
#include "viewer/survey_work.hpp"

namespace brookmark::viewer {

namespace {

struct ImportCommand {
  std::filesystem::path file;
  std::string kind, layer, crs, abundance_scheme;
  std::optional<std::string> ground;        // what all features of a layer of ground are
  std::vector<std::string> columns, names;  // "theirs=ours"
  bool skip_bad = false, dry_run = false;
  // Of watercourses.
  bool mend = false, remove_stubs = false, join_crossings = false, force = false;
  std::vector<std::string> join_at;  // "LON,LAT"
  std::optional<double> tolerance_m, stub_m;
  std::string direction;
  std::optional<std::string> report, terrain;
  std::vector<std::string> accept;  // of changes
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

core::MendOptions mending_of(const ImportCommand& command, core::ImportKind kind) {
  const bool asked = command.mend || command.remove_stubs || command.join_crossings || command.tolerance_m ||
                     command.stub_m || command.report || command.terrain || !command.join_at.empty() ||
                     !command.direction.empty();
  if (asked && kind != core::ImportKind::kWatercourses)
    throw Error(ErrorCode::kBadUse,
                "--mend, --report and what goes with them are for watercourses; leave them out here");
  core::MendOptions mending;
  mending.tolerance_m = command.tolerance_m.value_or(mending.tolerance_m);
  mending.stub_m = command.stub_m.value_or(mending.stub_m);
  mending.remove_stubs = command.remove_stubs;
  mending.join_crossings = command.join_crossings;
  if (command.direction == "majority") mending.flow_from = core::FlowFrom::kMajority;
  if ((command.direction == "terrain") != command.terrain.has_value())
    throw Error(ErrorCode::kBadUse,
                "--direction terrain and --terrain DEM go together; give both or neither");
  if (command.terrain) {
    mending.flow_from = core::FlowFrom::kHeights;
    mending.height_at = geodata::filled_heights(*command.terrain);
  }
  for (const std::string& at : command.join_at) {
    const std::vector<std::string> parts = core::split(at, ',');
    const auto lon = core::parse_number(parts[0]);
    const auto lat = parts.size() == 2 ? core::parse_number(parts[1]) : std::nullopt;
    if (!lon || !lat || !core::is_valid({*lon, *lat}))
      throw Error(ErrorCode::kBadUse, "\"" + at + "\" is no place; write --join-at LON,LAT in degrees");
    mending.crossings.push_back({*lon, *lat});
  }
  const bool says_how = command.remove_stubs || command.join_crossings || command.tolerance_m ||
                        !command.join_at.empty() || !command.direction.empty();
  if (says_how && !command.mend && !command.report && !command.dry_run)
    throw Error(ErrorCode::kBadUse,
                "--tolerance, --direction, --join-crossings, --join-at and --remove-stubs say how lines are "
                "mended, and "
                "nothing is mended here; add --mend to store the lines so, or --report OUT.csv or --dry-run "
                "to see what "
                "it would do");
  return mending;
}

Rows rows_of(const core::ImportReport& report) {
  Rows rows{{"severity", "what", "lon", "lat", "distance_m", "reach", "feature", "done", "text", "remedy"},
            {}};
  for (const core::ChannelFinding& f : report.channels) {
    const bool placed = core::is_placed(f.position);
    rows.add({text(core::severity_name(f.severity)), text(core::fault_name(f.fault)),
              placed ? number(f.position.lon, 7) : Cell{}, placed ? number(f.position.lat, 7) : Cell{},
              f.distance_m ? number(*f.distance_m, 3) : Cell{},
              f.reach.has_value() ? whole(f.reach.value() + 1) : Cell{},
              f.reach.has_value() ? whole(report.feature_of[f.reach.value()]) : Cell{}, f.done, text(f.text),
              text_or_empty(f.remedy)});
  }
  return rows;
}

// What was found in the lines, by kind, and to the file of the report in full.
void tell_channels(const core::ImportReport& report, const ImportCommand& command, const Console& console) {
  struct Count {
    std::size_t seen = 0, mendable = 0;
  };
  std::map<std::string, Count> counts;
  for (const core::ChannelFinding& f : report.channels) {
    Count& count = counts[core::fault_name(f.fault)];
    ++count.seen;
    count.mendable += f.remedy.empty() ? 0 : 1;
  }
  for (const auto& [what, count] : counts) {
    console.err << "watercourses: " << what << ": " << count.seen;
    if (count.mendable > 0)
      console.err << (command.mend ? ", mended: " : ", would be mended with --mend: ") << count.mendable;
    console.err << '\n';
  }
  if (!command.report) {
    if (!report.channels.empty()) console.err << "each of them, with its place: --report OUT.csv\n";
    return;
  }
  std::ostringstream out;
  print(rows_of(report), Format::kCsv, out);
  geodata::write_text_file(*command.report, out.str(), command.force);
  console.err << "wrote " << *command.report << ": " << counted(report.channels.size(), "finding", "findings")
              << '\n';
}

int run_import(const std::filesystem::path& survey, const ImportCommand& command, const Console& console) {
  if (command.kind == "changes")
    return run_changes(survey, command.file, command.accept, command.dry_run, console);
  if (!command.accept.empty())
    throw Error(ErrorCode::kBadUse, "--accept belongs to an import of changes; leave it out here");
  const auto kind = core::parse_import_kind(command.kind);
  if (!kind)
    throw Error(
        ErrorCode::kBadUse,
        "\"" + command.kind +
            "\" cannot be imported; choose one of sites samples records measurements "
            "watercourses outfalls catchments waters ground kit, or changes for a GeoPackage that came back");
  IntakeWish wish{*kind, command.file, command.layer, command.crs, {}};
  core::ImportOptions& options = wish.options;
  options.columns = pairs_of(command.columns, "--column", true);
  options.names = pairs_of(command.names, "--name", false);
  options.abundance_scheme = command.abundance_scheme;
  if (command.ground) {
    if (*kind != core::ImportKind::kGround)
      throw Error(ErrorCode::kBadUse, "--ground goes with an import of ground; leave it out here");
    options.ground_kind = core::parse_ground_kind(*command.ground);
  }
  options.mend = command.mend;
  options.mending = mending_of(command, *kind);
  if (command.report)
    geodata::check_output(*command.report, {survey, command.file, command.terrain.value_or("")},
                          command.force);
  core::SurveyFile file =
      core::SurveyFile::open(survey, command.dry_run ? core::Access::kRead : core::Access::kEdit);
  const core::Snapshot snapshot = file.read();
  const IntakePlan plan = plan_intake(file, snapshot, wish);
  const core::Table& table = plan.table;
  const core::ImportReport& report = plan.report;
  print_columns(report, console);
  if (!table.crs_note.empty()) console.err << "positions: " << table.crs_note << '\n';
  print_issues(report.issues, console);
  tell_channels(report, command, console);
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
    console.err << (command.report ? "but for the report nothing was written" : "nothing was written")
                << " (--dry-run); would import: " << report.batch.summary << '\n';
    return kDone;
  }
  if (report.batch.edits.empty()) {
    console.err << "nothing was imported: every line was left out\n";
    return kAnswerIsNo;
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
  for (const auto kind : {core::ImportKind::kSites, core::ImportKind::kSamples, core::ImportKind::kRecords,
                          core::ImportKind::kMeasurements, core::ImportKind::kWatercourses,
                          core::ImportKind::kOutfalls, core::ImportKind::kCatchments,
                          core::ImportKind::kWaters, core::ImportKind::kGround, core::ImportKind::kKit})
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
            "sites samples records measurements watercourses outfalls catchments waters ground kit; or "
            "changes, made by "
            "others in a GeoPackage that was exported")
      .required()
      .word("FILE", command->file, "CSV, or any vector format for places")
      .required()
      .option("--column", command->columns, "their column = our column, for headings not understood")
      .option("--name", command->names, "name as written = accepted name, where you have decided")
      .option("--layer", command->layer, "which layer of a file with several")
      .option("--crs", command->crs, "system of the coordinates where the file does not say, EPSG:number")
      .option("--abundance-scheme", command->abundance_scheme, "scheme of abundance letters")
      .option("--ground", command->ground,
              "ground: what all of the layer is, where no column says it: private, unsafe, road, bridge, "
              "access or refused")
      .choices({"private", "unsafe", "road", "bridge", "access", "refused"})
      .flag("--skip-bad", command->skip_bad, "leave bad rows out instead of refusing the file")
      .flag("--dry-run", command->dry_run, "say what would happen and write nothing")
      .flag("--mend", command->mend,
            "watercourses: store the lines mended (ends led on, lines drawn twice left out), as one edit")
      .number("--tolerance", command->tolerance_m, 0, 1000,
              "watercourses: metres over which ends are led on to meet; default 5")
      .option(
          "--direction", command->direction,
          "watercourses: digitised (default); majority: turn lines that lead away from the outlet; terrain: "
          "turn lines that lead away from the lowest end and climb")
      .choices({"digitised", "majority", "terrain"})
      .option("--terrain", command->terrain, "watercourses: the terrain model for --direction terrain")
      .flag("--join-crossings", command->join_crossings,
            "watercourses: join lines that cross without a node (bridges and culverts too!)")
      .option("--join-at", command->join_at, "watercourses: LON,LAT of one crossing to be joined")
      .number("--stub", command->stub_m, 0, 1000,
              "watercourses: a dead end up to this long, in metres, is told; default 10")
      .flag("--remove-stubs", command->remove_stubs, "watercourses: leave such dead ends out")
      .option("--report", command->report, "watercourses: write every finding with its place to this CSV")
      .flag("--force", command->force, "replace the file of --report if it is already there")
      .option("--accept", command->accept,
              "changes: all (that only they made), or the change, row or layer to take, as listed; may be "
              "given again")
      .with_format()
      .footer(columns_footer);
  add_photo_verb(verbs);
}

}  // namespace brookmark::viewer
