// Why: what one window keeps between frames, and the steps of a frame before anything is drawn. Private to stage*.cpp.
// Use: Impl& m = *impl_;  m.follow_state();  m.gather();  m.fill_frame();
#pragma once

#include <atomic>
#include <functional>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "viewer/errand_runner.hpp"
#include "viewer/panels/desk_internal.hpp"
#include "viewer/panels/map_parts_internal.hpp"
#include "viewer/panels/pace.hpp"
#include "viewer/panels/panels_internal.hpp"

namespace brookmark::viewer {

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
  std::optional<core::LonLat> stored_place;  // to be brought into view
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
  void carry_out_orders();
  // Work on whole files: what was asked is begun, what has ended is taken over.
  void run_errands();
  void take_home(ErrandHome home);
  // After the model was read anew.
  void follow_model();
  void follow_state();
  // By the strip of classes; before it was drawn once, as high as it mostly is.
  double covered_top() const;
  // By scale bar and position; a low map has no room to spare for them.
  double covered_bottom() const;
  // Messages and cards of a tool: a view that was just fitted, and a place that was just stored, come out from below them.
  // Whether the map must be drawn again.
  bool follow_cards();
  // A thrown map glides on; news of the ground are drawn.
  void move_on(float seconds);
  void follow_ground();
  // Sites in view that stand alone go to the painter; the others are under their signs.
  void gather();
  // As much of the lines as can be seen, and no more than is drawn in time.
  void choose_detail();
  // Where a pond is about as wide as its mark, the mark grows smaller, so that the water can be seen; it is
  // itself again where the pond is hidden below it anyway, or much wider.
  float still_share(double radius_m) const;
  void fill_frame();
};

}  // namespace brookmark::viewer
