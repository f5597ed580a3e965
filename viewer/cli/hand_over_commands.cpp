#include <ostream>
#include <sstream>

#include "core/base/text.hpp"
#include "core/sharing/hand_over.hpp"
#include "geodata/export.hpp"
#include "geodata/output_file.hpp"
#include "geodata/vector_input.hpp"
#include "viewer/cli/hand_over_internal.hpp"
#include "viewer/cli/verbs.hpp"
#include "viewer/survey_work.hpp"
#include "viewer/view.hpp"

namespace brookmark::viewer {

namespace {

struct ExportCommand {
  std::filesystem::path target;
  ScoreOptions score;
  std::string crs, blur, without, licence;
  std::vector<std::string> only;
  bool force = false, preview = false;
};

void print_hidden(const core::SharedSurvey& shared, const Console& console) {
  Rows rows{{"layer", "of", "what", "why"}, {}};
  for (const core::HiddenItem& item : shared.hidden())
    rows.add({text(item.layer), text_or_empty(item.code), text(item.what), text(item.why)});
  console.rows(rows);
  console.err << (rows.rows.empty() ? "nothing stays at home, but for what never leaves"
                                    : "this stays at home, beside what never leaves")
              << " (kit, cleaning, live samples, risks, photos, background maps, ground, and these rules); "
                 "nothing was "
                 "written (--preview)\n";
}

int run_export(const std::filesystem::path& survey, const ExportCommand& command, const Console& console) {
  geodata::expect_not_input(command.target, {survey});
  const Session session = open_for(survey, console);
  const auto method = choose_method(command.score.method);
  const std::size_t m = choose_metric(*method, command.score.metric);
  core::SharingRules rules;
  if (!command.blur.empty()) rules.cell_m = cell_size(command.blur, "--blur");
  rules.people = command.without != "people";
  if (!command.score.until.empty()) rules.until = choose_date(command.score.until, {});
  geodata::start_geodata();
  const auto handed = core::prepare_hand_over(session.snapshot, method, m, rules);
  if (command.preview) {
    print_hidden(handed->shared, console);
    return kDone;
  }
  std::vector<std::string> only;
  for (const std::string& words : command.only)
    for (const std::string& name : core::split(words, ',')) only.emplace_back(core::trim(name));
  console.err << write_hand_over(*handed, command.target,
                                 {.overwrite = command.force,
                                  .only = only,
                                  .crs = command.crs.empty() ? "EPSG:4326" : command.crs,
                                  .licence = command.licence})
              << '\n';
  if (!handed->shared.hidden().empty()) console.err << "--preview lists what was left out or moved\n";
  return kDone;
}

int run_view(ViewOptions options, const std::optional<std::string>& screenshot,
             const std::optional<std::string>& script, const std::optional<std::string>& say_state,
             const Console& console) {
  if (screenshot) options.screenshot = *screenshot;
  if (script) options.script = *script;
  if (say_state) options.say_state = *say_state;
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

std::string formats_footer() {
  std::string text = "Endings:\n";
  for (const geodata::ExportFormat& format : geodata::export_formats())
    text += std::string("  ") + format.ending + "  " + format.what + "\n";
  return text + "Layers: " + core::joined(geodata::export_layer_names(), ", ") +
         "\nWith SOURCE_DATE_EPOCH set, the same survey gives the same bytes.\n";
}

}  // namespace

void add_hand_over_verbs(Verbs& verbs) {
  const auto handed = std::make_shared<ExportCommand>();
  verbs
      .add_for_survey(
          "export", "hand the survey over",
          [handed](const auto& survey, const Console& c) { return run_export(survey, *handed, c); })
      .word("OUT", handed->target,
            "a file ending in .gpkg, .geojson, .csv, .fgb, .kml, .gpx, or .zip (Darwin Core Archive)")
      .required()
      .option("--only", handed->only,
              "layers, with a comma between; default: all, or the sites where OUT holds one")
      .option("--crs", handed->crs, "coordinates in EPSG:number (.gpkg and .fgb); default EPSG:4326")
      .option("--blur", handed->blur, "least size of the grid cell for blurred sites, like 1km (default)")
      .option("--without", handed->without, "people: name nobody, whoever agreed")
      .choices({"people"})
      .option("--licence", handed->licence, "words or an address of the licence, to stand in the file")
      .flag("--preview", handed->preview, "list what stays at home or is moved, and write nothing")
      .flag("--force", handed->force, "replace a file that is already there")
      .with_method(handed->score, "default: the first of `brookmark methods`")
      .with_until(handed->score)
      .with_format()
      .footer(formats_footer);
  add_share_verbs(verbs);

  struct ViewCommand {
    ViewOptions options;
    std::optional<std::string> screenshot, script, say_state;
    std::string size;
    std::string method;
  };
  const auto view = std::make_shared<ViewCommand>();
  verbs
      .add("view", "open the window",
           [view](const Console& c) {
             if (!view->method.empty()) view->options.method = choose_method(view->method);
             return run_view(view->options, view->screenshot, view->script, view->say_state, c);
           })
      .word("SURVEY", view->options.survey,
            "the survey file (.brook); without one the window asks: the demo, a new survey, or one to open")
      .option("--screenshot", view->screenshot,
              "draw the map into this PNG file instead; no display is needed")
      .check(no_file_name)
      .option(
          "--script", view->script,
          "a file of steps, one a line: date YYYY-MM-DD, site CODE, picture FILE, ...; all are listed below")
      .check(no_file_name)
      .option("--say-state", view->say_state,
              "keep a text file that says what the window shows and where to tap, for tests and tools")
      .check(no_file_name)
      .footer(script_help)
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
