#include "viewer/map/labels.hpp"

#include <algorithm>

namespace brookmark::viewer {
namespace {

constexpr double kCell_px = 64;

bool overlap(const PixelBox& a, const PixelBox& b) {
  return a.left < b.right() && b.left < a.right() && a.top < b.bottom() && b.top < a.bottom();
}

struct CellSpan {
  long long x0, y0, x1, y1;
};

CellSpan span_of(const PixelBox& box, const PixelBox& bounds, long long columns, long long rows) {
  const auto cell = [](double v, long long count) {
    return static_cast<long long>(std::clamp(v / kCell_px, 0.0, static_cast<double>(count - 1)));
  };
  return {cell(box.left - bounds.left, columns), cell(box.top - bounds.top, rows),
          cell(box.right() - bounds.left, columns), cell(box.bottom() - bounds.top, rows)};
}

}  // namespace

LabelSpace::LabelSpace(const PixelBox& box) : bounds_(box) {
  columns_ = static_cast<long long>(std::max(box.width, 0.0) / kCell_px) + 1;
  rows_ = static_cast<long long>(std::max(box.height, 0.0) / kCell_px) + 1;
  cells_.resize(static_cast<std::size_t>(columns_ * rows_));
}

void LabelSpace::mark_cells(const PixelBox& box, std::uint32_t index) {
  const CellSpan s = span_of(box, bounds_, columns_, rows_);
  for (long long y = s.y0; y <= s.y1; ++y)
    for (long long x = s.x0; x <= s.x1; ++x)
      cells_[static_cast<std::size_t>(y * columns_ + x)].push_back(index);
}

void LabelSpace::block(const PixelBox& box) {
  if (!overlap(box, bounds_)) return;
  taken_.push_back(box);
  mark_cells(box, static_cast<std::uint32_t>(taken_.size() - 1));
}

bool LabelSpace::is_free(const PixelBox& box) const {
  if (box.left < bounds_.left || box.top < bounds_.top || box.right() > bounds_.right() ||
      box.bottom() > bounds_.bottom())
    return false;
  const CellSpan s = span_of(box, bounds_, columns_, rows_);
  for (long long y = s.y0; y <= s.y1; ++y)
    for (long long x = s.x0; x <= s.x1; ++x)
      for (const std::uint32_t i : cells_[static_cast<std::size_t>(y * columns_ + x)])
        if (overlap(taken_[i], box)) return false;
  return true;
}

std::optional<Pixel> LabelSpace::place(Pixel anchor, double gap, double width, double height,
                                       LabelSides sides, const std::function<bool(const PixelBox&)>& suits) {
  const Pixel around[] = {{anchor.x + gap, anchor.y - height / 2},
                          {anchor.x - gap - width, anchor.y - height / 2},
                          {anchor.x - width / 2, anchor.y - gap - height},
                          {anchor.x - width / 2, anchor.y + gap},
                          {anchor.x + gap * 0.9, anchor.y - gap * 0.9 - height},
                          {anchor.x + gap * 0.9, anchor.y + gap * 0.9},
                          {anchor.x - gap * 0.9 - width, anchor.y + gap * 0.9},
                          {anchor.x - gap * 0.9 - width, anchor.y - gap * 0.9 - height}};
  std::vector<Pixel> centred;  // the middle first, then ever farther from it
  for (const double aside : {0.0, -0.25, 0.25})
    for (const double down : {0.0, -1.2, 1.2, -2.4, 2.4})
      centred.push_back({anchor.x + (aside - 0.5) * width, anchor.y + (down - 0.5) * height});
  const auto attempt = [&](const Pixel* first, const Pixel* last) -> std::optional<Pixel> {
    for (; first != last; ++first) {
      const PixelBox box{first->x, first->y, width, height};
      if (!is_free(box) || (suits && !suits(box))) continue;
      block(box);
      return *first;
    }
    return std::nullopt;
  };
  return sides == LabelSides::kAround ? attempt(std::begin(around), std::end(around))
                                      : attempt(centred.data(), centred.data() + centred.size());
}

}  // namespace brookmark::viewer
