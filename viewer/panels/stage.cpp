#include "viewer/panels/stage.hpp"

#include <imgui.h>

#include <algorithm>
#include <atomic>
#include <cmath>

#include "core/base/error.hpp"
#include "viewer/errand_runner.hpp"
#include "viewer/panels/desk_internal.hpp"
#include "viewer/panels/map_parts_internal.hpp"
#include "viewer/panels/pace.hpp"
#include "viewer/panels/pages_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/state/anchors.hpp"

namespace brookmark::viewer {
namespace {

// Above this many sites in view, marks shrink until about this share of the map is covered; below a legible
// size the signs are left out (they are back when the map is nearer).
constexpr double kMostCover = 0.22;
constexpr double kHiddenPond_radii = 1.6, kWidePond_radii = 5;  // width of a pond, in radii of its mark
constexpr double kLargestRadius_ems = 0.69, kSmallestRadius_ems = 0.5, kLegibleRadius_ems = 0.5;
constexpr std::size_t kMostSegments = 24000;  // of one kind of line in a frame
constexpr double kLowMap_ems = 16;
constexpr std::size_t kFewCatchments = 200;  // are cut into triangles at once

}  // namespace

struct Stage::Impl {
  const Model& model;
  State state;
  MapScene scene;
  Display display;
  std::optional<Display> themed_display;
  std::optional<Settings> themed_settings;
  Theme theme;
  Layout layout;
  Actions actions;
  Explanation explanation;
  PaintCall paint;
  Shown shown;
  MarkColours colours;
  std::vector<Mark> site_marks, outfall_marks;
  SiteTally tally;
  QueryPaths paths;
  ReachPaint reaches;
  // What the buffers above were made for.
  std::optional<Choice> marked_choice;
  std::optional<core::Period> marked_period, reaches_period;
  std::optional<core::Date> outfalls_date;
  struct AskedPaths {
    std::uint32_t version = 0;
    bool shown = false, places_known = false;  // what lies upstream comes later in a large survey
    bool operator==(const AskedPaths&) const = default;
  };
  std::optional<AskedPaths> shown_query;
  std::optional<Choice> reaches_choice;

  Background background;
  GatheredSites gathered;
  Pace pace;
  std::optional<std::size_t> marked_site;  // stands alone
  std::uint64_t marks_made = 0, marks_sent = 0, gathered_sent = 0;
  std::optional<Viewport> sent_view;
  std::vector<Point2f> shown_places;
  std::vector<Mark> shown_marks, shown_worst;
  std::vector<ManySites> shown_many;
  Deferred<std::uint64_t, CatchmentAreas> areas;  // by the revision of the model
  std::uint64_t areas_of = 0;
  std::vector<FillGroup> fills;
  std::uint64_t fills_of = 0;
  std::optional<core::CrsConverter> grid;
  std::string grid_of = "none yet";

  SessionKeeper* keeper = nullptr;
  bool laid_out = false, redrawn = false;
  DeskView desk;
  bool index_is_made = false;
  std::atomic<bool> news = false;  // of an errand
  std::function<void()> waker;
  ErrandRunner errands{[this] {
    news = true;
    if (waker) waker();
  }};
  std::uint64_t revision = 0;  // of the model that the buffers were made from

  Impl(const Model& m, const Display& d, const Settings& settings)
      : model(m), state(opening_state(m)), scene(m), display(d), revision(m.revision()) {
    state.settings = within_limits(settings);
  }

  void carry_out_orders() {
    while (!state.orders.empty()) {
      const Order order = std::move(state.orders.front());
      state.orders.erase(state.orders.begin());
      const Anchors anchors = anchors_of(state, model);
      OrderOutcome outcome;
      outcome.trouble = !keeper;
      areas.settle();  // reads the model
      if (keeper)
        outcome = keeper->carry_out(order);
      else
        outcome.sentence = "Here the survey can only be looked at; it was opened without a way to change it.";
      if (outcome.reread) {
        find_again(anchors, state, model);
        refill_sheet(state, model);
        renew_map_state(state, model);
      }
      settle_sheet(order, outcome, state);
      settle_map_edit(order, outcome, state);
      if (outcome.trouble)
        state.messages.push_back({Message::Kind::kTrouble, outcome.sentence});
      else if (!outcome.sentence.empty() && order.reread)
        state.messages.push_back({Message::Kind::kDone, outcome.sentence});
    }
    follow_model();
  }

  // Work on whole files: what was asked is begun, what has ended is taken over.
  void run_errands() {
    if (std::exchange(state.desk.stop_errand, false)) errands.stop();
    if (std::optional<ErrandHome> home = errands.collect()) take_home(std::move(*home));
    if (!state.desk.errands.empty() && errands.start(state.desk.errands.front()))
      state.desk.errands.erase(state.desk.errands.begin());
    state.desk.running = errands.progress();
  }

  void take_home(ErrandHome home) {
    if (home.trouble && state.desk.dialog.kind != DialogKind::kNone)
      state.desk.trouble = home.sentence;
    else if (!home.sentence.empty())
      state.messages.push_back(
          {home.trouble ? Message::Kind::kTrouble : Message::Kind::kDone, home.sentence});
    if (home.trouble || home.stopped) return;
    if (home.preview) {
      state.desk.preview = std::move(home.preview);
      return;
    }
    if (home.leaving) {
      const DialogKind kind = state.desk.dialog.kind;
      if (kind == DialogKind::kHandOver || kind == DialogKind::kReport)
        state.desk.leaving = std::move(home.leaving);
      return;
    }
    if (home.changes) {
      if (state.desk.dialog.kind != DialogKind::kChanges) return;
      state.desk.changes = std::move(home.changes);
      state.desk.dialog.taken = safe_changes(*state.desk.changes);
      return;
    }
    state.desk.dialog = {};
    state.desk.preview.reset();
    state.desk.leaving.reset();
    state.desk.changes.reset();
    if (!home.session) return;
    if (!keeper) {
      state.messages.push_back({Message::Kind::kTrouble, "Here no other survey can be opened."});
      return;
    }
    const bool same = home.session->path == model.session().path;
    const Anchors anchors = anchors_of(state, model);
    areas.settle();
    keeper->take_over(std::move(*home.session));
    if (same) {
      find_again(anchors, state, model);
    } else {  // another survey: everything but what is the person's own begins anew
      State fresh = opening_state(model);
      fresh.settings = state.settings;
      fresh.messages = std::move(state.messages);
      fresh.query.version = state.query.version + 1;
      state = std::move(fresh);
      laid_out = false;
      if (!state.settings.guide_seen) viewer::apply(StartGuide{}, state, model);
    }
    follow_model();
  }

  // After the model was read anew.
  void follow_model() {
    if (revision == model.revision()) return;
    revision = model.revision();
    scene = MapScene(model);
    desk.index = {};
    index_is_made = false;
    if (paint.painter) paint.painter->load(scene);
    marked_choice.reset();
    shown_query.reset();
    reaches_choice.reset();
    explanation = {};
    if (state.query.from != Query::From::kNone)
      viewer::apply(SetDirection{state.query.direction}, state, model);
    ++state.query.version;
  }

  void follow_state() {
    const std::optional<core::Period> period = state.period();
    const core::Assessment* assessment = model.assessment(state.choice, period);
    MapFrame& frame = paint.frame;
    if (marked_choice != state.choice || marked_period != period) {
      marked_choice = state.choice;
      marked_period = period;
      if (assessment) {
        site_marks = viewer::site_marks(*assessment, model.snapshot(), state.date);
        tally = tally_sites(*assessment, model.snapshot(), state.date);
        colours =
            mark_colours(assessment->metric_info().bands.size(), theme.ink, state.settings.class_colours);
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
      outfall_marks =
          viewer::outfall_marks(model.snapshot(), asked.shown ? state.query : Query{}, state.date);
      paths = query_paths(state, model);
      ++frame.outfall_marks_version;
      ++frame.paths_version;
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

  // By the strip of classes; before it was drawn once, as high as it mostly is.
  double covered_top() const {
    if (!layout.roomy) return 0;
    return shown.covered_top_px < 0 ? 3.6 * theme.em : shown.covered_top_px;
  }

  // By scale bar and position; a low map has no room to spare for them.
  double covered_bottom() const {
    return layout.roomy && layout.map.height > kLowMap_ems * theme.em ? 2.4 * theme.em : 0;
  }

  // A thrown map glides on; news of the ground are drawn.
  void move_on(float seconds) {
    if (!state.map.glide.moves()) return;
    actions.emplace_back(PassTime{seconds});
    shown.moving = true;
  }

  void follow_ground() {
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

  // Sites in view that stand alone go to the painter; the others are under their signs.
  void gather() {
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

  // As much of the lines as can be seen, and no more than is drawn in time.
  void choose_detail() {
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

  // Where a pond is about as wide as its mark, the mark grows smaller, so that the water can be seen; it is
  // itself again where the pond is hidden below it anyway, or much wider.
  float still_share(double radius_m) const {
    if (scene.typical_still_extent_m <= 0) return 1;
    const double radii = scene.typical_still_extent_m / radius_m;
    if (radii < kHiddenPond_radii || radii > kWidePond_radii) return 1;
    return 0.72F;
  }

  void fill_frame() {
    MapFrame& frame = paint.frame;
    frame.view = state.view;
    frame.layers = state.layers;
    frame.colours = colours;
    frame.scale = theme.scale;
    const double area = std::max(state.view.box.width * state.view.box.height, 1.0);
    const auto in_view = static_cast<double>(gathered.singles().size() + gathered.signs().size());
    const double ems = std::sqrt(kMostCover * area / (std::max(in_view, 1.0) * 3.14159)) / theme.em;
    const double radius = std::clamp(ems, kSmallestRadius_ems, kLargestRadius_ems);
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
};

Stage::Stage(const Model& model, const Display& display, const Settings& settings) {
  IMGUI_CHECKVERSION();
  ImGui::CreateContext();
  ImGuiIO& io = ImGui::GetIO();
  io.IniFilename = nullptr;  // nothing is written into the folder one happens to stand in
  io.LogFilename = nullptr;
  io.ConfigFlags |= ImGuiConfigFlags_NavEnableKeyboard;
  io.ConfigInputTextCursorBlink = false;
  // Without a back end the keys are known by their own numbers.
  for (int key = 0; key < ImGuiKey_COUNT; ++key) io.KeyMap[key] = key;
  impl_ = std::make_unique<Impl>(model, display, settings);
  renew_theme();
}

Stage::~Stage() {
  ImGui::DestroyContext();
}

const State& Stage::state() const {
  return impl_->state;
}
const Model& Stage::model() const {
  return impl_->model;
}
const MapScene& Stage::scene() const {
  return impl_->scene;
}
const Display& Stage::display() const {
  return impl_->display;
}
double Stage::em() const {
  return impl_->theme.em;
}
const MapFrame& Stage::map_frame() const {
  return impl_->paint.frame;
}

const MapNames& Stage::map_names() const {
  return impl_->shown.names;
}

const std::vector<MapWord>& Stage::map_words() const {
  return impl_->shown.map_words;
}
const std::vector<PixelBox>& Stage::map_controls() const {
  return impl_->shown.controls;
}
const std::vector<PixelBox>& Stage::fall_numbers() const {
  return impl_->shown.falls;
}
const std::vector<PixelBox>& Stage::map_badges() const {
  return impl_->shown.badges;
}
const KeyInSight& Stage::key_in_sight() const {
  return impl_->shown.key;
}

const std::vector<Target>& Stage::targets() const {
  return told_targets();
}

std::optional<PixelBox> Stage::target(std::string_view words) const {
  for (const Target& target : told_targets())
    if (target.words == words) return target.box;
  return std::nullopt;
}

void Stage::set_keeper(SessionKeeper* keeper) {
  impl_->keeper = keeper;
}

bool Stage::wait_for_ground(double seconds) {
  impl_->gathered.settle();
  impl_->areas.settle();
  return impl_->background.store().wait(seconds);
}

bool Stage::ground_is_whole() const {
  return !impl_->background.has_news() && !impl_->background.store().status().busy &&
         !impl_->gathered.pending() && !impl_->areas.pending();
}

const Background& Stage::background() const {
  return impl_->background;
}

bool Stage::wants_frame() const {
  return impl_->shown.moving || impl_->gathered.pending() || impl_->pace.is_coarse() ||
         impl_->state.map.glide.moves() || impl_->background.has_news() || !impl_->state.orders.empty() ||
         !impl_->state.desk.errands.empty() || impl_->news;
}

bool Stage::is_busy() const {
  return impl_->state.desk.running.has_value();
}

void Stage::set_waker(std::function<void()> waker) {
  impl_->background.store().set_wake(waker);
  impl_->waker = std::move(waker);
}

void Stage::finish_errands() {
  Impl& m = *impl_;
  m.run_errands();
  while (m.state.desk.running || !m.state.desk.errands.empty()) {
    m.errands.wait();
    m.run_errands();
  }
}

void Stage::frame_took(double seconds) {
  impl_->pace.frame_took(seconds);
}

void Stage::set_painter(MapPainter* painter) {
  impl_->paint.painter = painter;
  if (painter) painter->load(impl_->scene);
}

void Stage::set_display(const Display& display) {
  impl_->display = display;
}

bool Stage::renew_theme() {
  Impl& m = *impl_;
  const Settings& wanted = m.state.settings;
  if (m.themed_display == m.display && m.themed_settings == wanted) return false;
  m.themed_display = m.display;
  m.themed_settings = wanted;
  m.theme = make_theme(m.display, wanted);
  m.paint.frame.signs = sign_glyphs(m.theme);
  m.paint.frame.inks = m.theme.ink;
  m.marked_choice.reset();  // the marks' colours are of the look
  return true;
}

void Stage::resize(double width, double height) {
  ImGui::GetIO().DisplaySize = {static_cast<float>(width), static_cast<float>(height)};
}

void Stage::apply(const Action& action) {
  viewer::apply(action, impl_->state, impl_->model);
  impl_->carry_out_orders();
}

void Stage::draw() {
  renew_theme();
  Impl& m = *impl_;
  m.news = false;
  m.run_errands();
  m.carry_out_orders();  // of the frame before: its buffers are no longer needed
  m.shown.moving = false;
  const ImVec2 size = ImGui::GetIO().DisplaySize;
  m.layout =
      lay_out(size.x, size.y, m.theme.em, {m.state.panel_open, entry_of(m.state.page).wide, m.theme.target});
  if (m.layout.narrow && !std::exchange(m.laid_out, true)) {  // begins with the map
    m.state.panel_open = false;
    m.layout = lay_out(size.x, size.y, m.theme.em, {false, false, m.theme.target});
  }
  m.laid_out = true;
  place_map(m.state, m.model, m.layout.map, m.covered_top(), m.covered_bottom());
  m.follow_state();
  m.follow_ground();
  m.gather();
  m.fill_frame();
  m.choose_detail();
  const Ui ui{m.model,
              m.state,
              m.scene,
              m.theme,
              m.layout,
              m.model.assessment(m.state.choice, m.state.period()),
              m.colours,
              m.explanation,
              m.paint,
              m.shown,
              m.actions,
              m.gathered,
              m.site_marks,
              m.tally,
              m.marks_made,
              m.background,
              m.grid ? &*m.grid : nullptr,
              m.desk};
  told_targets().clear();
  m.shown.map_words.clear();
  m.shown.controls.clear();
  ImGui::NewFrame();
  if (m.state.entry)
    draw_entry_sheet(ui);
  else
    draw_map(ui);
  if (m.layout.roomy && !(m.state.entry && sheet_fills_window(size.x, size.y, m.theme.em))) {
    draw_top_bar(ui);
    if (!m.state.entry) {
      if (m.layout.time.width > 0) draw_time_bar(ui);
      if (m.state.panel_open) draw_side(ui);
      draw_rail(ui);
    }
    draw_caution(ui);
  }
  if (!m.layout.roomy && !m.state.entry) draw_too_small(ui);
  if (m.state.desk.find.open && !m.index_is_made) {
    m.desk.index = FindIndex(m.model, window_commands(m.state));
    m.index_is_made = true;
  }
  if (!m.state.desk.find.open) m.index_is_made = false;
  draw_messages(ui);
  draw_dialogs(ui);
  draw_find(ui);
  draw_guide(ui);
  draw_progress(ui);
  take_keys(ui);
  if (!m.state.entry && !desk_is_covered(m.state)) take_map_keys(ui);
  m.move_on(ImGui::GetIO().DeltaTime);
  ImGui::Render();
  const Actions pushed = std::exchange(m.actions, {});
  for (const Action& action : pushed) viewer::apply(action, m.state, m.model);
  // The strip of classes covers more or less of the map than before: nobody sees the view step aside.
  if (std::exchange(m.redrawn, !m.redrawn && m.covered_top() != m.state.covered_top_px)) return;
  if (m.redrawn) draw();
}

}  // namespace brookmark::viewer
