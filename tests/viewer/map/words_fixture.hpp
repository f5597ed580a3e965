// Why: the demo survey in a window without graphics, and plain measures of boxes and lines, for tests of what stands on the
// map.
// Use: Demo demo(1280, 800);  for (const MapWord& word : demo.stage.map_words()) ...
#pragma once

#include <algorithm>
#include <cmath>

#include "tests/viewer/demo/demo_fixture.hpp"
#include "tests/viewer/window/frames.hpp"
#include "viewer/panels/stage.hpp"
#include "viewer/state/model.hpp"

namespace brookmark::viewer {

inline bool overlap(const PixelBox& a, const PixelBox& b) {
  return a.left < b.right() && b.left < a.right() && a.top < b.bottom() && b.top < a.bottom();
}
inline double distance(const PixelBox& box, Pixel p) {
  return std::hypot(std::max({box.left - p.x, 0.0, p.x - box.right()}),
                    std::max({box.top - p.y, 0.0, p.y - box.bottom()}));
}
inline double distance(const Stroke& line, Pixel p) {
  const double dx = line.to.x - line.from.x, dy = line.to.y - line.from.y, square = dx * dx + dy * dy;
  const double t =
      square > 0 ? std::clamp(((p.x - line.from.x) * dx + (p.y - line.from.y) * dy) / square, 0.0, 1.0) : 0;
  return std::hypot(line.from.x + t * dx - p.x, line.from.y + t * dy - p.y);
}
inline double apart(Pixel a, Pixel b) {
  return std::hypot(a.x - b.x, a.y - b.y);
}
// Length of the part of a line inside a box: by halving it until the pieces are short.
inline double length_inside(const PixelBox& box, Pixel a, Pixel b) {
  if (std::max(a.x, b.x) < box.left || std::min(a.x, b.x) > box.right() || std::max(a.y, b.y) < box.top ||
      std::min(a.y, b.y) > box.bottom())
    return 0;
  const double length = apart(a, b);
  const Pixel middle{(a.x + b.x) / 2, (a.y + b.y) / 2};
  if (length < 0.25) return box.contains(middle) ? length : 0;
  return length_inside(box, a, middle) + length_inside(box, middle, b);
}

inline bool crosses(const Stroke& line, const PixelBox& box) {
  for (int i = 0; i <= 200; ++i) {
    const double t = i / 200.0;
    if (box.contains(
            {line.from.x + (line.to.x - line.from.x) * t, line.from.y + (line.to.y - line.from.y) * t}))
      return true;
  }
  return false;
}

struct Demo {
  Model model;
  Stage stage;
  Demo(double width, double height, const Display& display = {})
      : model(make_session(core::Snapshot(test::made().survey))), stage(model, display) {
    stage.resize(width, height);
    draw();
  }
  void draw() { draw_frames(stage, 3); }
  core::SiteIndex site(const char* code) const { return *model.snapshot().find_site(code); }
  bool is_below_control(Pixel p) const {
    return std::any_of(stage.map_controls().begin(), stage.map_controls().end(),
                       [p](const PixelBox& box) { return box.width > 0 && box.contains(p); });
  }
  Pixel pixel(core::LonLat place) const { return stage.state().view.to_pixel(model.frame().to_plane(place)); }
};

// Pixels of watercourse below a box, from the survey's own lines.
inline double watercourse_under(const Demo& demo, const PixelBox& box) {
  double sum = 0;
  for (const core::Reach& reach : demo.model.snapshot().reaches)
    for (std::size_t i = 1; i < reach.line.size(); ++i)
      sum += length_inside(box, demo.pixel(reach.line[i - 1]), demo.pixel(reach.line[i]));
  return sum;
}

}  // namespace brookmark::viewer
