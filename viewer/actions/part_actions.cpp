#include "viewer/actions/part_actions.hpp"

#include <algorithm>
#include <cmath>

#include "core/analysis/selection.hpp"

namespace brookmark::viewer {
namespace {

constexpr double kCorner_px = 4;  // corners of a drawn ring lie so far apart at least
constexpr double kFill = 0.8;     // of the map's side, for what is brought into view

Lit known(const Lit& lit, const Model& model) {
  const core::Snapshot& s = model.snapshot();
  Lit kept;
  if (lit.catchment && lit.catchment->value() < s.catchments.size()) kept.catchment = lit.catchment;
  if (lit.drop && lit.drop->first.value() < s.sites.size() && lit.drop->second.value() < s.sites.size())
    kept.drop = lit.drop;
  return kept;
}

std::vector<core::PlanePoint> corners_of(const Lit& lit, const Model& model) {
  std::vector<core::PlanePoint> corners;
  if (lit.catchment)
    if (const auto box = core::bounds_of(model.snapshot().catchments[lit.catchment->value()].shape)) {
      corners.push_back(model.frame().to_plane({box->min_lon, box->min_lat}));
      corners.push_back(model.frame().to_plane({box->max_lon, box->max_lat}));
    }
  if (lit.drop)
    for (const core::SiteIndex site : {lit.drop->first, lit.drop->second})
      corners.push_back(model.site_places()[site.value()]);
  return corners;
}

// Moves, and zooms out where it must; never nearer than a person has chosen.
void bring_into_view(State& state, const std::vector<core::PlanePoint>& corners) {
  if (corners.empty() || state.view.box.width < 1) return;
  double min_x = HUGE_VAL, max_x = -HUGE_VAL, min_y = HUGE_VAL, max_y = -HUGE_VAL;
  bool all_seen = true;
  for (const core::PlanePoint p : corners) {
    if (!std::isfinite(p.x) || !std::isfinite(p.y)) return;
    min_x = std::min(min_x, p.x), max_x = std::max(max_x, p.x);
    min_y = std::min(min_y, p.y), max_y = std::max(max_y, p.y);
    all_seen = all_seen && state.view.box.contains(state.view.to_pixel(p));
  }
  if (all_seen) return;
  state.view.centre = {(min_x + max_x) / 2, (min_y + max_y) / 2};
  const double wanted = std::max((max_x - min_x) / (state.view.box.width * kFill),
                                 (max_y - min_y) / (state.view.box.height * kFill));
  state.view.metres_per_pixel = std::clamp(std::max(state.view.metres_per_pixel, wanted),
                                           kNearestMetresPerPixel, kFarthestMetresPerPixel);
}

}  // namespace

void light(State& state, const Model& model, const Lit& lit, bool pin) {
  const Lit wanted = known(lit, model);
  const Lit before = lit_now(state);
  if (pin) {
    state.pinned = wanted == state.pinned ? Lit{} : wanted;
    if (state.pinned.any()) bring_into_view(state, corners_of(state.pinned, model));
    state.lit = state.pinned;
  } else {
    state.lit = wanted;
  }
  if (!(before == lit_now(state))) ++state.query.version;  // its lines are drawn with those of the query
}

const Lit& lit_now(const State& state) {
  return state.lit.any() ? state.lit : state.pinned;
}

void start_lasso(State& state) {
  state.lasso = {};
  state.lasso.armed = true;
  state.picking_point = false;
  state.hover = {};
}

void lasso_to(State& state, const Model& model, Pixel at) {
  if (!state.lasso.armed) return;
  if (!state.lasso.ring.empty()) {
    const Pixel last = state.view.to_pixel(model.frame().to_plane(state.lasso.ring.back()));
    if (std::hypot(at.x - last.x, at.y - last.y) < kCorner_px) return;
  }
  const core::LonLat corner = model.frame().to_lonlat(state.view.to_plane(at));
  if (core::is_valid(corner)) state.lasso.ring.push_back(corner);
}

void end_lasso(State& state, const Model& model) {
  if (!state.lasso.armed) return;
  state.lasso.armed = false;
  if (state.lasso.ring.size() < 3) {
    state.lasso = {};
    return;
  }
  state.lasso.sites = core::sites_within(model.snapshot(), state.lasso.ring);
  if (state.lasso.sites.empty()) {
    state.lasso = {};
    state.messages.push_back({Message::Kind::kDone, "No site lies inside what was drawn."});
    return;
  }
  state.table.selection_only = true;
}

}  // namespace brookmark::viewer
