#include <algorithm>
#include <ostream>

#include "viewer/change_work.hpp"
#include "viewer/cli/change_commands_internal.hpp"

namespace brookmark::viewer {

int run_changes(const std::filesystem::path& survey, const std::filesystem::path& file,
                const std::vector<std::string>& accept, bool dry_run, const Console& console) {
  core::SurveyFile ours =
      core::SurveyFile::open(survey, accept.empty() || dry_run ? core::Access::kRead : core::Access::kEdit);
  const core::Snapshot snapshot = ours.read();
  const ChangePlan plan = plan_changes(snapshot, file);
  const core::ChangeList& list = plan.list;
  for (const std::string& note : list.notes) console.err << note << '\n';
  const std::string here = list.here.empty()       ? ""
                           : list.here.size() == 1 ? "1 change of the file stands in the survey already"
                                                   : std::to_string(list.here.size()) +
                                                         " changes of the file stand in the survey already";
  if (list.changes.empty() &&
      (accept.empty() || list.here.empty() || accept == std::vector<std::string>{"all"})) {
    console.err << "nothing in " << file.string()
                << (!list.here.empty()   ? " is left to take: " + here
                    : list.notes.empty() ? " differs from what left"
                                         : " can be taken")
                << '\n';
    return kAnswerIsNo;
  }
  if (accept.empty()) {
    Rows rows{{"change", "what", "state", "code", "column", "base", "theirs", "ours", "note"}, {}};
    for (const core::Change& change : list.changes)
      rows.add({text(change.id), text(core::change_kind_name(change.kind)),
                text(core::change_state_name(change.state)), text_or_empty(change.code),
                text_or_empty(change.column), text_or_empty(change.base), text_or_empty(change.theirs),
                text_or_empty(change.ours), text_or_empty(change.note)});
    console.rows(rows);
    if (!here.empty()) console.err << here << '\n';
    const auto possible = [](const core::Change& c) { return c.state != core::ChangeState::kImpossible; };
    const auto first = std::find_if(list.changes.begin(), list.changes.end(), possible);
    if (first == list.changes.end())
      console.err << "none of these can be taken; the column note says why\n";
    else
      console.err
          << "nothing was taken yet: --accept all takes those of state \"theirs\"; others by their own "
             "name, as in --accept "
          << first->id << '\n';
    return kDone;
  }
  const core::EditBatch batch = core::accept_changes(list, accept, snapshot, plan.back.file);
  if (batch.edits.empty()) {
    console.err << "nothing was taken: no change is theirs alone" << (here.empty() ? "" : " (" + here + ")")
                << "; name the ones to take\n";
    return kAnswerIsNo;
  }
  if (dry_run) {
    console.err << "nothing was written (--dry-run); would take " << batch.summary << '\n';
    return kDone;
  }
  ours.apply(batch);
  console.err << "took " << batch.summary << "; `brookmark undo` takes it back\n";
  return kDone;
}

}  // namespace brookmark::viewer
