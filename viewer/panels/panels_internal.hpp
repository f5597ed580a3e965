// Why: what a person meets, drawn from `const State&`; whatever they do is pushed as an action and carried
// out after the frame. Each function draws one part of the window into its box of the layout.
#pragma once

#include <string>
#include <vector>

#include "viewer/actions/actions.hpp"
#include "viewer/map/painter.hpp"
#include "viewer/panels/layout.hpp"
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
  Actions& actions;

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
void draw_caution(const Ui& ui);
void take_keys(const Ui& ui);

// An outfall that a site's mark covers is shown beside its place, at the end of a short line.
struct Callout {
  PixelBox box;
  core::OutfallIndex outfall;
};
// The words and arrows on the map, used by draw_map; `controls` lie over it.
std::vector<Callout> draw_map_words(const Ui& ui, ImDrawList& list, const std::vector<PixelBox>& controls);

}  // namespace brookmark::viewer
