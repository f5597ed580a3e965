#include "viewer/actions/map_actions.hpp"

#include <algorithm>
#include <cmath>
#include <filesystem>

namespace brookmark::viewer {
namespace {

// Taste, no source: the speed falls to a third in a third of a second; the hand's speed is that of its last tenth.
constexpr double kSlowing_s = 0.32, kHandMemory_s = 0.06;
constexpr double kLeastThrow_px_s = 120, kRest_px_s = 12, kMostThrow_px_s = 6000;
constexpr double kLongestStep_s = 0.1;  // after a sleep the map does not jump
constexpr double kAreaMargin = 1.25;
constexpr double kMostCovered = 0.6;  // of the map's height: where more is covered, all of it counts as free
constexpr double kFromEdge = 0.15;    // of what is free: so far inside comes what was outside
constexpr double kFoundAround_m = 200;  // of a place that was asked for

void measure_anew(Measure& measure, const Model& model) {
  measure.legs_m.clear();
  measure.along.reset();
  for (std::size_t i = 1; i < measure.corners.size(); ++i)
    measure.legs_m.push_back(core::geodesic_m(measure.corners[i - 1], measure.corners[i]));
  if (measure.corners.size() < 2 || model.session().channels.edges().empty()) return;
  const core::LonLat last = measure.corners.back();
  auto found = core::distances_to(model.session().channels, measure.corners.front(), {&last, 1},
                                  core::Direction::kAny);
  if (!found.empty()) measure.along = std::move(found.front());
}

}  // namespace

void carry_out(const Drag& a, State& state, const Model&) {
  state.view.centre.x -= a.dx * state.view.metres_per_pixel;
  state.view.centre.y += a.dy * state.view.metres_per_pixel;
  Glide& glide = state.map.glide;
  glide.held = true;
  if (!(a.seconds > 0)) return;
  const double kept = std::exp(-a.seconds / kHandMemory_s);
  glide.x_px_s = glide.x_px_s * kept + a.dx / a.seconds * (1 - kept);
  glide.y_px_s = glide.y_px_s * kept + a.dy / a.seconds * (1 - kept);
}

void carry_out(const LetGo&, State& state, const Model&) {
  Glide& glide = state.map.glide;
  const double speed = std::hypot(glide.x_px_s, glide.y_px_s);
  if (!glide.held || !(speed >= kLeastThrow_px_s)) {
    glide = {};
    return;
  }
  const double share = std::min(1.0, kMostThrow_px_s / speed);
  glide = {glide.x_px_s * share, glide.y_px_s * share, false};
}

void carry_out(const HoldMap&, State& state, const Model&) {
  state.map.glide = {0, 0, true};
}

void carry_out(const PassTime& a, State& state, const Model&) {
  Glide& glide = state.map.glide;
  if (!glide.moves() || !(a.seconds > 0)) return;
  const double seconds = std::min(a.seconds, kLongestStep_s), left = std::exp(-seconds / kSlowing_s);
  // The exact way under exponential slowing: the whole does not depend on how time is cut.
  const double way = kSlowing_s * (1 - left);
  state.view.centre.x -= glide.x_px_s * way * state.view.metres_per_pixel;
  state.view.centre.y += glide.y_px_s * way * state.view.metres_per_pixel;
  glide.x_px_s *= left;
  glide.y_px_s *= left;
  if (std::hypot(glide.x_px_s, glide.y_px_s) < kRest_px_s) glide = {};
}

void carry_out(const ShowArea& a, State& state, const Model&) {
  if (!std::isfinite(a.box.min_x + a.box.max_x + a.box.min_y + a.box.max_y)) return;
  state.map.glide = {};
  state.view.centre = {(a.box.min_x + a.box.max_x) / 2, (a.box.min_y + a.box.max_y) / 2};
  const double free_x = std::max(state.view.box.width, 1.0);
  const double free_y = std::max(state.view.box.height - state.covered_top_px, 1.0);
  const double scale =
      kAreaMargin * std::max((a.box.max_x - a.box.min_x) / free_x, (a.box.max_y - a.box.min_y) / free_y);
  if (scale > 0)
    state.view.metres_per_pixel = std::clamp(scale, kNearestMetresPerPixel, kFarthestMetresPerPixel);
  state.view.centre.y += state.covered_top_px / 2 * state.view.metres_per_pixel;
  state.view_chosen = true;
}

void carry_out(const GoToPlace& a, State& state, const Model& model) {
  if (!core::is_valid(a.at)) return;
  const core::PlanePoint p = model.frame().to_plane(a.at);
  if (!std::isfinite(p.x) || !std::isfinite(p.y)) return;
  state.map.found = a.at;
  carry_out(
      ShowArea{{p.x - kFoundAround_m, p.y - kFoundAround_m, p.x + kFoundAround_m, p.y + kFoundAround_m}},
      state, model);
}

void carry_out(const PointAt& a, State& state, const Model&) {
  state.map.pointer = a.place;
}

void carry_out(const StartMeasure&, State& state, const Model&) {
  if (state.edit.tool != EditTool::kNone) return;  // the next tap belongs to it
  state.map.measure = {};
  state.map.measure.on = true;
  state.picking_point = false;
  state.hover = {};
}

void carry_out(const AddCorner& a, State& state, const Model& model) {
  Measure& measure = state.map.measure;
  if (!measure.on || !core::is_valid(a.at) || measure.corners.size() >= kMostCorners) return;
  if (!measure.corners.empty() && measure.corners.back() == a.at) return;
  measure.corners.push_back(a.at);
  measure_anew(measure, model);
}

void carry_out(const DropCorner&, State& state, const Model& model) {
  Measure& measure = state.map.measure;
  if (measure.corners.empty()) return;
  measure.corners.pop_back();
  measure_anew(measure, model);
}

void carry_out(const EndMeasure&, State& state, const Model&) {
  state.map.measure = {};
}

void carry_out(const ShowBackground& a, State& state, const Model& model) {
  const auto& layers = model.snapshot().layers;
  const bool known =
      a.key && std::any_of(layers.begin(), layers.end(), [&](const auto& l) { return l.key == *a.key; });
  state.map.background = known ? a.key : std::nullopt;
  state.map.trial.reset();
}

void carry_out(const TryBackground& a, State& state, const Model&) {
  state.map.trial = a.file.empty() ? std::nullopt : std::optional(a.file);
}

void pan_into_view(State& state, core::PlanePoint place) {
  Viewport& view = state.view;
  const MapState& map = state.map;
  if (!std::isfinite(place.x) || !std::isfinite(place.y) || view.box.width < 1 || view.box.height < 1) return;
  PixelBox free = view.box;
  const double cover = state.covered_top_px + map.cards_top_px,
               foot = state.covered_bottom_px + map.cards_bottom_px;
  if (cover + foot < free.height * kMostCovered) {
    free.top += cover;
    free.height -= cover + foot;
  }
  const Pixel p = view.to_pixel(place);
  if (free.contains(p)) return;
  const double edge = std::min(free.width, free.height) * kFromEdge;
  Pixel wanted{std::clamp(p.x, free.left + edge, free.right() - edge),
               std::clamp(p.y, free.top + edge, free.bottom() - edge)};
  if (std::abs(p.x - wanted.x) > free.width / 2 || std::abs(p.y - wanted.y) > free.height / 2)
    wanted = {free.left + free.width / 2, free.top + free.height / 2};
  state.map.glide = {};
  view.centre.x += (p.x - wanted.x) * view.metres_per_pixel;
  view.centre.y -= (p.y - wanted.y) * view.metres_per_pixel;
}

void renew_map_state(State& state, const Model& model) {
  if (state.map.measure.on) measure_anew(state.map.measure, model);
  const auto trial = state.map.trial;
  carry_out(ShowBackground{state.map.background}, state, model);
  if (!trial) return;
  for (const core::BaseLayer& layer : model.snapshot().layers)
    if (std::filesystem::path(layer.file).lexically_normal() ==
        std::filesystem::absolute(*trial).lexically_normal()) {
      carry_out(ShowBackground{layer.key}, state, model);
      return;
    }
  state.map.trial = trial;
}

}  // namespace brookmark::viewer
