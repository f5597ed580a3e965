// A place that was asked for by its coordinates: a cross on the map, so that it is not lost among other marks.
#include <algorithm>
#include <cmath>

#include "viewer/map/position_words.hpp"
#include "viewer/panels/map_parts_internal.hpp"
#include "viewer/panels/panels_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"

namespace brookmark::viewer {

namespace {

// The side of the cross on which the words hide the fewest signs of sites and outfalls: right, left, below, above.
PixelBox beside_cross(const Ui& ui, ImVec2 at, ImVec2 size, float off) {
  constexpr std::size_t kManyPlaces = 20'000;
  const float tall = size.y;
  const PixelBox sides[] = {{at.x + off, at.y - tall / 2, size.x, tall},
                            {at.x - off - size.x, at.y - tall / 2, size.x, tall},
                            {at.x - size.x / 2, at.y + off, size.x, tall},
                            {at.x - size.x / 2, at.y - off - tall, size.x, tall}};
  std::vector<Pixel> signs;
  const core::Snapshot& s = ui.snapshot();
  if (s.sites.size() + s.outfalls.size() <= kManyPlaces) {
    for (const core::PlanePoint& place : ui.model.site_places())
      signs.push_back(ui.state.view.to_pixel(place));
    for (const core::Outfall& o : s.outfalls)
      if (core::is_placed(o.position))
        signs.push_back(ui.state.view.to_pixel(ui.model.frame().to_plane(o.position)));
  }
  const PixelBox& map = ui.layout.map;
  const double room = ui.paint.frame.site_radius_px + ui.theme.em * 0.2;
  const PixelBox* best = &sides[0];
  std::size_t fewest = SIZE_MAX;
  for (const PixelBox& side : sides) {
    std::size_t hidden = side.left < map.left || side.right() > map.right() || side.top < map.top ||
                                 side.bottom() > map.bottom()
                             ? signs.size() + 1
                             : 0;
    const PixelBox wide{side.left - room, side.top - room, side.width + 2 * room, side.height + 2 * room};
    for (const Pixel sign : signs) hidden += wide.contains(sign) ? 1 : 0;
    if (hidden < fewest) fewest = hidden, best = &side;
  }
  return *best;
}

}  // namespace

void draw_found_place(const Ui& ui, ImDrawList& list, std::vector<PixelBox>& controls) {
  if (!ui.state.map.found) return;
  const Pixel p = ui.state.view.to_pixel(ui.model.frame().to_plane(*ui.state.map.found));
  if (!ui.layout.map.contains(p)) return;
  const float em = ui.theme.em, reach = em * 1.1F, free = em * 0.25F;
  const ImVec2 at{std::round(static_cast<float>(p.x)), std::round(static_cast<float>(p.y))};
  // Open in the middle: what lies there stays in sight.
  for (const auto& [ink, width] :
       {std::pair{ui.theme.ink.halo, em * 0.36F}, std::pair{ui.theme.ink.query, em * 0.16F}})
    for (const ImVec2 way : {ImVec2(1, 0), ImVec2(-1, 0), ImVec2(0, 1), ImVec2(0, -1)})
      list.AddLine({at.x + way.x * free, at.y + way.y * free}, {at.x + way.x * reach, at.y + way.y * reach},
                   im(ink), width);
  const std::string words = position_words(*ui.state.map.found, ui.state.settings.positions, ui.grid);
  const ImVec2 size = ui.theme.small->CalcTextSizeA(ui.theme.small->FontSize, 1e6F, 0, words.c_str());
  const PixelBox box = beside_cross(ui, at, {size.x + em * 0.8F, size.y + em * 0.4F}, reach + em * 0.3F);
  draw_card(ui, list, box);
  list.AddText(ui.theme.small, ui.theme.small->FontSize,
               {std::round(static_cast<float>(box.left) + em * 0.4F),
                std::round(static_cast<float>(box.top) + em * 0.2F)},
               im(ui.theme.ink.text), words.c_str());
  controls.push_back(box);
  controls.push_back({p.x - reach, p.y - reach, 2 * reach, 2 * reach});
}

}  // namespace brookmark::viewer
