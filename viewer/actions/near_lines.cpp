#include "viewer/actions/edit_actions.hpp"
#include "viewer/actions/near_lines_internal.hpp"

namespace brookmark::viewer {

Segment2 nearest_on(core::PlanePoint a, core::PlanePoint b, core::PlanePoint p) {
  const double dx = b.x - a.x, dy = b.y - a.y, squared = dx * dx + dy * dy;
  const double t = squared > 0 ? std::clamp(((p.x - a.x) * dx + (p.y - a.y) * dy) / squared, 0.0, 1.0) : 0;
  const core::PlanePoint q{a.x + t * dx, a.y + t * dy};
  return {q, std::hypot(q.x - p.x, q.y - p.y)};
}

std::optional<EditVertex> joined_vertex(const Model& model, core::LonLat at, double limit_m,
                                        const std::string& but) {
  const core::PlanePoint p = model.frame().to_plane(at);
  std::optional<EditVertex> vertex, on_line;
  double nearest_vertex = limit_m, nearest_line = limit_m;
  const Near near(at, limit_m);
  for (const core::Reach& reach : model.snapshot().reaches) {
    if (reach.key == but) continue;
    const std::string name = reach.name.empty() ? "a reach without a name" : reach.name;
    for (std::size_t i = 0; i < reach.line.size(); ++i) {
      if (!near(reach.line[i], reach.line[i > 0 ? i - 1 : 0])) continue;
      const core::PlanePoint here = model.frame().to_plane(reach.line[i]);
      const double d = std::hypot(here.x - p.x, here.y - p.y);
      if (d <= nearest_vertex) {
        nearest_vertex = d;
        const bool start = i == 0, end = i + 1 == reach.line.size();
        vertex = EditVertex{reach.line[i],
                            (start ? "the start of "
                             : end ? "the end of "
                                   : "a point of ") +
                                name,
                            d};
      }
      if (i > 0) {
        const Segment2 s = nearest_on(model.frame().to_plane(reach.line[i - 1]), here, p);
        if (s.distance <= nearest_line) {
          nearest_line = s.distance;
          on_line = EditVertex{model.frame().to_lonlat(s.nearest), name, s.distance};
        }
      }
    }
  }
  return vertex ? vertex : on_line;
}

}  // namespace brookmark::viewer
