// What the window asks of the survey file and of other files, and what comes back.
#include "viewer/panels/stage_internal.hpp"
#include "viewer/state/anchors.hpp"

namespace brookmark::viewer {
namespace {

// Where what is one point now stands.
std::optional<core::LonLat> placed_point(const MapEdit& edit) {
  const bool is_point = edit.tool == EditTool::kAddSite || edit.tool == EditTool::kMoveSite ||
                        edit.tool == EditTool::kAddOutfall;
  if (!is_point || edit.points.empty()) return std::nullopt;
  return edit.points.back().at;
}

}  // namespace

void Stage::Impl::carry_out_orders() {
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
    if (outcome.reread || !outcome.done) settle_suggestions(state, model);
    settle_sheet(order, outcome, state);
    if (order.of_map && outcome.done) stored_place = placed_point(state.edit);
    settle_map_edit(order, outcome, state);
    if (outcome.trouble)
      state.messages.push_back({Message::Kind::kTrouble, outcome.sentence});
    else if (!outcome.sentence.empty() && order.reread)
      state.messages.push_back({Message::Kind::kDone, outcome.sentence});
  }
  follow_model();
}

void Stage::Impl::run_errands() {
  if (std::exchange(state.desk.stop_errand, false)) errands.stop();
  if (std::optional<ErrandHome> home = errands.collect()) take_home(std::move(*home));
  if (!state.desk.errands.empty() && errands.start(state.desk.errands.front()))
    state.desk.errands.erase(state.desk.errands.begin());
  state.desk.running = errands.progress();
}

void Stage::Impl::take_home(ErrandHome home) {
  if (home.trouble && state.desk.dialog.kind != DialogKind::kNone)
    state.desk.trouble = home.sentence;
  else if (!home.sentence.empty())
    state.messages.push_back({home.trouble ? Message::Kind::kTrouble : Message::Kind::kDone, home.sentence});
  if (home.trouble || home.stopped) return;
  if (home.preview) {
    state.desk.preview = std::move(home.preview);
    state.desk.trouble.clear();  // of a name that was typed further meanwhile
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

void Stage::Impl::follow_model() {
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

}  // namespace brookmark::viewer
