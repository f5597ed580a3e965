// Why: whatever a person does in the window is a value that says what is meant; one function carries it out
// on the state. Panels, keys, scripts and tests all speak through these.
// Use: apply(ZoomAt{2, {400, 300}}, state, model);
#pragma once

#include <memory>
#include <string_view>
#include <vector>

#include "viewer/actions/desk_actions.hpp"
#include "viewer/actions/edit_actions.hpp"
#include "viewer/actions/entry_actions.hpp"
#include "viewer/actions/map_actions.hpp"
#include "viewer/actions/suggest_actions.hpp"
#include "viewer/state/model.hpp"
#include "viewer/state/state.hpp"

namespace brookmark::viewer {

// The map's content moves by so many pixels.
struct Pan {
  double dx = 0, dy = 0;
};
// > 1 nearer; what is under `at` stays there.
struct ZoomAt {
  double factor = 1;
  Pixel at;
};
struct ZoomCentre {
  double factor = 1;
};
struct Fit {};  // everything in view
// Kept inside the survey's dates.
struct SetDate {
  core::Date date;
};
// To the next (+) or previous (-) sampling day of the seasons asked for.
struct StepDate {
  int steps = 0;
};
// A window of so many days that ends on the day shown; nothing: everything up to it.
struct SetWindow {
  std::optional<int> days;
};
// None means all.
struct ChooseSeasons {
  core::SeasonSet seasons;
};
struct PlayTime {
  bool playing = true;
};
// While it plays: so much time has passed.
struct PlayOn {
  double seconds = 0;
};
struct ChooseMetric {
  Choice choice;
};
// Picks, or starts the query that waits for a point. Where several sites share the spot, a list of them opens.
struct ClickMap {
  Pixel at;
  double reach_px = 12;
  // The place of sites that no nearness parts, as a sign of the map gathers them: all of them are listed.
  std::optional<PlaneBox> gathered = {};
};
struct HoverMap {
  std::optional<Pixel> at;
  double reach_px = 12;
  std::optional<core::OutfallIndex> outfall = {};  // its mark, which stands aside, is under the pointer
};
// And brings it into view.
struct SelectSite {
  core::SiteIndex site;
};
struct SelectOutfall {
  core::OutfallIndex outfall;
};
struct OpenSample {
  core::SampleIndex sample;
};
// The samples after the day shown, on the page of a site.
struct ShowLater {
  bool shown = true;
};
struct StartPointPick {};  // the next click on the map asks from there
// From a site without a position nothing can be measured: the page says so.
struct QueryFromSite {
  core::SiteIndex site;
};
struct QueryFromPoint {
  core::LonLat point;
};
struct SetDirection {
  core::Direction direction = core::Direction::kAny;
};
// Of the query's answer.
struct FocusTarget {
  std::optional<std::size_t> row;
};
struct ClearQuery {};
struct ClearAll {};  // Esc: what is open is closed, one step after the other
// The page of distances starts at once from the chosen site.
struct ShowPage {
  Page page = Page::kKey;
};
struct ShowSiteView {
  SiteView view = SiteView::kScore;
};
// Brings a sub-catchment or a falling stretch out on the map: while the pointer is on it, or (pinned) until it is tapped
// again or another is.
struct Light {
  Lit lit;
  bool pin = false;
};
struct AskUpstream {  // with the query: also what lies upstream of its start
  bool asked = true;
};
struct StartLasso {};  // the next drag on the map draws a ring round sites
struct LassoTo {
  Pixel at;
};
struct EndLasso {};  // the ring is closed; its sites are chosen
struct ClearLasso {};
struct SetTable {
  TableChoice choice;
};
// Into the survey file, as one edit that can be taken back.
struct StoreEdits {
  core::EditBatch batch;
};
struct UndoEdit {};  // the newest edit that still stands, of whichever day
struct RedoEdit {};  // the one taken back last, unless another was made since
struct Say {
  Message message;
};
struct PutAwayMessage {
  std::size_t at = 0;
};
// False: the map has the room of the page too.
struct ShowPanel {
  bool open = true;
};
struct ShowLayer {
  Layer layer = Layer::kSites;
  bool shown = true;
};

// Kept inside their limits.
struct ChangeSettings {
  Settings settings;
};

// One of the structs above or of the four headers of this folder. The list of them all is in action_internal.hpp and
// compiled once: a panel that pushes one need not build the whole of it. A value; copies share what is meant.
class Action {
 public:
  template <class A>
  Action(A what);  // instantiated in action.cpp; another type does not link

  struct Any;
  const Any& any() const { return *any_; }

 private:
  std::shared_ptr<const Any> any_;
};
using Actions = std::vector<Action>;

// The state a survey opens with: newest day, first method, nothing chosen.
State opening_state(const Model& model);
// Gives the map its place in the window. Fits at the first time, and again as long as everything is in view; later what
// was in view stays in view: a smaller map shows it smaller, a larger one larger, and where it grows at one side alone
// it brings the view back as it was.
void place_map(State& state, const Model& model, const PixelBox& box, double covered_top_px = 0,
               double covered_bottom_px = 0);
void apply(const Action& action, State& state, const Model& model);

// What lies within `reach_px` of a pixel: the nearest site or outfall; of several sites on one spot the first.
struct Picked {
  std::optional<core::SiteIndex> site;
  std::optional<core::OutfallIndex> outfall;
  std::vector<core::SiteIndex> sites;  // on the spot of `site`, half a pixel wide, with it, in rising order
};
Picked pick(const State& state, const Model& model, Pixel at, double reach_px);
// A method by its id, and a metric by its id; the first metric for an empty id.
std::optional<Choice> find_choice(const Model& model, std::string_view method_id, std::string_view metric_id);

}  // namespace brookmark::viewer
