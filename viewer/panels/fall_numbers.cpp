// The numbers of the worst falls: beside their lower sites on the map, and before their sentences in the key.
#include <algorithm>
#include <cmath>

#include "viewer/map/reach_paint.hpp"
#include "viewer/panels/panels_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"

namespace brookmark::viewer {
namespace {

std::string words_of(std::size_t place) {
  return "\u2193" + std::to_string(place + 1);
}

}  // namespace

bool falls_are_shown(const Ui& ui) {
  return ui.state.layers[Layer::kDrops] && ui.state.layers[Layer::kChannels] &&
         ui.paint.frame.reaches != nullptr;
}

std::span<const core::Drop> worst_falls(const Ui& ui) {
  const std::vector<core::Drop>* drops = ui.model.drops(ui.state.choice, ui.state.period());
  if (drops == nullptr) return {};
  std::size_t count = 0;
  while (count < std::min(drops->size(), kDropsShown) && (*drops)[count].is_worse()) ++count;
  return std::span(*drops).first(count);
}

ImVec2 fall_tag_size(const Theme& theme, std::size_t place) {
  const ImVec2 words = theme.small->CalcTextSizeA(theme.small->FontSize, 1e6F, 0, words_of(place).c_str());
  return {std::round(words.x + theme.em * 0.4F), std::round(words.y + theme.em * 0.06F)};
}

void draw_fall_tag(ImDrawList& list, ImVec2 at, const Theme& theme, std::size_t place) {
  const ImVec2 size = fall_tag_size(theme, place);
  const ImVec2 corner{at.x + size.x, at.y + size.y};
  list.AddRectFilled({at.x - 1, at.y - 1}, {corner.x + 1, corner.y + 1}, im(theme.ink.on_drop),
                     theme.em * 0.25F);
  list.AddRectFilled(at, corner, im(theme.ink.drop), theme.em * 0.2F);
  list.AddText(theme.small, theme.small->FontSize,
               {std::round(at.x + theme.em * 0.2F), std::round(at.y + theme.em * 0.03F)},
               im(theme.ink.on_drop), words_of(place).c_str());
}

}  // namespace brookmark::viewer
