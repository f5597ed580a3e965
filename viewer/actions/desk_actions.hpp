// Why: what a person does with dialogs, the find box and the guided look. Carried out by apply() of actions.hpp like
// every other action; what takes long becomes an errand.
// Use: apply(OpenDialog{DialogKind::kOpen}, state, model);
#pragma once

#include <memory>
#include <set>
#include <string>
#include <variant>

#include "viewer/state/model.hpp"
#include "viewer/state/state.hpp"

namespace brookmark::viewer {

struct OpenDialog {
  DialogKind kind = DialogKind::kNone;
  core::ImportKind import_kind = core::ImportKind::kSites;  // of the import dialog
  std::string site_key = {};                                // of the dialog of a photo
  std::shared_ptr<const RoundWish> round = {};              // of the dialog of a field sheet
};
// Filled in further. A preview that no longer fits is let go; an import with a kind and a file is looked into at once.
struct ChangeDialog {
  Dialog dialog;
};
struct CloseDialog {};
// Does what the dialog is for. Nothing while something needed is missing.
struct RunDialog {};
struct OpenDemo {};
// As dropped on the window: a survey is opened, anything else is looked into for import.
struct DropFile {
  std::string path;
};
struct StopErrand {};
struct OpenFind {
  std::string text = {};
};
struct ChangeFind {
  Finding find;
};
struct CloseFind {};
// The list of sites on one spot: another row of it, and away.
struct LightSpot {
  std::size_t row = 0;
};
struct CloseSpot {};
struct StartGuide {};
struct StepGuide {
  int steps = 1;
};
struct EndGuide {};

using DeskAction =
    std::variant<OpenDialog, ChangeDialog, CloseDialog, RunDialog, OpenDemo, DropFile, StopErrand, OpenFind,
                 ChangeFind, CloseFind, LightSpot, CloseSpot, StartGuide, StepGuide, EndGuide>;

void apply_desk(const DeskAction& action, State& state, const Model& model);

// The file that a dialog names; empty where the name is.
std::string file_of(const Dialog& dialog);
// Of a partner's changes those that can be taken without a look: what only they changed.
std::set<std::string> safe_changes(const ChangePlan& plan);
// Why the dialog cannot be run yet, as a sentence; empty when it can.
std::string missing_in(const State& state, const Model& model);
// Whether something lies over the map and takes the keys.
bool desk_is_covered(const State& state);

}  // namespace brookmark::viewer
