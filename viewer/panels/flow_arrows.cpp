// Arrows along the watercourses, so that up and down the stream are seen without asking.
#include <algorithm>
#include <cmath>

#include "viewer/panels/panels_internal.hpp"

namespace brookmark::viewer {
namespace {

constexpr std::size_t kMostArrows = 1500;  // from so far that there would be more, none tells anything

}  // namespace

void draw_flow_arrows(const Ui& ui, ImDrawList& list, const std::function<bool(Pixel)>& free) {
  if (!ui.state.layers[Layer::kChannels]) return;
  std::size_t drawn = 0;
  const Viewport& view = ui.state.view;
  const PlaneBox shown = view.shown();
  const double spacing = ui.theme.em * 9.0;
  const float s = ui.theme.em * 0.32F;
  for (const MapScene::Run& run : ui.scene.runs) {
    if (run.box.max_x < shown.min_x || run.box.min_x > shown.max_x || run.box.max_y < shown.min_y ||
        run.box.min_y > shown.max_y)
      continue;
    const double total = run.length_m / view.metres_per_pixel;
    if (total < spacing * 0.5 || !std::isfinite(total)) continue;
    const std::span<const Segment> segments = ui.scene.channels.segments(0);
    if (drawn >= kMostArrows) return;
    const double count = std::max(1.0, std::min(std::floor(total / spacing), 2000.0));
    double next = total / (2 * count), run_px = 0;
    for (std::uint32_t i = run.segments.begin; i < run.segments.end; ++i) {
      const Pixel a = view.to_pixel({segments[i].from.x, segments[i].from.y});
      const Pixel b = view.to_pixel({segments[i].to.x, segments[i].to.y});
      const double length = std::hypot(b.x - a.x, b.y - a.y);
      while (length > 0 && next <= run_px + length) {
        const double t = (next - run_px) / length;
        const Pixel at{a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t};
        next += total / count;
        if (!view.box.contains(at)) continue;
        const auto dx = static_cast<float>((b.x - a.x) / length),
                   dy = static_cast<float>((b.y - a.y) / length);
        if (!free(at)) continue;
        ++drawn;
        const ImVec2 c{static_cast<float>(at.x), static_cast<float>(at.y)};
        list.AddTriangleFilled({c.x + dx * s * 1.5F, c.y + dy * s * 1.5F},
                               {c.x - dx * s - dy * s * 1.1F, c.y - dy * s + dx * s * 1.1F},
                               {c.x - dx * s + dy * s * 1.1F, c.y - dy * s - dx * s * 1.1F},
                               im(ui.theme.ink.flow));
      }
      run_px += length;
    }
  }
}

}  // namespace brookmark::viewer
