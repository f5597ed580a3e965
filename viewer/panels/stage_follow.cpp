// The buffers of the map follow model and state, before a frame is drawn.
#include <imgui.h>

#include <algorithm>
#include <cmath>

#include "core/base/error.hpp"
#include "viewer/actions/map_actions.hpp"
#include "viewer/panels/stage_internal.hpp"

namespace brookmark::viewer {
namespace {

// Above this many sites in view, marks shrink until about this share of the map is covered; below a legible
// size the signs are left out (they are back when the map is nearer).
constexpr double kMostCover = 0.22;
constexpr double kHiddenPond_radii = 1.6, kWidePond_radii = 5;  // width of a pond, in radii of its mark
constexpr double kLargestRadius_ems = 0.69, kSmallestRadius_ems = 0.5, kLegibleRadius_ems = 0.5;
constexpr double kHaloOfMark = 0.275;         // of its radius, around it: as the painter draws it
constexpr std::size_t kMostSegments = 24000;  // of one kind of line in a frame
constexpr double kLowMap_ems = 16;
constexpr std::size_t kFewCatchments = 200;  // are cut into triangles at once

}  // namespace

void Stage::Impl::follow_state() {
  const std::optional<core::Period> period = state.period();
  const core::Assessment* assessment = model.assessment(state.choice, period);
  MapFrame& frame = paint.frame;
  if (marked_choice != state.choice || marked_period != period) {
    marked_choice = state.choice;
    marked_period = period;
    if (assessment) {
      site_marks = viewer::site_marks(*assessment, model.snapshot(), state.date);
      tally = tally_sites(*assessment, model.snapshot(), state.date);
      colours = mark_colours(assessment->metric_info().bands.size(), theme.ink, state.settings.class_colours);
    } else {
      site_marks.assign(model.snapshot().sites.size(), Mark{});
      tally = {};
      colours = mark_colours(0, theme.ink);
    }
    ++marks_made;
  }
  const AskedPaths asked{state.query.version, state.query_is_shown(), model.answers().places_are_known()};
  if (shown_query != asked || outfalls_date != state.date) {
    shown_query = asked;
    outfalls_date = state.date;
    outfall_marks = viewer::outfall_marks(model.snapshot(), asked.shown ? state.query : Query{}, state.date);
    paths = query_paths(state, model);
    ++frame.outfall_marks_version;
    ++frame.paths_version;
  }
  if (model.session().channels.edges().empty() && frame.reaches != nullptr) {  // undone to the last channel
    reaches = {};
    frame.reaches = nullptr;
    ++frame.reaches_version;
  }
  if ((state.layers[Layer::kReaches] || state.layers[Layer::kDrops]) &&
      !model.session().channels.edges().empty() &&
      (reaches_choice != state.choice || reaches_period != period)) {
    if (const auto known = model.answers().carried(state.choice, period)) {
      reaches_choice = state.choice;
      reaches_period = period;
      reaches = reach_paint(known->reaches, known->drops, model);
      frame.reaches = &reaches;
      ++frame.reaches_version;
    } else {  // those of before stay until these are worked out
      shown.moving = true;
    }
  }
  if (explanation.sample != state.sample || explanation.choice != state.choice) {
    explanation = {state.sample, state.choice, {}};
    if (assessment && state.sample)
      explanation.parts = core::explain_sample(model.snapshot(), *assessment->method,
                                               assessment->metric_info(), *state.sample);
  }
}

double Stage::Impl::covered_top() const {
  if (!layout.roomy) return 0;
  return shown.covered_top_px < 0 ? 3.6 * theme.em : shown.covered_top_px;
}

double Stage::Impl::covered_bottom() const {
  return layout.roomy && layout.map.height > kLowMap_ems * theme.em ? 2.4 * theme.em : 0;
}

bool Stage::Impl::follow_cards() {
  MapState& map = state.map;
  const bool changed = map.cards_top_px != shown.cards_top_px || map.cards_bottom_px != shown.cards_bottom_px;
  map.cards_top_px = shown.cards_top_px;
  map.cards_bottom_px = shown.cards_bottom_px;
  const Viewport before = state.view;
  if (std::exchange(map.just_fitted, false) && changed) {
    viewer::apply(Fit{}, state, model);
    map.just_fitted = false;
    map.given = state.view;
    map.asked.reset();
  }
  if (const auto place = std::exchange(stored_place, {}))
    pan_into_view(state, model.frame().to_plane(*place));
  return changed || !(state.view == before);
}

void Stage::Impl::move_on(float seconds) {
  if (!state.map.glide.moves()) return;
  actions.emplace_back(PassTime{seconds});
  shown.moving = true;
}

void Stage::Impl::follow_ground() {
  background.follow(state, model, std::max(ImGui::GetIO().DisplayFramebufferScale.x, 0.1F));
  paint.frame.tiles = background.tiles();
  paint.frame.tiles_generation = background.store().generation();
  paint.frame.shaded = background.status().info.look == core::LayerLook::kHillshade;
  const std::string& crs = model.snapshot().survey.crs;
  if (grid_of == crs) return;
  grid_of = crs;
  grid.reset();
  try {
    grid.emplace(crs);
    if (grid->is_geographic()) grid.reset();
  } catch (const Error&) {  // positions are then given in degrees
  }
}

void Stage::Impl::gather() {
  const std::optional<std::size_t> chosen = state.site ? std::optional(state.site->value()) : std::nullopt;
  gathered.follow(model, state.view, theme.em, chosen);
  if (sent_view && *sent_view == state.view && marks_sent == marks_made && marked_site == chosen &&
      gathered_sent == gathered.version())
    return;
  gathered_sent = gathered.version();
  sent_view = state.view;
  marks_sent = marks_made;
  marked_site = chosen;
  shown_places.clear();
  shown_marks.clear();
  for (const std::uint32_t i : gathered.singles()) {
    shown_places.push_back(scene.sites[i]);
    shown_marks.push_back(site_marks[i]);
  }
  shown_many.clear();
  shown_worst.clear();
  for (const std::uint32_t sign : gathered.signs()) {
    const ClusterLook& look = gathered.look(sign, site_marks, marks_made);
    shown_many.push_back(many_sites(gathered.clusters().clusters()[sign].place, look));
    shown_worst.push_back(worst_mark(look));
  }
  ++paint.frame.site_marks_version;
}

void Stage::Impl::choose_detail() {
  MapFrame& frame = paint.frame;
  const PlaneBox box = state.view.shown(12);
  const double scale =
      state.view.metres_per_pixel / std::max<double>(ImGui::GetIO().DisplayFramebufferScale.x, 0.1);
  pace.follow(state.view, ImGui::GetIO().DeltaTime);
  frame.most_segments = kMostSegments;
  const auto most = static_cast<std::size_t>(kMostSegments * pace.share());
  // A coarser grade with fewer segments rather than a part of them.
  const double coarse = scale / pace.share();
  frame.channels = scene.channels.choose(box, coarse, most);
  frame.catchments = scene.catchments.choose(box, coarse, most);
  frame.shores = scene.shores.choose(box, coarse, most);
  const core::Assessment* assessment = model.assessment(state.choice, state.period());
  if (!state.layers[Layer::kCatchmentClasses] || !assessment) {
    frame.areas = nullptr;
    return;
  }
  const CatchmentAreas* cut = areas.get(revision, [this] { return catchment_areas(model); });
  if (cut == nullptr && model.snapshot().catchments.size() <= kFewCatchments) {
    areas.settle();
    cut = areas.get(revision, [this] { return catchment_areas(model); });
  }
  frame.areas = cut;
  if (cut == nullptr) {
    shown.moving = true;
    return;
  }
  if (std::exchange(areas_of, revision) != revision) {
    ++frame.areas_version;
    fills_of = 0;
  }
  if (fills_of != marks_made) {
    fills = catchment_fills(*cut, *assessment);
    ++frame.fills_version;
  }
  fills_of = marks_made;
  frame.fills = fills;
}

float Stage::Impl::still_share(double radius_m) const {
  if (scene.typical_still_extent_m <= 0) return 1;
  const double radii = scene.typical_still_extent_m / radius_m;
  if (radii < kHiddenPond_radii || radii > kWidePond_radii) return 1;
  return 0.72F;
}

void Stage::Impl::fill_frame() {
  MapFrame& frame = paint.frame;
  frame.view = state.view;
  frame.layers = state.layers;
  frame.colours = colours;
  frame.scale = theme.scale;
  const double area = std::max(state.view.box.width * state.view.box.height, 1.0);
  const auto in_view = static_cast<double>(gathered.singles().size() + gathered.signs().size());
  const double ems = std::sqrt(kMostCover * area / (std::max(in_view, 1.0) * 3.14159)) / theme.em;
  // Nor does a mark hide the sign of its neighbour, if a smaller one leaves it free.
  const double apart = gathered.widest_mark_ems(state.view, kHaloOfMark);
  const double radius = std::clamp(std::min(ems, apart), kSmallestRadius_ems, kLargestRadius_ems);
  frame.site_radius_px = static_cast<float>(radius) * theme.em;
  frame.outfall_radius_px = 0.48F * theme.em;
  frame.still_share = still_share(radius * theme.em * state.view.metres_per_pixel);
  frame.show_signs = radius >= kLegibleRadius_ems;
  frame.digit_advance_px = 2 * std::round(theme.signs->GetCharAdvance('0') / 2);
  frame.font_texture = reinterpret_cast<std::uintptr_t>(ImGui::GetIO().Fonts->TexID);
  frame.site_places = shown_places;
  frame.many = shown_many;
  frame.many_worst = shown_worst;
  frame.many_radius_px = static_cast<float>(gathered.sign_radius_px());
  frame.many_worst_scale =
      std::min(1.0F, frame.many_radius_px * kWorstRadius * kSignHeight / theme.signs->FontSize);
  frame.site_marks = shown_marks;
  frame.outfall_marks = outfall_marks;
  frame.paths = &paths;
}

}  // namespace brookmark::viewer
