// Why: what hands do to the map itself, apart from what they ask of the survey: throwing and catching it, measuring on it,
// laying a ground below it. Carried out by apply() of actions.hpp like every other action.
// Use: apply(Drag{12, 0, 0.016}, state, model);  apply(LetGo{}, state, model);  apply(PassTime{0.016}, state, model);
#pragma once

#include <optional>
#include <string>

#include "viewer/state/model.hpp"
#include "viewer/state/state.hpp"

namespace brookmark::viewer {

// A hand has moved the content by so many pixels in so many seconds.
struct Drag {
  double dx = 0, dy = 0;
  double seconds = 0;
};
struct LetGo {};    // what was moving fast enough glides on
struct HoldMap {};  // a hand is on the map: it stops at once
struct PassTime {   // a gliding map moves on and slows down
  double seconds = 0;
};
// Brought into view with a margin, never nearer than the map goes.
struct ShowArea {
  PlaneBox box;
};
// Coordinates that were typed: the map goes there, and a cross marks it.
struct GoToPlace {
  core::LonLat at;
};
struct PointAt {
  std::optional<core::PlanePoint> place;
};
// From then on a click on the map sets a corner. Begins anew.
struct StartMeasure {};
struct AddCorner {
  core::LonLat at;
};
struct DropCorner {};  // the newest
struct EndMeasure {};
// A layer of the survey by its key; nothing: none. What is not there is none.
struct ShowBackground {
  std::optional<std::string> key;
};

// A file, laid below the map without being named by the survey.
struct TryBackground {
  std::string file;
};

void carry_out(const Drag& action, State& state, const Model& model);
void carry_out(const LetGo& action, State& state, const Model& model);
void carry_out(const HoldMap& action, State& state, const Model& model);
void carry_out(const PassTime& action, State& state, const Model& model);
void carry_out(const ShowArea& action, State& state, const Model& model);
void carry_out(const GoToPlace& action, State& state, const Model& model);
void carry_out(const PointAt& action, State& state, const Model& model);
void carry_out(const StartMeasure& action, State& state, const Model& model);
void carry_out(const AddCorner& action, State& state, const Model& model);
void carry_out(const DropCorner& action, State& state, const Model& model);
void carry_out(const EndMeasure& action, State& state, const Model& model);
void carry_out(const ShowBackground& action, State& state, const Model& model);
void carry_out(const TryBackground& action, State& state, const Model& model);

// Moves the map, without coming nearer, as little as brings a place out from beyond its edge or from below what stands over
// it; from far away into the middle of what is free. Nothing where it can be seen.
void pan_into_view(State& state, core::PlanePoint place);

// After the survey was read anew: what is measured is measured again, a layer that has gone is taken away, and one
// that was on trial and is named now stays.
void renew_map_state(State& state, const Model& model);

}  // namespace brookmark::viewer
