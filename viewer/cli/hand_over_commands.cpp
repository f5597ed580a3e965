#include <ostream>
#include <sstream>

#include "core/scoring/assessment.hpp"
#include "geodata/export.hpp"
#include "geodata/output_file.hpp"
#include "geodata/vector_input.hpp"
#include "viewer/cli/verbs.hpp"
#include "viewer/view.hpp"

namespace brookmark::viewer {

namespace {

struct ExportCommand {
  std::filesystem::path target;
  ScoreOptions score;
  bool force = false;
};

int run_export(const std::filesystem::path& survey, const ExportCommand& command, const Console& console) {
  geodata::expect_not_input(command.target, {survey});
  const Session session = open_for(survey, console);
  const auto method = choose_method(command.score.method);
  const std::size_t m = choose_metric(*method, command.score.metric);
  const core::ScoreTable scores = core::score_samples(session.snapshot, *method);
  const core::Assessment assessment =
      core::assess(session.snapshot, scores, m, session.nesting,
                   choose_date(command.score.until, newest_day(session.snapshot)));
  geodata::start_geodata();
  geodata::export_survey({session.snapshot, scores, assessment, session.nesting, session.channels},
                         command.target, {command.force});
  console.err << "wrote " << command.target.string() << ": sites by " << method->metrics[m].title
              << " (method " << method->id << ") up to " << core::format_date(assessment.until());
  if (method->metrics[m].bands.empty()) console.err << ", which has no classes";
  console.err << " (confirmed: " << core::confirmed_name(method->confirmed) << ")\n";
  return kDone;
}

int run_view(const std::filesystem::path& survey, ViewOptions options,
             const std::optional<std::string>& screenshot, const std::optional<std::string>& script,
             const Console& console) {
  options.survey = survey;
  if (screenshot) options.screenshot = *screenshot;
  if (script) options.script = *script;
  view_survey(options);
  if (screenshot) console.err << "wrote " << *screenshot << '\n';
  return kDone;
}

std::string no_file_name(const std::string& name) {
  return name.empty() ? "a file needs a name" : "";
}

// Reads "1280x800"; false when it is none.
bool read_size(const std::string& size, int& width, int& height) {
  char cross = 0, rest = 0;
  std::istringstream in(size);
  return (in >> width >> cross >> height) && cross == 'x' && !(in >> rest) && width >= 1 && height >= 1 &&
         width <= 16384 && height <= 16384;
}

}  // namespace

void add_hand_over_verbs(Verbs& verbs) {
  const auto handed = std::make_shared<ExportCommand>();
  verbs
      .add_for_survey(
          "export", "hand the survey over",
          [handed](const auto& survey, const Console& c) { return run_export(survey, *handed, c); })
      .word("OUT", handed->target, "a file ending in .gpkg, .geojson, .csv or .gpx")
      .required()
      .flag("--force", handed->force, "replace a file that is already there")
      .with_method(handed->score, "default: the first of `brookmark methods`")
      .with_until(handed->score);

  struct ViewCommand {
    ViewOptions options;
    std::optional<std::string> screenshot, script;
    std::string size;
    std::string method;
  };
  const auto view = std::make_shared<ViewCommand>();
  verbs
      .add_for_survey("view", "open the window",
                      [view](const auto& survey, const Console& c) {
                        if (!view->method.empty()) view->options.method = choose_method(view->method);
                        return run_view(survey, view->options, view->screenshot, view->script, c);
                      })
      .option("--screenshot", view->screenshot,
              "draw the map into this PNG file instead; no display is needed")
      .check(no_file_name)
      .option("--script", view->script,
              "a file of steps, one a line: size W H, fit, date YYYY-MM-DD, method ID, site CODE, query ..., "
              "picture FILE")
      .check(no_file_name)
      .option(
          "--method", view->method,
          "the method to begin with: its name, or your own NAME.method.csv, which the window then offers too")
      .option("--size", view->size, "WIDTHxHEIGHT in pixels; default 1280x800")
      .check([view](const std::string& size) -> std::string {
        return read_size(size, view->options.width, view->options.height)
                   ? ""
                   : "give the size as WIDTHxHEIGHT, 1 to 16384 each, like 1280x800";
      });
}

}  // namespace brookmark::viewer
