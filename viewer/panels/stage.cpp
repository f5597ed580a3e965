#include "viewer/panels/stage.hpp"

#include <imgui.h>

#include "viewer/panels/pages_internal.hpp"
#include "viewer/panels/stage_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"

namespace brookmark::viewer {

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
const std::vector<SuggestionTag>& Stage::suggestion_tags() const {
  return impl_->shown.suggestions;
}
const std::vector<AsideMark>& Stage::marks_aside() const {
  return impl_->shown.asides;
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
  return impl_->shown.moving || hint_is_coming() || impl_->gathered.pending() || impl_->pace.is_coarse() ||
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
  draw_spot_list(ui);
  draw_guide(ui);
  draw_progress(ui);
  take_keys(ui);
  if (!m.state.entry && !desk_is_covered(m.state)) take_map_keys(ui);
  m.move_on(ImGui::GetIO().DeltaTime);
  ImGui::Render();
  const Actions pushed = std::exchange(m.actions, {});
  for (const Action& action : pushed) viewer::apply(action, m.state, m.model);
  // The strip of classes or a message covers more or less of the map than before: nobody sees the view step aside.
  const bool covered_anew = m.covered_top() != m.state.covered_top_px, moved = m.follow_cards();
  if (std::exchange(m.redrawn, !m.redrawn && (covered_anew || moved))) return;
  if (m.redrawn) draw();
}

}  // namespace brookmark::viewer
