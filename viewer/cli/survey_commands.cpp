#include <ostream>

#include "core/analysis/check.hpp"
#include "core/store/survey_file.hpp"
#include "demo_area/demo.hpp"
#include "viewer/cli/verbs.hpp"
#include "viewer/sharing_words.hpp"
#include "viewer/survey_work.hpp"

namespace brookmark::viewer {

namespace {

int run_demo(const std::filesystem::path& survey, const Console& console) {
  demo::make_demo_survey(survey);
  console.err << "made " << survey.string() << ": an invented catchment, on nobody's land or river\n"
              << "next: brookmark view " << survey.string() << '\n';
  return kDone;
}

struct NewCommand {
  std::string title, crs;
};

int run_new(const std::filesystem::path& survey, const NewCommand& command, const Console& console) {
  create_survey(survey, command.title, command.crs);
  console.err << "made " << survey.string() << '\n'
              << "next: brookmark import " << survey.string() << " sites FILE\n";
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
  if (const std::string more = sharing_undone(*undone); !more.empty()) console.err << more << '\n';
  return kDone;
}

int run_redo(const std::filesystem::path& survey, const Console& console) {
  core::SurveyFile file = core::SurveyFile::open(survey, core::Access::kEdit);
  const auto again = file.redo();
  if (!again) {
    console.err << "there is nothing to do again: nothing was undone, or an edit was made since\n";
    return kAnswerIsNo;
  }
  console.err << "done again: " << again->kind << " (" << again->summary << ")\n";
  return kDone;
}

int run_log(const std::filesystem::path& survey, const Console& console) {
  const core::SurveyFile file = core::SurveyFile::open(survey, core::Access::kRead);
  Rows rows{{"number", "at_utc", "device", "edit", "summary", "undone", "can_be_undone", "redo_next"}, {}};
  for (const core::EditLogEntry& entry : file.log())
    rows.add({entry.number, text(entry.at_utc), text_or_empty(entry.device), text(entry.kind),
              text(entry.summary), entry.undone, entry.undoable && !entry.undone, entry.redo_next});
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

}  // namespace

void add_survey_verbs(Verbs& verbs) {
  verbs.add_for_survey("demo", "make the invented demo survey", run_demo);

  const auto created = std::make_shared<NewCommand>();
  verbs
      .add_for_survey(
          "new", "make an empty survey file",
          [created](const auto& survey, const Console& c) { return run_new(survey, *created, c); })
      .option("--title", created->title, "what the survey is called")
      .required()
      .option("--crs", created->crs,
              "coordinate system for display and exchange, EPSG:number; default EPSG:4326");

  verbs.add_for_survey("undo", "take back the newest edit or import", run_undo);
  verbs.add_for_survey("redo", "do again what was undone last", run_redo);
  verbs.add_for_survey("log", "list the edits of a survey", run_log).with_format();
  verbs.add_for_survey("check", "findings on the data", run_check).with_format();
}

}  // namespace brookmark::viewer
