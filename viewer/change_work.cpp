#include "viewer/change_work.hpp"

#include <algorithm>

#include "core/base/error.hpp"

namespace brookmark::viewer {
namespace {

const core::Change* find_change(const core::ChangeList& list, const std::string& id) {
  const auto at = std::find_if(list.changes.begin(), list.changes.end(),
                               [&](const core::Change& change) { return change.id == id; });
  return at == list.changes.end() ? nullptr : &*at;
}

bool is_same(const core::Change& a, const core::Change& b) {
  return a.kind == b.kind && a.state == b.state && a.base == b.base && a.theirs == b.theirs &&
         a.ours == b.ours;
}

}  // namespace

ChangePlan plan_changes(const core::Snapshot& snapshot, const std::filesystem::path& file) {
  geodata::Returned back = geodata::read_returned(file, snapshot);
  const core::SharedSurvey shared = core::share(snapshot, back.file.rules);
  core::ChangeList list = core::compare_returned(snapshot, shared, back.file, back.place_text);
  return {std::move(back), std::move(list)};
}

std::string take_changes(core::SurveyFile& survey, const std::filesystem::path& file, const ChangePlan& seen,
                         const std::vector<std::string>& ids) {
  if (ids.empty()) throw Error(ErrorCode::kBadUse, "No change was chosen, so there is nothing to take.");
  const core::Snapshot snapshot = survey.read();
  const ChangePlan now = plan_changes(snapshot, file);
  for (const std::string& id : ids) {
    const core::Change *before = find_change(seen.list, id), *after = find_change(now.list, id);
    if (!before || !after || !is_same(*before, *after))
      throw Error(
          ErrorCode::kBadInput,
          "The survey or their file was changed since this list was made, so nothing was taken; look at "
          "the changes again.",
          file.string());
  }
  const core::EditBatch batch = core::accept_changes(now.list, ids, snapshot, now.back.file);
  if (batch.edits.empty())
    throw Error(ErrorCode::kBadUse, "None of these changes can be taken.", file.string());
  survey.apply(batch);
  return "Took " + batch.summary + ".";
}

}  // namespace brookmark::viewer
