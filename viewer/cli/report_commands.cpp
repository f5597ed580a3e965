// `report`: what was found, for a landowner or a committee.
#include <memory>
#include <ostream>

#include "core/base/error.hpp"
#include "core/sharing/hand_over.hpp"
#include "geodata/output_file.hpp"
#include "geodata/vector_input.hpp"
#include "viewer/cli/hand_over_internal.hpp"
#include "viewer/cli/verbs.hpp"
#include "viewer/report/write_report.hpp"

namespace brookmark::viewer {

namespace {

struct ReportCommand {
  ScoreOptions score;
  std::filesystem::path target;
  std::string site, catchment, blur, without;
  bool force = false, preview = false;
};

int run_report(const std::filesystem::path& survey, const ReportCommand& command, const Console& console) {
  if (!command.preview) geodata::check_output(command.target, {survey}, command.force);
  const Session session = open_for(survey, console);
  ReportWish wish;
  wish.target = command.target;
  wish.method = choose_method(command.score.method);
  wish.metric = choose_metric(*wish.method, command.score.metric);
  wish.rules = rules_of(session.snapshot, command.score, command.blur, command.without);
  wish.site = command.site;
  wish.catchment = command.catchment;
  wish.replace = command.force;
  geodata::start_geodata();
  if (command.preview) {
    print_hidden(core::share(session.snapshot, wish.rules), console);
    return kDone;
  }
  const std::string sentence = write_report(session, wish);
  console.err << sentence << '\n';
  if (sentence.find("; left out or moved: ") != std::string::npos)
    console.err << "--preview lists what was left out or moved\n";
  return kDone;
}

}  // namespace

void add_report_verbs(Verbs& verbs) {
  const auto command = std::make_shared<ReportCommand>();
  verbs
      .add_for_survey(
          "report", "what was found, for a landowner or a committee: one page to read, print or send",
          [command](const auto& survey, const Console& c) { return run_report(survey, *command, c); })
      .word("OUT", command->target, "a file ending in .html (one page, no network needed) or .pdf")
      .required()
      .option("--site", command->site, "one page on this site alone")
      .option("--catchment", command->catchment, "on this catchment and what lies in it")
      .with_method(command->score, "default: the first of `brookmark methods`")
      .with_period(command->score)
      .option("--blur", command->blur, "least size of the grid cell for blurred sites, like 1km (default)")
      .option("--without", command->without, "people: name nobody, whoever agreed")
      .choices({"people"})
      .flag("--preview", command->preview, "list what stays at home or is moved, and write nothing")
      .flag("--force", command->force, "replace a file that is already there")
      .with_format()
      .footer([] {
        return "What may not leave (see `brookmark share`) is not in a report. With SOURCE_DATE_EPOCH set, "
               "the same survey "
               "gives the same bytes.";
      });
}

}  // namespace brookmark::viewer
