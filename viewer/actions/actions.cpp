#include "viewer/actions/actions.hpp"
#include "viewer/actions/action_internal.hpp"

#include <algorithm>
#include <cmath>

#include "viewer/actions/map_actions.hpp"
#include "viewer/actions/part_actions.hpp"
#include "viewer/actions/time_actions.hpp"

namespace brookmark::viewer {
namespace {

constexpr double kFitMargin = 0.05;  // of the map's width, left free on each side
constexpr double kMostOfCards =
    0.5;  // of what is free of the map: where cards take more, the fit passes below them
constexpr double kSmallestExtent_m = 400;  // a single site is shown with its surroundings

double clamp_scale(double metres_per_pixel) {
  return std::clamp(metres_per_pixel, kNearestMetresPerPixel, kFarthestMetresPerPixel);
}

void zoom_at(Viewport& view, double factor, Pixel at) {
  if (!(factor > 0) || !std::isfinite(factor)) return;
  const core::PlanePoint kept = view.to_plane(at);
  view.metres_per_pixel = clamp_scale(view.metres_per_pixel / factor);
  const core::PlanePoint moved = view.to_plane(at);
  view.centre.x += kept.x - moved.x;
  view.centre.y += kept.y - moved.y;
}

Viewport fitted(const Model& model, const PixelBox& place, double covered_top_px, double covered_bottom_px) {
  Viewport view;
  view.box = place;
  const PlaneBox box = model.bounds().value_or(model.opening_box());
  view.centre = {(box.min_x + box.max_x) / 2, (box.min_y + box.max_y) / 2};
  const double extent_x = std::max(box.max_x - box.min_x, kSmallestExtent_m);
  const double extent_y = std::max(box.max_y - box.min_y, kSmallestExtent_m);
  const double free_x = std::max(place.width * (1 - 2 * kFitMargin), 1.0);
  const double free_y =
      std::max((place.height - covered_top_px - covered_bottom_px) * (1 - 2 * kFitMargin), 1.0);
  view.metres_per_pixel = clamp_scale(std::max(extent_x / free_x, extent_y / free_y));
  view.centre.y += (covered_top_px - covered_bottom_px) / 2 * view.metres_per_pixel;
  return view;
}

void fit(State& state, const Model& model) {
  MapState& map = state.map;
  map.glide = {};
  // In a low map cards cover nearly all: then what is below them is seen when they are put away.
  const double free = state.view.box.height - state.covered_top_px - state.covered_bottom_px;
  const bool keep_clear = map.cards_top_px + map.cards_bottom_px < free * kMostOfCards;
  map.fitted_top_px = keep_clear ? map.cards_top_px : 0;
  map.fitted_bottom_px = keep_clear ? map.cards_bottom_px : 0;
  map.just_fitted = true;
  state.view = fitted(model, state.view.box, state.covered_top_px + map.fitted_top_px,
                      state.covered_bottom_px + map.fitted_bottom_px);
  state.view_chosen = true;
}

bool same_ground(const Viewport& a, const Viewport& b) {
  return a.centre == b.centre && a.metres_per_pixel == b.metres_per_pixel;
}

void answer(Query& query, const Model& model) {
  ++query.version;
  query.focus.reset();
  query.distances.clear();
  if (query.from == Query::From::kNone) return;
  std::vector<core::LonLat> places;
  for (const core::Outfall& o : model.snapshot().outfalls) places.push_back(o.position);
  query.distances =
      core::distances_to(model.session().channels, query.point, places, query.direction, query.max_snap_m);
}

void select_site(State& state, const Model& model, core::SiteIndex site) {
  state.site = site;
  state.outfall.reset();
  state.page = Page::kSite;
  state.panel_open = true;
  open_sample_behind(state, model);
}

// In rising order.
std::vector<core::SiteIndex> sites_in(const Model& model, const PlaneBox& box) {
  std::vector<std::uint32_t> rows = model.site_grid().inside(box);
  std::sort(rows.begin(), rows.end());
  std::vector<core::SiteIndex> sites;
  sites.reserve(rows.size());
  for (const std::uint32_t row : rows) sites.emplace_back(row);
  return sites;
}

struct Apply {
  State& state;
  const Model& model;

  void operator()(const Pan& a) const {
    state.map.glide = {};
    state.view.centre.x -= a.dx * state.view.metres_per_pixel;
    state.view.centre.y += a.dy * state.view.metres_per_pixel;
  }
  void operator()(const ZoomAt& a) const {
    state.map.glide = {};
    zoom_at(state.view, a.factor, a.at);
  }
  void operator()(const ZoomCentre& a) const {
    state.map.glide = {};
    const PixelBox& box = state.view.box;
    zoom_at(state.view, a.factor, {box.left + box.width / 2, box.top + box.height / 2});
  }
  void operator()(const Fit&) const { fit(state, model); }
  void operator()(const SetDate& a) const { set_date(state, model, a.date); }
  void operator()(const StepDate& a) const { step_date(state, model, a.steps); }
  void operator()(const SetWindow& a) const { set_window(state, model, a.days); }
  void operator()(const ChooseSeasons& a) const { choose_seasons(state, model, a.seasons); }
  void operator()(const PlayTime& a) const { play(state, model, a.playing); }
  void operator()(const PlayOn& a) const { play_on(state, model, a.seconds); }
  void operator()(const ChooseMetric& a) const {
    const auto methods = model.methods();
    if (a.choice.method < methods.size() && a.choice.metric < methods[a.choice.method]->metrics.size()) {
      state.choice = a.choice;
      open_sample_behind(state, model);
    }
  }
  // What viewer/actions/map_actions.hpp tells.
  template <class MapAction>
  void operator()(const MapAction& a) const {
    carry_out(a, state, model);
  }
  void operator()(const ClickMap& a) const {
    if (state.edit.tool != EditTool::kNone) {
      apply_edit(TapEdit{a.at, a.reach_px}, state, model);
      return;
    }
    if (state.map.measure.on) {
      carry_out(AddCorner{model.frame().to_lonlat(state.view.to_plane(a.at))}, state, model);
      return;
    }
    if (state.picking_point) {
      (*this)(QueryFromPoint{model.frame().to_lonlat(state.view.to_plane(a.at))});
      return;
    }
    const Picked found = pick(state, model, a.at, a.reach_px);
    const std::vector<core::SiteIndex> sites =
        a.gathered && state.layers[Layer::kSites] ? sites_in(model, *a.gathered) : found.sites;
    if (sites.size() > 1) {
      const auto chosen = std::find(sites.begin(), sites.end(), state.site.value_or(sites.front()));
      const auto row = chosen == sites.end() ? 0 : chosen - sites.begin();
      state.desk.spot = {sites, static_cast<std::size_t>(row)};
      state.hover = {};
    } else if (found.site) {
      select_site(state, model, *found.site);
    } else if (found.outfall) {
      (*this)(SelectOutfall{*found.outfall});
    } else {
      state.site.reset();
      state.outfall.reset();
      state.sample.reset();
      if (state.page == Page::kSite) state.page = Page::kKey;
    }
  }
  void operator()(const HoverMap& a) const {
    state.hover = {};
    if (!a.at || state.picking_point || state.map.measure.on || state.edit.tool != EditTool::kNone) return;
    if (a.outfall && a.outfall->value() < model.snapshot().outfalls.size()) {
      state.hover.outfall = a.outfall;
      return;
    }
    const Picked found = pick(state, model, *a.at, a.reach_px);
    state.hover = {found.site, found.outfall};
  }
  void operator()(const SelectSite& a) const {
    if (a.site.value() >= model.snapshot().sites.size()) return;
    select_site(state, model, a.site);
    pan_into_view(state, model.site_places()[a.site.value()]);
  }
  void operator()(const SelectOutfall& a) const {
    if (a.outfall.value() >= model.snapshot().outfalls.size()) return;
    state.outfall = a.outfall;
    state.site.reset();
    state.sample.reset();
    state.page = Page::kSite;
    state.panel_open = true;
    const core::LonLat place = model.snapshot().outfalls[a.outfall.value()].position;
    if (core::is_placed(place)) pan_into_view(state, model.frame().to_plane(place));
  }
  void operator()(const OpenSample& a) const {
    if (state.sample == a.sample)
      state.sample.reset();
    else
      state.sample = a.sample;
  }
  void operator()(const ShowLater& a) const { state.later_open = a.shown; }
  void operator()(const StartPointPick&) const {
    state.picking_point = true;
    state.map.measure = {};
    state.page = Page::kDistance;
    state.hover = {};
  }
  void operator()(const QueryFromSite& a) const {
    if (a.site.value() >= model.snapshot().sites.size()) return;
    const core::SiteColumns& sites = model.snapshot().sites;
    state.query.point = sites.position[a.site.value()];
    const bool placed = core::is_placed(state.query.point);
    state.query.from = placed ? Query::From::kSite : Query::From::kNone;
    state.query.site = a.site;
    state.query.max_snap_m =
        core::snap_limit_m(sites.kind[a.site.value()], model.session().channels.options());
    start();
  }
  void operator()(const QueryFromPoint& a) const {
    if (!core::is_valid(a.point)) return;
    state.query.from = Query::From::kPoint;
    state.query.point = a.point;
    state.query.max_snap_m.reset();
    start();
  }
  void operator()(const SetDirection& a) const {
    state.query.direction = a.direction;
    answer(state.query, model);
  }
  void operator()(const FocusTarget& a) const {
    state.query.focus = a.row && *a.row < state.query.distances.size() ? a.row : std::nullopt;
    ++state.query.version;
  }
  void operator()(const ClearQuery&) const {
    state.query.from = Query::From::kNone;
    state.picking_point = false;
    answer(state.query, model);
  }
  void operator()(const ClearAll&) const {
    if (state.entry) {
      const bool in_name = state.entry->chosen || !state.entry->typed.empty();
      apply_entry(in_name ? EntryAction{LeaveName{}} : EntryAction{CloseEntry{}}, state, model);
    } else if (state.time.playing)
      state.time.playing = false;
    else if (state.edit.tool != EditTool::kNone)
      state.edit = {};
    else if (state.lasso.armed)
      state.lasso = {};
    else if (state.picking_point)
      state.picking_point = false;
    else if (state.map.found)
      state.map.found.reset();
    else if (state.map.measure.on)
      state.map.measure = {};
    else if (state.query.from != Query::From::kNone)
      (*this)(ClearQuery{});
    else if (state.pinned.any())
      light(state, model, state.pinned, true);
    else if (!state.lasso.ring.empty())
      state.lasso = {};
    else {
      state.site.reset();
      state.outfall.reset();
      state.sample.reset();
      state.page = Page::kKey;
    }
  }
  void operator()(const ShowPage& a) const {
    state.page = a.page;
    state.panel_open = true;
    if (a.page != Page::kDistance || !state.site || state.query.from == Query::From::kPoint) return;
    if (state.query.from == Query::From::kNone || state.query.site != *state.site)
      (*this)(QueryFromSite{*state.site});
  }
  void operator()(const ShowPanel& a) const { state.panel_open = a.open; }
  void operator()(const ShowLayer& a) const {
    state.layers.shown[static_cast<std::size_t>(a.layer)] = a.shown;
  }
  void operator()(const EditAction& a) const { apply_edit(a, state, model); }
  void operator()(const EntryAction& a) const { apply_entry(a, state, model); }
  void operator()(const ShowSiteView& a) const { state.site_view = a.view; }
  void operator()(const Light& a) const { light(state, model, a.lit, a.pin); }
  void operator()(const AskUpstream& a) const {
    state.query.upstream = a.asked;
    ++state.query.version;
  }
  void operator()(const StartLasso&) const { start_lasso(state); }
  void operator()(const LassoTo& a) const { lasso_to(state, model, a.at); }
  void operator()(const EndLasso&) const { end_lasso(state, model); }
  void operator()(const ClearLasso&) const { state.lasso = {}; }
  void operator()(const SetTable& a) const { state.table = a.choice; }
  void operator()(const StoreEdits& a) const {
    if (!a.batch.edits.empty()) state.orders.push_back({.batch = a.batch});
  }
  void operator()(const UndoEdit&) const { state.orders.push_back({.what = Order::What::kUndo}); }
  void operator()(const RedoEdit&) const { state.orders.push_back({.what = Order::What::kRedo}); }
  void operator()(const Say& a) const { state.messages.push_back(a.message); }
  void operator()(const PutAwayMessage& a) const {
    if (a.at < state.messages.size())
      state.messages.erase(state.messages.begin() + static_cast<std::ptrdiff_t>(a.at));
  }

  void operator()(const SuggestAction& a) const { apply_suggest(a, state, model); }
  void operator()(const DeskAction& a) const { apply_desk(a, state, model); }
  void operator()(const ChangeSettings& a) const { state.settings = within_limits(a.settings); }

 private:
  void start() const {
    state.picking_point = false;
    state.page = Page::kDistance;
    state.panel_open = true;
    answer(state.query, model);
    if (state.query.from != Query::From::kNone)
      pan_into_view(state, model.frame().to_plane(state.query.point));
  }
};

}  // namespace

namespace {
constexpr std::size_t kMostEdgesAtOnce = 20000;
}

State opening_state(const Model& model) {
  State state;
  if (!model.sampling_dates().empty()) state.date = model.sampling_dates().back();
  // On a very large network what is known of it takes its time to work out at each day: only when asked for.
  const bool quick = model.session().channels.edges().size() <= kMostEdgesAtOnce &&
                     model.snapshot().sites.size() <= kMostEdgesAtOnce;
  state.layers.shown[static_cast<std::size_t>(Layer::kReaches)] = quick;
  state.layers.shown[static_cast<std::size_t>(Layer::kDrops)] = quick;
  for (const core::BaseLayer& layer : model.snapshot().layers)
    if (layer.shown && !state.map.background) state.map.background = layer.key;
  return state;
}

void place_map(State& state, const Model& model, const PixelBox& box, double covered_top_px,
               double covered_bottom_px) {
  const Viewport before = state.view;
  const double top_before = state.covered_top_px, bottom_before = state.covered_bottom_px;
  state.view.box = box;
  state.covered_top_px = covered_top_px;
  state.covered_bottom_px = covered_bottom_px;
  if (box.width <= 1 || box.height <= 1) return;
  MapState& map = state.map;
  if (!state.view_chosen) {
    map.asked.reset();  // of another plane, where the survey was empty before
    fit(state, model);
  } else if (!(map.given && same_ground(*map.given, before))) {
    map.asked = before.box.width > 1 ? before : state.view;  // somebody has moved it
    map.given = before;
    // What shows everything goes on showing everything.
    if (same_ground(before, fitted(model, before.box, top_before + map.fitted_top_px,
                                   bottom_before + map.fitted_bottom_px)))
      map.asked.reset();
  }
  if (state.view_chosen && map.given && !map.asked) {
    state.view =
        fitted(model, box, covered_top_px + map.fitted_top_px, covered_bottom_px + map.fitted_bottom_px);
  } else if (map.asked) {
    // A window that grows shows the same ground larger; a page that closes at its side changes one side alone.
    const double smaller = std::max(map.asked->box.width / box.width, map.asked->box.height / box.height);
    state.view.centre = map.asked->centre;
    state.view.metres_per_pixel = clamp_scale(map.asked->metres_per_pixel * smaller);
  }
  map.given = state.view;
}

void apply(const Action& action, State& state, const Model& model) {
  std::visit(Apply{state, model}, action.any());
}

Picked pick(const State& state, const Model& model, Pixel at, double reach_px) {
  const core::PlanePoint place = state.view.to_plane(at);
  const double reach = reach_px * state.view.metres_per_pixel;
  const PlaneBox around{place.x - reach, place.y - reach, place.x + reach, place.y + reach};
  const auto distance = [&](core::PlanePoint p) { return std::hypot(p.x - place.x, p.y - place.y); };

  double nearest_site = reach, nearest_outfall = reach;
  std::vector<std::uint32_t> sites;
  if (state.layers[Layer::kSites]) sites = model.site_grid().inside(around);
  std::sort(sites.begin(), sites.end());
  core::PlanePoint spot = place;
  for (const std::uint32_t i : sites)
    if (const double d = distance(model.site_places()[i]); d < nearest_site) {
      nearest_site = d;
      spot = model.site_places()[i];
    }
  std::vector<core::SiteIndex> together;
  for (const std::uint32_t i : sites) {
    const core::PlanePoint p = model.site_places()[i];
    if (distance(p) <= reach && std::hypot(p.x - spot.x, p.y - spot.y) <= 0.5 * state.view.metres_per_pixel)
      together.emplace_back(i);
  }
  std::optional<std::uint32_t> outfall;
  if (state.layers[Layer::kOutfalls])
    for (const std::uint32_t i : model.outfall_grid().inside(around))
      if (const double d = distance(model.outfall_places()[i]); d <= nearest_outfall) {
        if (outfall && d == nearest_outfall) continue;
        nearest_outfall = d;
        outfall = i;
      }
  if (!together.empty() && (!outfall || nearest_site <= nearest_outfall))
    return {together.front(), {}, std::move(together)};
  if (outfall) return {{}, core::OutfallIndex(*outfall), {}};
  return {};
}

std::optional<Choice> find_choice(const Model& model, std::string_view method_id,
                                  std::string_view metric_id) {
  const auto methods = model.methods();
  for (std::size_t m = 0; m < methods.size(); ++m) {
    if (methods[m]->id != method_id) continue;
    if (metric_id.empty()) return Choice{m, 0};
    for (std::size_t k = 0; k < methods[m]->metrics.size(); ++k)
      if (methods[m]->metrics[k].id == metric_id) return Choice{m, k};
  }
  return std::nullopt;
}

}  // namespace brookmark::viewer
