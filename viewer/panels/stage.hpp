// Why: one window's content from model to pixels-to-be: state, panels, fonts, the map's buffers. It needs no
// graphics: a platform gives it a painter and renders what it has drawn; a test gives neither.
// Use: Stage stage(model, {});  stage.resize(1280, 800);  stage.draw();
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "viewer/actions/actions.hpp"
#include "viewer/map/background.hpp"
#include "viewer/map/leaders.hpp"
#include "viewer/map/painter.hpp"
#include "viewer/map/scene.hpp"
#include "viewer/session_keeper.hpp"

namespace brookmark::viewer {

// What bears its name on the map in one frame, as indices into the snapshot.
struct MapNames {
  std::set<std::size_t> sites, outfalls, catchments;
};

// A label of the map in one frame, as it was written: where, and beside which mark.
struct MapWord {
  PixelBox box;
  std::string words;
  std::optional<Pixel> mark;        // nothing for the name of a water or catchment
  double reach_px = 0;              // from the middle of the mark to where words may begin
  std::optional<Stroke> line = {};  // from the words to the rim of their mark, where they stand farther away
  bool below_marks = false;         // the line passes below other marks: only for what is chosen
};

// The number of a suggested spot: at its place, or beside it at the end of a line where it would hide a mark.
struct SuggestionTag {
  PixelBox box;
  std::size_t row = 0;  // of the answer
  Pixel place;          // where the spot is
  bool aside = false;
};

// An outfall that the mark of a site covers, beside its place at the end of a line.
struct AsideMark {
  PixelBox box;
  core::OutfallIndex outfall;
  Pixel place;  // where it really is
};

// How the key's page lay in its panel in one frame, logical pixels: whether its lines can all be brought into sight.
struct KeyInSight {
  double top = 0, bottom = 0;         // of what is seen of the page
  double content_px = 0;              // height of all lines
  double scroll_most_px = 0;          // how far it can be moved up
  double widest_px = 0, room_px = 0;  // of the lines, and what there is
  double falls_bottom = 0;            // where the lines about falls ended
  bool scroll_bar = false;
};

// What the window stands on.
struct Display {
  float scale = 1;               // how many times larger than on a plain screen things are drawn
  double px_per_mm = 96 / 25.4;  // logical pixels; a plain screen is taken to have 96 an inch
  bool operator==(const Display&) const = default;
};

// What can be tapped in the newest frame, by its words: for scripts, tests and the words of the state.
struct Target {
  std::string words;
  PixelBox box;
  bool possible = true;  // false: it is greyed
};

// Owns the ImGui context: one Stage at a time.
class Stage {
 public:
  Stage(const Model& model, const Display& display, const Settings& settings = {});
  ~Stage();
  Stage(const Stage&) = delete;
  Stage& operator=(const Stage&) = delete;

  const State& state() const;
  const Model& model() const;
  const MapScene& scene() const;
  const Display& display() const;
  double em() const;  // height of the body font, logical pixels

  // Carries out what actions order of the survey file; without one nothing can be edited.
  void set_keeper(SessionKeeper* keeper);
  // Whether another frame is due at once: something moves, or an order waits.
  bool wants_frame() const;
  // For pictures: until all of the ground that is wanted has come, or the time is over. Whether it has.
  bool wait_for_ground(double seconds);
  bool ground_is_whole() const;  // nothing of it is still to come, and what has come is drawn
  const Background& background() const;
  // Whether work on whole files goes on: how far it is should be seen a few times a second.
  bool is_busy() const;
  // Called on any thread when there is something new to show. Set before anything is begun.
  void set_waker(std::function<void()> waker);
  // Waits for all work on whole files, and takes over what it brings: for scripts and tests.
  void finish_errands();
  // How long the newest frame took, drawing and all: where that is long, lines are drawn less fine while the map moves.
  void frame_took(double seconds);
  void set_painter(MapPainter* painter);  // loads the scene into it; null takes it away
  void set_display(const Display& display);
  // Builds fonts, colours and sizes anew where the display or the settings have changed since; true when the platform
  // must upload the font texture again. Before the back ends' new-frame; draw() calls it too.
  bool renew_theme();
  // Where no back end does it: the size of the drawing area, logical pixels.
  void resize(double width, double height);
  void apply(const Action& action);
  // One frame: panels drawn, actions carried out. The platform has called its back ends' new-frame before,
  // and renders ImGui's draw data after.
  void draw();
  // What the newest frame handed to the painter: colours, radii, marks.
  const MapFrame& map_frame() const;
  const MapNames& map_names() const;
  // Every label on the map, and what lies over it: the strip of classes, buttons, cards.
  const std::vector<MapWord>& map_words() const;
  const std::vector<PixelBox>& map_controls() const;
  // Boxes of the numbers beside the lower sites of the worst falls, worst first.
  const std::vector<PixelBox>& fall_numbers() const;
  // Boxes of the other signs that words keep off: risks and stops of a round, suggestions, squares of ground.
  const std::vector<PixelBox>& map_badges() const;
  const std::vector<SuggestionTag>& suggestion_tags() const;
  const std::vector<AsideMark>& marks_aside() const;
  const KeyInSight& key_in_sight() const;
  const std::vector<Target>& targets() const;
  std::optional<PixelBox> target(std::string_view words) const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace brookmark::viewer
