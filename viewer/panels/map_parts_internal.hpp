// Why: the map's box is drawn in parts: what lies on the ground, what stands over it in a corner, what a hand does.
// Each `draw_` of something that stands over the map gives the box that it takes, of no width where it was left out.
#pragma once

#include <vector>

#include "viewer/panels/panels_internal.hpp"

namespace brookmark::viewer {

// What the hand does on the open ground in this frame.
struct GroundTouch {
  bool hovered = false, active = false, pressed = false, released = false;
  bool twice = false;  // this press is the second of two quick ones
};

double map_reach(const Ui& ui);  // how far from a mark a tap still means it, logical pixels
std::optional<std::uint32_t> map_sign_at(const Ui& ui, Pixel at);
void take_map_pointer(const Ui& ui, const GroundTouch& touch);
void take_map_keys(const Ui& ui);

// The classes in one strip along the top.
PixelBox draw_class_strip(const Ui& ui, ImDrawList& list);
// Where the map's buttons stand: in one, two or four columns, clear of what stands in the lower corner.
PixelBox map_buttons_box(const Ui& ui);
// Nearer, farther, everything, measure: big buttons for fingers.
PixelBox draw_map_buttons(const Ui& ui);
// How long a line on the map is on the ground, and where north is.
PixelBox draw_scale_bar(const Ui& ui, ImDrawList& list);
// Where the pointer, or else the middle, is; a tap changes the form. Above it whom to thank for the ground.
PixelBox draw_position(const Ui& ui, ImDrawList& list);
// What is measured: its line on the map, and its length in words along the bottom.
void draw_measured_line(const Ui& ui, ImDrawList& list);
PixelBox draw_measure_card(const Ui& ui);
// A sentence where the ground cannot be drawn.
PixelBox draw_background_words(const Ui& ui, ImDrawList& list);

// What stands beside the mark of a site (its code, its name; a value that does not fit into the mark; the year where it is
// faded), and beside that of an outfall: its code, its distance where a query reaches it, and whether it is in use;
// then shorter forms.
std::string site_label_words(const Ui& ui, const Ageing& ageing, std::size_t site, bool with_name);
struct OutfallWords {
  std::string words;
  ImFont* font;
  Colour colour;
};
std::vector<OutfallWords> outfall_label_words(const Ui& ui, std::size_t outfall);

// Waters with a risk and those entered after them, while the page of going clean is open: a ring around each site, and a
// sign at its upper right.
struct TraceMark {
  core::SiteIndex site;
  std::string sign;
  bool source = false;
};
inline constexpr float kTraceRing_ems = 1.15F;
std::vector<TraceMark> trace_marks(const Ui& ui);  // of the sites in view, each site once

// A sign diagonally beside the mark of a site, while the page of going clean is open: of a risk, or a stop's number.
struct MapBadge {
  PixelBox box;
  std::string sign;
  core::SiteIndex site;
  std::optional<std::size_t> stop;  // of the planned round, from 0; else `sign` tells
};
// Whether a box in the map lies over no control, no site but `own`, no sign and no outfall.
bool is_free_of_marks(const Ui& ui, const PixelBox& box, const std::vector<PixelBox>& controls,
                      std::optional<core::SiteIndex> own = {});
// Each on the first of four corners where it lies over nothing.
std::vector<MapBadge> map_badges(const Ui& ui, const std::vector<PixelBox>& controls);
void draw_map_badge(const Ui& ui, ImDrawList& list, const MapBadge& badge);
std::vector<Stroke> round_way(const Ui& ui);  // from stop to stop
// What lies on the ground below the marks: ground where nobody is sent, rings, the way of a round.
void draw_below_marks(const Ui& ui, ImDrawList& list);

// Ground where nobody is sent, and ways in, while the page of suggestions is open.
struct GroundWords {
  std::string words;
  std::vector<Pixel> at;  // the first that has room is meant
  double radius = 0;      // of its square; 0: an area or a line
};
struct GroundOnMap {
  std::vector<PixelBox> squares;  // of those that are points
  std::vector<Stroke> edges;      // of lines and areas
  std::vector<GroundWords> words;
};
GroundOnMap ground_on_map(const Ui& ui);
void draw_ground_shapes(const Ui& ui, ImDrawList& list);
// Where the numbers of the suggested spots stand: each at its spot, or aside where it would hide a mark, another number or
// what else stands on the map.
std::vector<SuggestionTag> place_suggestions(const Ui& ui, const std::vector<PixelBox>& others);
Stroke line_of(const SuggestionTag& tag);  // from one that stands aside to its spot
// What to do with the tool in hand, and with the next tap, in words along the bottom.
PixelBox draw_edit_words(const Ui& ui, ImDrawList& list);

// Signs of gathered sites; `scale` 1 as on the map.
void draw_cluster_sign(ImDrawList& list, ImVec2 at, const Theme& theme, const MarkColours& colours,
                       const ClusterLook& look, float scale);
void write_cluster_counts(const Ui& ui, ImDrawList& list);
void show_cluster_hover(const Ui& ui, std::uint32_t sign);

// The key's part about the ground.
void draw_ground_lines(const Ui& ui);

// The first steps of a survey without places or samples, in the middle of the map.
void draw_first_steps_card(const Ui& ui);

// A soft ground for words over the map.
void draw_card(const Ui& ui, ImDrawList& list, const PixelBox& box);
// In the look for the sun an edge, where white would lie on white.
void draw_card_edge(const Ui& ui, ImDrawList& list, const PixelBox& box);

}  // namespace brookmark::viewer
