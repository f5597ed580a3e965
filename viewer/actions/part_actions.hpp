// Why: what is brought out on the map from a list (a sub-catchment, a falling stretch), and what is chosen by drawing on
// the map. Called by apply(); see the actions of the same meaning in actions.hpp.
#pragma once

#include "viewer/state/model.hpp"
#include "viewer/state/state.hpp"

namespace brookmark::viewer {

// By the pointer (pin false), or by a tap: again on the same takes it away. What is not in the survey is not lit. A tap
// also brings it into view.
void light(State& state, const Model& model, const Lit& lit, bool pin);
// What is lit now: by the pointer, else by the tap.
const Lit& lit_now(const State& state);

void start_lasso(State& state);
// One more corner, if it lies a little away from the last one.
void lasso_to(State& state, const Model& model, Pixel at);
// Closes the ring and chooses the sites inside; a ring of fewer than three corners is let go.
void end_lasso(State& state, const Model& model);

}  // namespace brookmark::viewer
