// Where the mark of an outfall stands that the mark of a site covers.
#include <algorithm>
#include <cmath>

#include "viewer/panels/label_ground_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"

namespace brookmark::viewer {
namespace {

// From the nearest places: the near ones are tried with words and without before the others. Taste.
constexpr double kSteps_ems[2][2] = {{0, 0.5}, {1, 1.5}};
constexpr double kFarthest_ems = 3.5;  // of the mark's middle from its place
enum class Line { kOverNothing, kOverNoWords, kAnyhow };

}  // namespace

LabelGround::Aside LabelGround::place_aside(std::size_t outfall, Pixel anchor) {
  const double em = ui_.theme.em, gap = ui_.paint.frame.site_radius_px + em * 0.35;
  const double side = outfall_radius() * 2.6;
  const std::vector<Disc> discs = discs_about(anchor, kFarthest_ems * em);
  std::vector<Aside> with_words, bare;
  for (const OutfallWords& form : outfall_label_words(ui_, outfall)) {
    const ImVec2 extent = form.font->CalcTextSizeA(form.font->FontSize, 1e6F, 0, form.words.c_str());
    (form.words.empty() ? bare : with_words)
        .push_back({form, extent, side, form.words.empty() ? 0 : em * 0.2, anchor});
  }
  const auto line_of = [&](const Aside& aside, const PixelBox& box) {
    const PixelBox mark = aside.mark_box(box);
    return outside({{mark.left + side / 2, mark.top + side / 2}, anchor}, discs);
  };
  const auto suits = [&](const Aside& aside, const PixelBox& box, Line how) {
    const PixelBox mark = aside.mark_box(box);
    if (std::hypot(mark.left + side / 2 - anchor.x, mark.top + side / 2 - anchor.y) > kFarthest_ems * em)
      return false;
    if (how == Line::kAnyhow) return true;
    const auto lines = line_of(aside, box);
    if (how == Line::kOverNothing) return lines.size() == 1 && crosses_nothing(lines.front(), mark, anchor);
    return std::all_of(lines.begin(), lines.end(),
                       [&](const Stroke& line) { return crosses_no_words(line, mark); });
  };
  Aside* found = nullptr;
  const auto try_forms = [&](std::vector<Aside>& forms, const double(&steps)[2], Line how) {
    for (const double step : steps)
      for (Aside& form : forms) {
        if (found != nullptr) return;
        const auto at = space_.place(anchor, gap + step * em, form.width(), side, LabelSides::kRing,
                                     [&](const PixelBox& box) { return suits(form, box, how); });
        if (!at) continue;
        form.box = {at->x, at->y, form.width(), side};
        found = &form;
      }
  };
  for (const Line how : {Line::kOverNothing, Line::kOverNoWords, Line::kAnyhow})
    for (const auto& steps : kSteps_ems) {
      if (how == Line::kOverNothing) try_forms(with_words, steps, how);
      try_forms(bare, steps, how);
    }
  if (found == nullptr) {  // nothing is free: over what is there, for it must be seen
    found = &bare.front();
    const bool right = anchor.x + gap + side < ui_.state.view.box.right();
    found->box = {right ? anchor.x + gap : anchor.x - gap - side, anchor.y - side / 2, side, side};
    space_.block_words(found->box);
  }
  found->lines = line_of(*found, found->box);
  return *found;
}

}  // namespace brookmark::viewer
