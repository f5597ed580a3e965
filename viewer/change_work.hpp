// Why: a GeoPackage that was handed over comes back with a partner's changes. The command line and the window both list what
// differs and take what is accepted as one edit.
// Use: const ChangePlan plan = plan_changes(file.read(), "theirs.gpkg");
//      take_changes(file, "theirs.gpkg", plan, {"sites/UUID/name"});
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "core/intake/changes.hpp"
#include "core/store/survey_file.hpp"
#include "geodata/returned_gpkg.hpp"

namespace brookmark::viewer {

struct ChangePlan {
  geodata::Returned back;
  core::ChangeList list;
};
// Nothing is written. Throws what geodata::read_returned and core::compare_returned throw.
ChangePlan plan_changes(const core::Snapshot& snapshot, const std::filesystem::path& file);

// Takes the changes of these ids as one edit, and says how many. Both files are read anew: where a change is not any more
// what was seen, nothing is taken. Throws Error: kBadUse (a change that cannot be taken, or nothing chosen), kBadInput (it
// looks different now), and what reading and storing throw.
std::string take_changes(core::SurveyFile& survey, const std::filesystem::path& file, const ChangePlan& seen,
                         const std::vector<std::string>& ids);

}  // namespace brookmark::viewer
