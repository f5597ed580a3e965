// A place that was asked for by its coordinates: a cross on the map, so that it is not lost among other marks.
#include <algorithm>
#include <cmath>

#include "viewer/map/position_words.hpp"
#include "viewer/panels/panels_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"

namespace brookmark::viewer {

void draw_found_place(const Ui& ui, ImDrawList& list) {
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
  const float wide = ui.theme.small->CalcTextSizeA(ui.theme.small->FontSize, 1e6F, 0, words.c_str()).x;
  const bool to_the_left = at.x + reach + em * 0.3F + wide > static_cast<float>(ui.layout.map.right());
  text_with_halo(list, ui.theme, ui.theme.small,
                 {to_the_left ? at.x - reach - em * 0.3F - wide : at.x + reach + em * 0.3F,
                  at.y - ui.theme.small->FontSize / 2},
                 ui.theme.ink.text, words);
}

}  // namespace brookmark::viewer
