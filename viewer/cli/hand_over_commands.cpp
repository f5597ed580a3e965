#include <ostream>
#include <sstream>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/sharing/hand_over.hpp"
#include "geodata/crs_caution.hpp"
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
  HandOverWords words;
  bool force = false;
};

}  // namespace

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

core::SharingRules rules_of(const core::Snapshot& snapshot, const ScoreOptions& score,
                            const std::string& blur, const std::string& without) {
  core::SharingRules rules;
  if (!blur.empty()) rules.cell_m = cell_size(blur, "--blur");
  rules.people = without != "people";
  const core::Period period = choose_period(score, newest_day(snapshot));
  if (!score.until.empty()) rules.until = period.until;
  rules.from = period.from;
  rules.seasons = period.seasons;
  return rules;
}

std::unique_ptr<const core::HandOver> what_is_handed(const core::Snapshot& snapshot,
                                                     const HandOverWords& words) {
  const auto method = choose_method(words.score.method);
  const std::size_t m = choose_metric(*method, words.score.metric);
  const core::SharingRules rules = rules_of(snapshot, words.score, words.blur, words.without);
  geodata::start_geodata();
  return core::prepare_hand_over(snapshot, method, m, rules);
}

std::vector<std::string> chosen_layers(const HandOverWords& words) {
  std::vector<std::string> only;
  for (const std::string& list : words.only)
    for (const std::string& name : core::split(list, ',')) {
      only.emplace_back(core::trim(name));
      if (only.back().empty())
        throw Error(ErrorCode::kBadUse,
                    "--only names no layer there; write --only sites,samples or leave it out");
    }
  return only;
}

void tell_hand_over_options(Verb& verb, HandOverWords& words, const std::string& crs_help) {
  verb.option("--only", words.only,
              "layers, with a comma between; default: all, or the sites where only one fits")
      .option("--crs", words.crs, crs_help)
      .option("--blur", words.blur, "least size of the grid cell for blurred sites, like 1km (default)")
      .option("--without", words.without, "people: name nobody, whoever agreed")
      .choices({"people"})
      .option("--licence", words.licence, "words or an address of the licence, to stand beside the data")
      .flag("--preview", words.preview, "list what stays at home or is moved, and write nothing")
      .with_method(words.score, "default: the first of `brookmark methods`")
      .with_period(words.score)
      .with_format();
}

namespace {

int run_export(const std::filesystem::path& survey, const ExportCommand& command, const Console& console) {
  if (!command.words.preview) geodata::check_output(command.target, {survey}, command.force);
  const Session session = open_for(survey, console);
  const auto handed = what_is_handed(session.snapshot, command.words);
  if (command.words.preview) {
    print_hidden(handed->shared, console);
    return kDone;
  }
  if (const std::string nothing = nothing_to_hand_over(session.snapshot, handed->shared); !nothing.empty()) {
    console.err << nothing << '\n';
    return kAnswerIsNo;
  }
  console.err << write_hand_over(*handed, command.target,
                                 {.overwrite = command.force,
                                  .only = chosen_layers(command.words),
                                  .crs = command.words.crs,
                                  .licence = command.words.licence})
              << '\n';
  if (!command.words.crs.empty())
    if (const std::string caution = geodata::crs_caution(command.words.crs, handed->shared.snapshot());
        !caution.empty())
      console.err << caution << '\n';
  if (!handed->shared.hidden().empty()) console.err << "--preview lists what was left out or moved\n";
  return kDone;
}

int run_view(ViewOptions options, const std::optional<std::string>& screenshot,
             const std::optional<std::string>& script, const std::optional<std::string>& say_state,
             const std::optional<std::string>& frame_times, const Console& console) {
  if (screenshot) options.screenshot = *screenshot;
  if (script) options.script = *script;
  if (say_state) options.say_state = *say_state;
  if (frame_times) options.frame_times = *frame_times;
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
  Verb hand = verbs.add_for_survey(
      "export", "hand the survey over",
      [handed](const auto& survey, const Console& c) { return run_export(survey, *handed, c); });
  hand.word("OUT", handed->target,
            "a file ending in .gpkg, .geojson, .csv, .fgb, .kml, .gpx, or .zip (Darwin Core Archive)")
      .required()
      .flag("--force", handed->force, "replace a file that is already there");
  tell_hand_over_options(hand, handed->words,
                         "coordinates in EPSG:number (.gpkg and .fgb); default EPSG:4326");
  hand.footer(formats_footer);
  add_publish_verbs(verbs);
  add_share_verbs(verbs);

  struct ViewCommand {
    ViewOptions options;
    std::optional<std::string> screenshot, script, say_state, frame_times;
    std::string size;
    std::string method;
  };
  const auto view = std::make_shared<ViewCommand>();
  verbs
      .add("view", "open the window",
           [view](const Console& c) {
             if (!view->method.empty()) view->options.method = choose_method(view->method);
             return run_view(view->options, view->screenshot, view->script, view->say_state,
                             view->frame_times, c);
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
      .option(
          "--frame-times", view->frame_times,
          "write how long each frame of the window takes into this CSV file: frame,start_s,wall_ms,own_ms")
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
