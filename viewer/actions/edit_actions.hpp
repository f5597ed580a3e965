// Why: sites, outfalls and reaches are put right on the map: place, drag, look, store. Each store is one edit in the
// survey file that can be taken back, in another run too.
// Use: apply(EditAction{TakeTool{EditTool::kAddSite}}, state, model);  apply(EditAction{TapEdit{{400, 300}}}, state, model);
#pragma once

#include <optional>
#include <string>
#include <variant>

#include "viewer/session_keeper.hpp"
#include "viewer/state/model.hpp"
#include "viewer/state/state.hpp"

namespace brookmark::viewer {

// What was begun with another tool is let go. kMoveSite takes the chosen site; kFixReach waits for a tap on one.
struct TakeTool {
  EditTool tool = EditTool::kNone;
};
// Places, takes up a vertex, puts one between two, or chooses the reach to be put right.
struct TapEdit {
  Pixel at;
  double reach_px = 14;
};
struct GrabEdit {  // a finger goes down: on a vertex, it is taken along
  Pixel at;
  double reach_px = 14;
};
struct DragEdit {
  Pixel at;
  double reach_px = 14;
};
struct DropEdit {};
struct PlaceEdit {  // by coordinates, as typed or as a script says
  core::LonLat at;
};
struct TypeEditCode {
  std::string words;
};
struct TypeEditName {
  std::string words;
};
struct ChooseEditWater {
  core::WaterKind kind = core::WaterKind::kUnknown;
};
struct ChooseEditOutfall {
  core::OutfallKind kind = core::OutfallKind::kUnknown;
};
struct SetTwoWay {
  bool two_way = false;
};
struct TurnReach {};      // the other way round
struct TakeOutVertex {};  // the chosen one
struct StepBackEdit {};   // of what is not stored yet
struct StoreEdit {};
struct SetStatus {  // of the chosen site, at once
  core::SiteStatus status = core::SiteStatus::kActive;
};
struct RemoveReach {};  // the reach being put right

using EditAction = std::variant<TakeTool, TapEdit, GrabEdit, DragEdit, DropEdit, PlaceEdit, TypeEditCode,
                                TypeEditName, ChooseEditWater, ChooseEditOutfall, SetTwoWay, TurnReach,
                                TakeOutVertex, StepBackEdit, StoreEdit, SetStatus, RemoveReach>;

void apply_edit(const EditAction& action, State& state, const Model& model);
// After the file was asked: what is stored is put down; what was refused stays in hand.
void settle_map_edit(const Order& order, const OrderOutcome& outcome, State& state);

// Where a vertex near a reach is put: onto its nearest point within the limit, drawn points before what lies between.
// Nothing where none is near. `but`: the key of a reach that is left out.
std::optional<EditVertex> joined_vertex(const Model& model, core::LonLat at, double limit_m,
                                        const std::string& but);
// "S08" after "S07"; for a survey without sites "S01".
std::string next_code(const std::vector<std::string>& codes, const std::string& otherwise);

}  // namespace brookmark::viewer
