#include "viewer/actions/time_actions.hpp"

#include <algorithm>
#include <cmath>

namespace brookmark::viewer {
namespace {

// The day and what follows from it, whether it plays or not.
void show_day(State& state, const Model& model, core::Date date) {
  state.date = date;
  open_sample_behind(state, model);
}

bool is_south(const Model& model) {
  return model.frame().centre().lat < 0;
}

}  // namespace

void open_sample_behind(State& state, const Model& model) {
  state.sample.reset();
  state.later_open = false;
  if (!state.site) return;
  if (const core::Assessment* a = model.assessment(state.choice, state.period())) {
    const core::SiteAssessment& known = a->sites[state.site->value()];
    if (known.sample.has_value())
      state.sample = known.sample;
    else if (known.newest_sample.has_value())
      state.sample = known.newest_sample;
  }
}

void set_date(State& state, const Model& model, core::Date date) {
  const auto days = model.sampling_dates();
  if (days.empty()) return;
  state.time.playing = false;
  show_day(state, model, std::clamp(date, days.front(), days.back()));
}

void step_date(State& state, const Model& model, int steps) {
  const auto days = model.sampling_dates();
  if (days.empty() || !state.date || steps == 0) return;
  state.time.playing = false;
  std::optional<core::Date> reached;
  const auto passes = [&](core::Date day) {
    return state.time.seasons.has(core::season_of(day, is_south(model)));
  };
  if (steps > 0) {  // the first step goes to the first day after
    for (auto at = std::upper_bound(days.begin(), days.end(), *state.date); at != days.end() && steps > 0;
         ++at)
      if (passes(*at)) reached = *at, --steps;
  } else {
    for (auto at = std::lower_bound(days.begin(), days.end(), *state.date); at != days.begin() && steps < 0;)
      if (passes(*--at)) reached = *at, ++steps;
  }
  if (reached) show_day(state, model, *reached);
}

void set_window(State& state, const Model& model, std::optional<int> days) {
  state.time.window_days = days;
  if (days) state.time.window_days = std::clamp(*days, 1, kLongestWindow);
  open_sample_behind(state, model);
}

void choose_seasons(State& state, const Model& model, core::SeasonSet seasons) {
  state.time.seasons = seasons.empty() ? core::SeasonSet() : seasons;
  open_sample_behind(state, model);
}

core::SeasonSet tapped(core::SeasonSet seasons, core::Season season) {
  if (seasons.all()) return core::SeasonSet::of(season);
  const core::SeasonSet left = seasons.has(season) ? seasons.without(season) : seasons.with(season);
  return left.empty() ? core::SeasonSet() : left;
}

void play(State& state, const Model& model, bool playing) {
  const auto days = model.sampling_dates();
  state.time.playing = playing && days.size() > 1 && state.date;
  state.time.day_share = 0;
  if (state.time.playing && *state.date >= days.back()) show_day(state, model, days.front());
}

void play_on(State& state, const Model& model, double seconds) {
  const auto days = model.sampling_dates();
  if (!state.time.playing || days.empty() || !state.date || !(seconds > 0) || !std::isfinite(seconds)) return;
  const double span = days.back().days - days.front().days;
  const double passed = state.time.day_share + seconds * span / kPlaySeconds;
  const double whole = std::min(std::floor(passed), span);
  state.time.day_share = passed - std::floor(passed);
  if (whole < 1) return;
  const core::Date day{state.date->days + static_cast<std::int32_t>(whole)};
  if (day >= days.back()) state.time.playing = false;
  show_day(state, model, std::min(day, days.back()));
}

}  // namespace brookmark::viewer
