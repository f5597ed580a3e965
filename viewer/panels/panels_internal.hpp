// Why: what a person meets, drawn from `const State&`; whatever they do is pushed as an action and carried
// out after the frame. Each function draws one part of the window into its box of the layout.
#pragma once

#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/base/crs.hpp"
#include "viewer/actions/actions.hpp"
#include "viewer/map/background.hpp"
#include "viewer/map/gathered_sites.hpp"
#include "viewer/map/labels.hpp"
#include "viewer/map/painter.hpp"
#include "viewer/panels/layout.hpp"
#include "viewer/panels/stage.hpp"
#include "viewer/panels/theme_internal.hpp"

namespace brookmark::viewer {

// The reasons behind one sample, kept until another sample or metric is opened.
struct Explanation {
  std::optional<core::SampleIndex> sample;
  Choice choice;
  std::vector<core::RecordPart> parts;
};

// One painting order, handed through the draw list; lives until the frame is rendered.
struct PaintCall {
  MapPainter* painter = nullptr;
  MapFrame frame;
  std::vector<Mark> outfall_marks;  // those of the frame, less the ones that stand aside
};

// What the map shows in this frame, so that the key explains that and no more; and what pages keep from frame to
// frame.
struct Shown {
  bool catchment_classes = false, leaders = false;
  std::optional<core::SiteIndex> page_site;        // whose page is shown, and was begun at its top
  std::optional<core::OutfallIndex> page_outfall;  // the same
  std::uint32_t entry_focus = 0;                   // the wish of the sheet for the keyboard that was met last
  std::string typed_ground;                        // of a file's name, until it is meant
  bool moving = false;  // set by whatever is not at rest yet: the next frame then follows at once
  MapNames names;
  std::vector<MapWord> map_words;
  std::vector<PixelBox> controls;  // that lie over the map
  double covered_top_px = -1;      // of the map, by the strip of classes; less than 0: not drawn yet
  double cards_top_px = 0, cards_bottom_px = 0;  // by messages below the strip, and by cards above the foot
  std::vector<PixelBox> messages;                // over the map
  std::vector<SuggestionTag> suggestions;
  std::vector<AsideMark> asides;
  std::vector<PixelBox> falls;   // the numbers beside the lower sites of the worst falls
  std::vector<PixelBox> badges;  // other signs on the map that no word may lie over
  KeyInSight key;
};

struct DeskView;

struct Ui {
  const Model& model;
  const State& state;
  const MapScene& scene;
  const Theme& theme;
  const Layout& layout;
  const core::Assessment* assessment;  // null: the program has no method
  const MarkColours& colours;
  const Explanation& explanation;
  PaintCall& paint;
  Shown& shown;
  Actions& actions;
  const GatheredSites& sites;
  std::span<const Mark> all_site_marks;  // in view or not, by site
  const SiteTally& tally;
  std::uint64_t marks_version;  // of the two above
  const Background& background;
  const core::CrsConverter* grid;  // the survey's own system; null where that is degrees
  DeskView& desk;

  const core::Snapshot& snapshot() const { return model.snapshot(); }
  bool southern() const { return model.frame().centre().lat < 0; }
  template <class A>
  void push(A action) const {
    actions.push_back(Action(action));
  }
};

void draw_top_bar(const Ui& ui);
void draw_map(const Ui& ui);
void draw_time_bar(const Ui& ui);
void draw_side(const Ui& ui);  // one of the pages below
void draw_key_page(const Ui& ui);
void draw_site_page(const Ui& ui);
void draw_distance_page(const Ui& ui);
// What a still water's animals point to; false, and nothing drawn, where the sample is out of a reading's scope.
bool draw_still_reading(const Ui& ui, core::SampleIndex sample);
void draw_kit_page(const Ui& ui);
void draw_caution(const Ui& ui);
// In a window too small for panels: by which method and up to which day, and what to do about it.
void draw_too_small(const Ui& ui);
void draw_edit_page(const Ui& ui);
// What is being changed, over the map; and the pointer while a tool is in hand: true where it was taken.
void draw_edit_marks(const Ui& ui, ImDrawList& list);
bool take_edit_pointer(const Ui& ui, bool active);
// The sheet of a visit, over everything between the bars; its three parts, each `width` pixels wide.
void draw_entry_sheet(const Ui& ui);
void draw_entry_visit(const Ui& ui);
void draw_entry_tally(const Ui& ui);
void draw_entry_water(const Ui& ui);
// On the page of a site: a new visit, or the opened sample again.
void draw_entry_doors(const Ui& ui, core::SiteIndex site);
// "retired, last sampled 5 October 2021" for a site that is drawn faded; else empty.
std::string age_in_words(const Ui& ui, std::size_t site);
void take_keys(const Ui& ui);

// The stretches brought out as falling most, worst first, in the order of their numbers; none while that layer is off.
bool falls_are_shown(const Ui& ui);
std::span<const core::Drop> worst_falls(const Ui& ui);
// The number of one of them, as beside its lower site and in the key.
ImVec2 fall_tag_size(const Theme& theme, std::size_t place);
void draw_fall_tag(ImDrawList& list, ImVec2 at, const Theme& theme, std::size_t place);

// The names of catchments, smallest first; those that found room.
std::set<std::size_t> name_catchments(const Ui& ui, ImDrawList& list, LabelSpace& space,
                                      std::vector<MapWord>& told);
// Arrows on the watercourses, where nothing else stands.
void draw_flow_arrows(const Ui& ui, ImDrawList& list, const std::function<bool(Pixel)>& free);
// The ring drawn round sites, and the sites it chose; true while the pointer draws, and then nothing else takes it.
void draw_lasso(const Ui& ui, ImDrawList& list);
bool take_lasso(const Ui& ui, bool active, bool released);
// The suggested spots, numbered as on their page. take_suggestion_pointer: true while a hand has one.
void draw_suggestion_tag(ImDrawList& list, ImVec2 at, const Theme& theme, std::size_t row, bool focus);
void draw_suggestion_marks(const Ui& ui, ImDrawList& list);
// A cross at the place that was asked for by its coordinates, and these beside it.
// Adds its boxes to what words keep off.
void draw_found_place(const Ui& ui, ImDrawList& list, std::vector<PixelBox>& controls);
bool take_suggestion_pointer(const Ui& ui, bool active);
// The words on the map; `controls` lie over it.
void draw_map_words(const Ui& ui, ImDrawList& list, const std::vector<PixelBox>& controls);

}  // namespace brookmark::viewer
