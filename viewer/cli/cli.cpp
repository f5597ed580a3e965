#include "viewer/cli/cli.hpp"

#include <sys/ioctl.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <functional>
#include <iostream>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/intake/columns.hpp"
#include "core/intake/import.hpp"
#include "core/store/survey_file.hpp"
#include "core/survey/cautions.hpp"
#include "geodata/vector_input.hpp"
#include "viewer/cli/commands.hpp"
#include "viewer/view.hpp"

namespace brookmark::viewer {

namespace {

constexpr const char* kVersion = "Brookmark " BROOKMARK_VERSION;

int exit_code(ErrorCode code) {
  switch (code) {
    case ErrorCode::kBadUse:
    case ErrorCode::kBadInput:
    case ErrorCode::kNotFound:
    case ErrorCode::kForeignFile:
    case ErrorCode::kNewerFile:
      return kBadUse;
    case ErrorCode::kReadOnly:
    case ErrorCode::kLocked:
    case ErrorCode::kNoSpace:
    case ErrorCode::kStorage:
      return kFailed;
  }
  return kFailed;
}

std::size_t terminal_width() {
  winsize size{};
  if (ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 0) return size.ws_col;
  return 0;
}

// Reads the words; every verb sets `action`, which main then runs.
class Parser {
 public:
  Parser(std::ostream& out, std::ostream& err) : out_(out), err_(err) {
    app_.require_subcommand(1);
    app_.set_version_flag("--version", [] {
      return std::string(kVersion) + "\n" + core::storage_versions() + ", " + geodata::geodata_versions();
    });
    app_.footer(std::string(core::kResultCaution) +
                "\nExit codes: 0 done, 1 the answer is \"no\" (findings, nothing found), 2 bad use or bad "
                "input, 3 failure.");
    add_survey_verbs();
    add_score_verbs();
    add_place_verbs();
    add_hand_over_verbs();
  }

  int run(int argc, const char* const* argv) {
    if (argc > 1) refuse_unknown_verb(argv[1]);
    try {
      app_.parse(argc, argv);
    } catch (const CLI::ParseError& problem) {
      return app_.exit(problem, out_, err_) == 0 ? kDone : kBadUse;
    }
    const int code = action_(console());
    if (!out_.flush())
      throw Error(ErrorCode::kNoSpace, "the answer could not be written; is the disk full?",
                  "standard output");
    return code;
  }

 private:
  using Action = std::function<int(const Console&)>;

  // Throws Error(kBadUse) for a first word that is neither a verb nor an option.
  void refuse_unknown_verb(const std::string& word) const {
    if (word.empty() || word[0] == '-') return;
    std::string nearest;
    std::size_t least = word.size() / 2 + 1;
    for (const CLI::App* sub : app_.get_subcommands([](const CLI::App*) { return true; })) {
      if (sub->get_name() == word) return;
      const std::size_t distance = core::edit_distance(word, sub->get_name());
      if (distance < least) least = distance, nearest = sub->get_name();
    }
    throw Error(ErrorCode::kBadUse, "\"" + word + "\" is not a verb; " +
                                        (nearest.empty() ? "" : "did you mean \"" + nearest + "\"? ") +
                                        "`brookmark --help` lists them");
  }

  Console console() const {
    const bool terminal = &out_ == &std::cout && isatty(STDOUT_FILENO) != 0;
    Format format = terminal ? Format::kTable : Format::kCsv;
    if (format_ == "table") format = Format::kTable;
    if (format_ == "csv") format = Format::kCsv;
    if (format_ == "json") format = Format::kJson;
    return {out_, err_, format, terminal ? terminal_width() : 0};
  }

  CLI::App* verb(const char* name, const char* what, Action action) {
    CLI::App* sub = app_.add_subcommand(name, what);
    sub->callback([this, action = std::move(action)] { action_ = action; });
    return sub;
  }

  CLI::App* survey_verb(const char* name, const char* what, Action action) {
    CLI::App* sub = verb(name, what, std::move(action));
    sub->add_option("SURVEY", survey_, "the survey file (.brook)")->required();
    return sub;
  }

  void with_format(CLI::App* sub) {
    sub->add_option("--format", format_, "table (default on a terminal), csv (default elsewhere) or json")
        ->check(CLI::IsMember({"table", "csv", "json"}));
  }

  void with_until(CLI::App* sub) {
    sub->add_option("--until", score_.until,
                    "only samples up to this date, YYYY-MM-DD; default: the newest sample's");
  }

  void with_method(CLI::App* sub, const char* otherwise) {
    sub->add_option("--method", score_.method,
                    std::string("a method's name, or your own NAME.method.csv; ") + otherwise);
    sub->add_option("--metric", score_.metric, "one of the method's metrics; default: its first");
  }

  void add_survey_verbs() {
    survey_verb("demo", "make the invented demo survey",
                [this](const Console& c) { return run_demo(survey_, c); });
    auto* create = survey_verb("new", "make an empty survey file",
                               [this](const Console& c) { return run_new(survey_, title_, crs_, c); });
    create->add_option("--title", title_, "what the survey is called")->required();
    create->add_option("--crs", crs_,
                       "coordinate system for display and exchange, EPSG:number; default EPSG:4326");

    auto* import = survey_verb("import", "add sites, samples, records ... from a table or a vector layer",
                               [this](const Console& c) {
                                 import_.survey = survey_;
                                 import_.crs = crs_;
                                 return run_import(import_, c);
                               });
    import
        ->add_option("KIND", import_.kind,
                     "sites samples records measurements watercourses outfalls catchments waters")
        ->required();
    import->add_option("FILE", import_.file, "CSV, or any vector format for places")->required();
    import->footer([] {
      std::string columns = "Columns understood, by kind (any heading can be mapped with --column theirs=ours):\n";
    for (const auto kind :
         {core::ImportKind::kSites, core::ImportKind::kSamples, core::ImportKind::kRecords,
          core::ImportKind::kMeasurements, core::ImportKind::kWatercourses, core::ImportKind::kOutfalls,
          core::ImportKind::kCatchments, core::ImportKind::kWaters})
      columns += std::string("\n") + core::import_kind_name(kind) + "\n" + core::import_columns_help(kind);
    return columns;
  });
  import->add_option("--column", import_.columns, "their column = our column, for headings not understood");
  import->add_option("--name", import_.names, "name as written = accepted name, where you have decided");
  import->add_option("--layer", import_.layer, "which layer of a file with several");
  import->add_option("--crs", crs_, "system of the coordinates where the file does not say, EPSG:number");
  import->add_option("--abundance-scheme", import_.abundance_scheme, "scheme of abundance letters");
  import->add_flag("--skip-bad", import_.skip_bad, "leave bad rows out instead of refusing the file");
  import->add_flag("--dry-run", import_.dry_run, "say what would happen and write nothing");

  survey_verb("undo", "take back the newest edit or import",
              [this](const Console& c) { return run_undo(survey_, c); });
  with_format(survey_verb("log", "list the edits of a survey",
                          [this](const Console& c) { return run_log(survey_, c); }));
  with_format(survey_verb("check", "findings on the data",
                          [this](const Console& c) { return run_check(survey_, c); }));
}

  void add_score_verbs() {
  auto* methods = verb("methods", "list the methods, or show one with its table, source and scope",
                       [this](const Console& c) { return run_methods(name_, c); });
  methods->add_option("NAME", name_, "a method's name, or your own NAME.method.csv");
  with_format(methods);

  auto* score = survey_verb("score", "one row a sample and metric",
                            [this](const Console& c) { return run_score(survey_, score_, c); });
  with_method(score, "default: all");
  with_until(score);
  with_format(score);

  auto* explain = survey_verb("explain", "why a sample scores as it does: one row a record",
                              [this](const Console& c) { return run_explain(survey_, name_, score_, c); });
  explain->add_option("SAMPLE", name_, "the sample's code")->required();
  with_method(explain, "default: the first of `brookmark methods`");
  with_format(explain);
}

void add_place_verbs() {
  auto* distance =
      survey_verb("distance", "outfalls from a site or point, along the channel", [this](const Console& c) {
        distance_.survey = survey_;
        return run_distance(distance_, c);
      });
  auto* where = distance->add_option_group("from where");
  where->add_option("--site", distance_.site, "a site's code");
  where->add_option("--at", distance_.at, "LON,LAT");
  where->add_flag("--all", distance_.all, "every site");
  where->require_option(1);
  distance->add_option("--direction", distance_.direction, "upstream, downstream or any (default)")
      ->check(CLI::IsMember({"upstream", "downstream", "any"}));
  with_format(distance);

  auto* catchments = survey_verb("catchments", "sub-catchments, worst first",
                                 [this](const Console& c) { return run_catchments(survey_, score_, c); });
  with_method(catchments, "default: the first of `brookmark methods`");
  with_until(catchments);
  with_format(catchments);
}

void add_hand_over_verbs() {
  const CLI::Validator not_empty([](std::string& name) { return name.empty() ? "a file needs a name" : ""; },
                                 "FILE");
  auto* exporter = survey_verb("export", "hand the survey over", [this](const Console& c) {
    export_.survey = survey_;
    export_.score = score_;
    return run_export(export_, c);
  });
  exporter->add_option("OUT", export_.target, "a file ending in .gpkg, .geojson, .csv or .gpx")->required();
  exporter->add_flag("--force", export_.force, "replace a file that is already there");
  with_method(exporter, "default: the first of `brookmark methods`");
  with_until(exporter);

  auto* view = survey_verb("view", "open the window", [this](const Console& c) {
    view_.survey = survey_;
    if (screenshot_) view_.screenshot = *screenshot_;
    if (script_) view_.script = *script_;
    view_survey(view_);
    if (screenshot_) c.err << "wrote " << *screenshot_ << '\n';
    return kDone;
  });
  view->add_option("--screenshot", screenshot_,
                   "draw the map into this PNG file instead; no display is needed")
      ->check(not_empty);
  view->add_option("--script", script_,
                   "a file of steps, one a line: size W H, fit, date YYYY-MM-DD, method ID, site CODE, query "
                   "..., picture FILE")
      ->check(not_empty);
  view->add_option_function<std::string>(
      "--size",
      [this](const std::string& size) {
        char cross = 0, rest = 0;
        std::istringstream in(size);
        if (!(in >> view_.width >> cross >> view_.height) || cross != 'x' || (in >> rest) ||
            view_.width < 1 || view_.height < 1 || view_.width > 16384 || view_.height > 16384)
          throw CLI::ValidationError("--size",
                                     "give the size as WIDTHxHEIGHT, 1 to 16384 each, like 1280x800");
      },
      "WIDTHxHEIGHT in pixels; default 1280x800");
}

std::ostream& out_;
std::ostream& err_;
CLI::App app_{"Brookmark: freshwater surveys in one file, from the field sheet to the map", "brookmark"};
Action action_;
std::string format_, name_, title_, crs_;
std::optional<std::string> screenshot_, script_;
std::filesystem::path survey_;
ScoreOptions score_;
ImportCommand import_;
DistanceCommand distance_;
ExportCommand export_;
ViewOptions view_;
};  // namespace

}  // namespace brookmark::viewer

int run_command_line(int argc, const char* const* argv, std::ostream& out, std::ostream& err) {
  try {
    core::start_storage();
    return Parser(out, err).run(argc, argv);
  } catch (const Error& error) {
    err << "brookmark: " << error.what() << '\n';
    return exit_code(error.code());
  } catch (const std::bad_alloc&) {
    err << "brookmark: there is not enough memory for this\n";
    return kFailed;
  } catch (const std::exception& error) {
    err << "brookmark: something failed that should not: " << error.what() << '\n';
    return kFailed;
  }
}

}  // namespace brookmark::viewer
