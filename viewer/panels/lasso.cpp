// A ring drawn round sites on the map.
#include <algorithm>
#include <cmath>

#include "viewer/panels/panels_internal.hpp"

namespace brookmark::viewer {
namespace {

constexpr std::size_t kMostRings = 2000;  // of chosen sites brought out at once

ImVec2 on_screen(const Ui& ui, core::PlanePoint place) {
  const Pixel p = ui.state.view.to_pixel(place);
  return {static_cast<float>(p.x), static_cast<float>(p.y)};
}

}  // namespace

bool take_lasso(const Ui& ui, bool active, bool released) {
  if (!ui.state.lasso.armed) return false;
  const ImGuiIO& io = ImGui::GetIO();
  if (active) ui.push(LassoTo{{io.MousePos.x, io.MousePos.y}});
  if (released) ui.push(EndLasso{});
  return true;
}

void draw_lasso(const Ui& ui, ImDrawList& list) {
  const Lasso& lasso = ui.state.lasso;
  const ImU32 colour = im(ui.theme.ink.query);
  std::vector<ImVec2> corners;
  for (const core::LonLat p : lasso.ring) corners.push_back(on_screen(ui, ui.model.frame().to_plane(p)));
  if (corners.size() > 1)
    list.AddPolyline(corners.data(), static_cast<int>(corners.size()), colour,
                     lasso.armed ? ImDrawFlags_None : ImDrawFlags_Closed, 2);
  const PixelBox& box = ui.layout.map;
  const float r = ui.paint.frame.site_radius_px + 3;
  std::size_t drawn = 0;
  for (const core::SiteIndex site : lasso.sites) {
    const core::PlanePoint place = ui.model.site_places()[site.value()];
    if (!box.contains(ui.state.view.to_pixel(place))) continue;
    if (++drawn > kMostRings) break;
    list.AddCircle(on_screen(ui, place), r, colour, 24, 2);
  }
  if (!lasso.armed) return;
  const char* words =
      lasso.ring.empty() ? "Draw round the sites: press and drag. Esc stops." : "Let go to close the ring.";
  const ImVec2 size = ui.theme.strong->CalcTextSizeA(ui.theme.em, 1e6F, 0, words);
  const ImVec2 at{static_cast<float>(box.left + box.width / 2) - size.x / 2,
                  static_cast<float>(box.bottom()) - ui.theme.em * 3.2F};
  list.AddRectFilled({at.x - ui.theme.em * 0.6F, at.y - ui.theme.em * 0.35F},
                     {at.x + size.x + ui.theme.em * 0.6F, at.y + size.y + ui.theme.em * 0.35F}, colour,
                     ui.theme.em * 0.3F);
  list.AddText(ui.theme.strong, ui.theme.em, at, im(ui.theme.ink.on_query), words);
}

}  // namespace brookmark::viewer
