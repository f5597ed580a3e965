#include "viewer/map/labels.hpp"

#include <algorithm>
#include <cmath>

namespace brookmark::viewer {
namespace {

constexpr double kCell_px = 64;
constexpr double kSameSpot_px =
    1.5;                           // marks nearer than this lie on one another: their labels go around both
constexpr double kRimShare = 0.7;  // of the gap: where the rim of the label's own mark is about

bool overlap(const PixelBox& a, const PixelBox& b) {
  return a.left < b.right() && b.left < a.right() && a.top < b.bottom() && b.top < a.bottom();
}

double distance(const PixelBox& box, Pixel p) {
  return std::hypot(std::max({box.left - p.x, 0.0, p.x - box.right()}),
                    std::max({box.top - p.y, 0.0, p.y - box.bottom()}));
}

// The four sides, the four corners, and eight places between.
void add_around(std::vector<Pixel>& places, Pixel anchor, double gap, double width, double height) {
  const double x = anchor.x, y = anchor.y, corner = gap * 0.72;
  places.insert(places.end(), {{x + gap, y - height / 2},
                               {x - gap - width, y - height / 2},
                               {x - width / 2, y - gap - height},
                               {x - width / 2, y + gap},
                               {x + corner, y - corner - height},
                               {x + corner, y + corner},
                               {x - corner - width, y + corner},
                               {x - corner - width, y - corner - height},
                               {x + gap, y - height * 0.85},
                               {x + gap, y - height * 0.15},
                               {x - gap - width, y - height * 0.85},
                               {x - gap - width, y - height * 0.15},
                               {x - width * 0.2, y - gap - height},
                               {x - width * 0.8, y - gap - height},
                               {x - width * 0.2, y + gap},
                               {x - width * 0.8, y + gap}});
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
  mark_cells_.resize(cells_.size());
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

void LabelSpace::add_mark(Pixel middle, double radius) {
  if (!bounds_.contains(middle)) return;
  marks_.push_back({middle, radius});
  largest_radius_ = std::max(largest_radius_, radius);
  const CellSpan s = span_of({middle.x, middle.y, 0, 0}, bounds_, columns_, rows_);
  mark_cells_[static_cast<std::size_t>(s.y0 * columns_ + s.x0)].push_back(
      static_cast<std::uint32_t>(marks_.size() - 1));
}

// From rim to label: another mark must be farther away by more than a third again, and by a pixel or two.
bool LabelSpace::nearest_to(const PixelBox& box, Pixel anchor, double gap) const {
  const double to_own = std::max(distance(box, anchor) - gap * kRimShare, 0.0);
  const double least = to_own * 1.35 + 1.5, reach = least + largest_radius_;
  const CellSpan s =
      span_of({box.left - reach, box.top - reach, box.width + 2 * reach, box.height + 2 * reach}, bounds_,
              columns_, rows_);
  for (long long y = s.y0; y <= s.y1; ++y)
    for (long long x = s.x0; x <= s.x1; ++x)
      for (const std::uint32_t i : mark_cells_[static_cast<std::size_t>(y * columns_ + x)]) {
        const Disc& other = marks_[i];
        const bool own = std::hypot(other.middle.x - anchor.x, other.middle.y - anchor.y) < kSameSpot_px;
        if (!own && distance(box, other.middle) - other.radius < least) return false;
      }
  return true;
}

std::optional<Pixel> LabelSpace::place(Pixel anchor, double gap, double width, double height,
                                       LabelSides sides, const std::function<bool(const PixelBox&)>& suits) {
  std::vector<Pixel> places;
  if (sides == LabelSides::kCentred) {  // the middle first, then ever farther from it
    for (const double aside : {0.0, -0.25, 0.25})
      for (const double down : {0.0, -1.2, 1.2, -2.4, 2.4})
        places.push_back({anchor.x + (aside - 0.5) * width, anchor.y + (down - 0.5) * height});
  } else {
    add_around(places, anchor, gap, width, height);
    if (sides == LabelSides::kAside)
      for (const double farther : {1.6, 2.4}) add_around(places, anchor, gap * farther, width, height);
  }
  for (const Pixel at : places) {
    const PixelBox box{at.x, at.y, width, height};
    if (!is_free(box) || (sides == LabelSides::kAround && !nearest_to(box, anchor, gap)) ||
        (suits && !suits(box)))
      continue;
    block(box);
    return at;
  }
  return std::nullopt;
}

}  // namespace brookmark::viewer
