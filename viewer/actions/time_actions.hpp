// Why: which samples the map speaks of: the day, the window of days that ends on it, the seasons, and the playing of
// them. Called by apply(); see the actions of the same meaning in actions.hpp.
#pragma once

#include "viewer/state/model.hpp"
#include "viewer/state/state.hpp"

namespace brookmark::viewer {

// Kept inside the survey's dates; stops what plays.
void set_date(State& state, const Model& model, core::Date date);
// To sampling days that the seasons asked for let pass; stays where there is none.
void step_date(State& state, const Model& model, int steps);
// So many days that end on the day shown, 1 to kLongestWindow; nothing: everything up to it.
inline constexpr int kLongestWindow = 36525;
void set_window(State& state, const Model& model, std::optional<int> days);
void choose_seasons(State& state, const Model& model, core::SeasonSet seasons);  // none means all
// What a tap on a season leaves: while all are asked for that one alone, else one more or less.
core::SeasonSet tapped(core::SeasonSet seasons, core::Season season);
// From the day shown on, or from the first day where the last one is shown.
void play(State& state, const Model& model, bool playing);
// The whole survey in this many seconds.
inline constexpr double kPlaySeconds = 24;
// While it plays, so much time has passed; at the last day it stops.
void play_on(State& state, const Model& model, double seconds);

// The sample behind the class on the map is opened: the reasons are one look away.
void open_sample_behind(State& state, const Model& model);

}  // namespace brookmark::viewer
