#include "viewer/map/labels.hpp"

#include <algorithm>
#include <cmath>

namespace brookmark::viewer {
namespace {

constexpr double kCell_px = 64;
constexpr double kSameSpot_px =
    1.5;                           // marks nearer than this lie on one another: their labels go around both
constexpr double kRimShare = 0.7;  // of the gap: where the rim of the label's own mark is about
constexpr double kCornerShare = 0.87;  // of the gap: just outside the box that a mark blocks
constexpr std::size_t kMostMoved = 2;
constexpr double kLaterPlace_px = 1;  // a place later in the order is worth so much less line under it; taste
// A label that is as near to another mark as to its own is worth so much line under it; taste.
constexpr double kAmbiguous_px = 30;
constexpr double kFarther[] = {0, 0.5, 1.1, 1.8, 2.6, 3.6, 4.6};  // steps
constexpr int kDirections = 24;
constexpr double kStraight = 0.3;  // sine of an angle below which a box is met in the middle of its side

bool overlap(const PixelBox& a, const PixelBox& b) {
  return a.left < b.right() && b.left < a.right() && a.top < b.bottom() && b.top < a.bottom();
}

double distance(const PixelBox& box, Pixel p) {
  return std::hypot(std::max({box.left - p.x, 0.0, p.x - box.right()}),
                    std::max({box.top - p.y, 0.0, p.y - box.bottom()}));
}

// The four sides, the four corners, and eight places between.
void add_around(std::vector<Pixel>& places, Pixel anchor, double gap, double width, double height) {
  const double x = anchor.x, y = anchor.y, corner = gap * kCornerShare;
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

// In each direction the box that is nearest to the anchor at the point `away` from it.
void add_ring(std::vector<Pixel>& places, Pixel anchor, double away, double width, double height) {
  const auto edge = [](double at, double way, double size) {
    return way > kStraight ? at : way < -kStraight ? at - size : at - size / 2;
  };
  for (int i = 0; i < kDirections; ++i) {
    const double angle = i * 2 * 3.14159265358979 / kDirections, x = std::cos(angle), y = std::sin(angle);
    places.push_back({edge(anchor.x + x * away, x, width), edge(anchor.y + y * away, y, height)});
  }
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

LabelSpace::LabelSpace(const PixelBox& box, double pad, Pixel fixed)
    : bounds_(box), pad_(pad), lines_(box, fixed) {
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

std::uint32_t LabelSpace::take(const PixelBox& box, bool words) {
  taken_.push_back({box, words, false, {}});
  const auto index = static_cast<std::uint32_t>(taken_.size() - 1);
  if (overlap(box, bounds_)) mark_cells(box, index);
  return index;
}

void LabelSpace::block(const PixelBox& box) {
  if (overlap(box, bounds_)) take(box, false);
}

void LabelSpace::block_words(const PixelBox& box) {
  if (overlap(box, bounds_)) take(box, true);
}

bool LabelSpace::is_inside(const PixelBox& box) const {
  return box.left >= bounds_.left && box.top >= bounds_.top && box.right() <= bounds_.right() &&
         box.bottom() <= bounds_.bottom();
}

// What a box would lie over, until `visit` says no; something may be met twice.
template <class Visit>
bool LabelSpace::each_over(const PixelBox& box, const Visit& visit) const {
  const CellSpan s = span_of(box, bounds_, columns_, rows_);
  for (long long y = s.y0; y <= s.y1; ++y)
    for (long long x = s.x0; x <= s.x1; ++x)
      for (const std::uint32_t i : cells_[static_cast<std::size_t>(y * columns_ + x)])
        if (!taken_[i].gone && overlap(taken_[i].box, box) && !visit(i)) return false;
  return true;
}

bool LabelSpace::is_free(const PixelBox& box) const {
  return is_inside(box) && each_over(box, [](std::uint32_t) { return false; });
}

bool LabelSpace::has_room(const PixelBox& box) const {
  return is_inside(box) && each_over(padded(box), [&](std::uint32_t i) {
           return !taken_[i].words && !overlap(taken_[i].box, box);
         });
}

bool LabelSpace::is_free_of_words(const PixelBox& box) const {
  return each_over(box, [this](std::uint32_t i) { return !taken_[i].words; });
}

void LabelSpace::add_mark(Pixel middle, double radius) {
  if (!bounds_.contains(middle)) return;
  marks_.push_back({middle, radius});
  largest_radius_ = std::max(largest_radius_, radius);
  const CellSpan s = span_of({middle.x, middle.y, 0, 0}, bounds_, columns_, rows_);
  mark_cells_[static_cast<std::size_t>(s.y0 * columns_ + s.x0)].push_back(
      static_cast<std::uint32_t>(marks_.size() - 1));
}

// Marks in the cells within `reach` of a box, less the label's own; until `visit` says no.
template <class Visit>
void LabelSpace::each_other_mark(const PixelBox& box, double reach, Pixel anchor, const Visit& visit) const {
  const CellSpan s =
      span_of({box.left - reach, box.top - reach, box.width + 2 * reach, box.height + 2 * reach}, bounds_,
              columns_, rows_);
  for (long long y = s.y0; y <= s.y1; ++y)
    for (long long x = s.x0; x <= s.x1; ++x)
      for (const std::uint32_t i : mark_cells_[static_cast<std::size_t>(y * columns_ + x)]) {
        const Disc& other = marks_[i];
        const bool own = std::hypot(other.middle.x - anchor.x, other.middle.y - anchor.y) < kSameSpot_px;
        if (!own && !visit(distance(box, other.middle) - other.radius)) return;
      }
}

// From rim to label: another mark must be farther away by more than a third again, and by a pixel or two.
bool LabelSpace::nearest_to(const PixelBox& box, Pixel anchor, double gap) const {
  const double to_own = std::max(distance(box, anchor) - gap * kRimShare, 0.0);
  const double least = to_own * 1.35 + 1.5;
  bool nearest = true;
  each_other_mark(box, least + largest_radius_, anchor,
                  [&](double away) { return nearest = nearest && away >= least; });
  return nearest;
}

// 0 where every other mark is farther away by the label's gap, 1 where one is as near as its own.
double LabelSpace::ambiguity(const PixelBox& box, Pixel anchor, double gap) const {
  if (!(gap > 0)) return 0;
  const double to_own = std::max(distance(box, anchor) - gap * kRimShare, 0.0);
  double least = gap;
  each_other_mark(box, to_own + gap + largest_radius_, anchor, [&](double away) {
    least = std::min(least, away - to_own);
    return true;
  });
  return std::clamp(1 - least / gap, 0.0, 1.0);
}

// The free place that costs least: the line under it, and what else it costs; of equal ones the first.
template <class Suits, class Cost>
std::optional<PixelBox> LabelSpace::best_of(const std::vector<Pixel>& places, double width, double height,
                                            const Suits& suits, const Cost& more_cost) const {
  std::optional<PixelBox> best;
  double least = 0, order = 0;
  for (const Pixel at : places) {
    const double later = kLaterPlace_px * order++;
    if (best && later >= least) break;  // nothing that follows can be better
    const PixelBox box{at.x, at.y, width, height};
    if (!has_room(box)) continue;
    double cost = later + lines_.under(box);
    if ((best && cost >= least) || !suits(box)) continue;
    cost += more_cost(box);
    if (best && cost >= least) continue;
    best = box;
    least = cost;
  }
  return best;
}

std::optional<Pixel> LabelSpace::place(Pixel anchor, double gap, double width, double height,
                                       LabelSides sides, const std::function<bool(const PixelBox&)>& suits,
                                       double step) {
  std::vector<Pixel> places;
  if (sides == LabelSides::kCentred) {  // the middle first, then ever farther from it
    for (const double aside : {0.0, -0.25, 0.25})
      for (const double down : {0.0, -1.2, 1.2, -2.4, 2.4})
        places.push_back({anchor.x + (aside - 0.5) * width, anchor.y + (down - 0.5) * height});
  } else if (sides == LabelSides::kAside) {
    if (step <= 0) step = gap * 2 / 3;
    for (const double farther : kFarther) add_ring(places, anchor, gap + farther * step, width, height);
  } else {
    add_around(places, anchor, gap, width, height);
  }
  const bool around = sides == LabelSides::kAround;
  const auto box = best_of(
      places, width, height,
      [&](const PixelBox& b) { return (!around || nearest_to(b, anchor, gap)) && (!suits || suits(b)); },
      [&](const PixelBox& b) { return around ? kAmbiguous_px * ambiguity(b, anchor, gap) : 0; });
  if (!box) return std::nullopt;
  block_words(*box);
  return Pixel{box->left, box->top};
}

std::optional<PixelBox> LabelSpace::free_side(const Label& label) const {
  std::vector<Pixel> places;
  add_around(places, label.anchor, label.gap, label.width, label.height);
  return best_of(
      places, label.width, label.height,
      [&](const PixelBox& box) { return nearest_to(box, label.anchor, label.gap); },
      [&](const PixelBox& box) { return kAmbiguous_px * ambiguity(box, label.anchor, label.gap); });
}

void LabelSpace::settle_labels() {
  for (std::size_t number = 0; number < labels_.size(); ++number) {
    Label& label = labels_[number];
    const PixelBox before = taken_[label.taken].box;
    taken_[label.taken].gone = true;
    const auto better = free_side(label);  // the side it has is among those that are free
    if (!better || (better->left == before.left && better->top == before.top)) {
      taken_[label.taken].gone = false;
      continue;
    }
    label.taken = take(*better, true);
    taken_[label.taken].label = number;
  }
}

std::optional<std::size_t> LabelSpace::add_label(Pixel anchor, double gap, double width, double height) {
  Label label{anchor, gap, width, height, 0};
  const auto box = free_side(label);
  if (!box) return std::nullopt;
  label.taken = take(*box, true);
  taken_.back().label = labels_.size();
  labels_.push_back(label);
  return labels_.size() - 1;
}

std::optional<std::size_t> LabelSpace::add_label_by_moving(Pixel anchor, double gap, double width,
                                                           double height) {
  Label label{anchor, gap, width, height, 0};
  std::vector<Pixel> places;
  add_around(places, anchor, gap, width, height);
  for (const Pixel at : places) {
    const PixelBox box{at.x, at.y, width, height};
    std::vector<std::uint32_t> moving;
    const auto may_move = [&](std::uint32_t i) {
      if (!taken_[i].words && !overlap(taken_[i].box, box)) return true;
      if (!taken_[i].label) return false;
      if (std::find(moving.begin(), moving.end(), i) == moving.end()) moving.push_back(i);
      return moving.size() <= kMostMoved;
    };
    if (!is_inside(box) || !nearest_to(box, anchor, gap) || !each_over(padded(box), may_move)) continue;
    const std::size_t before = taken_.size();
    for (const std::uint32_t i : moving) taken_[i].gone = true;
    label.taken = take(box, true);
    std::vector<std::uint32_t> moved;
    for (const std::uint32_t i : moving) {
      const auto other = free_side(labels_[*taken_[i].label]);
      if (!other) break;
      moved.push_back(take(*other, true));
    }
    if (moved.size() < moving.size()) {
      for (std::size_t i = before; i < taken_.size(); ++i) taken_[i].gone = true;
      for (const std::uint32_t i : moving) taken_[i].gone = false;
      continue;
    }
    for (std::size_t i = 0; i < moving.size(); ++i) {
      const std::size_t number = *taken_[moving[i]].label;
      taken_[moved[i]].label = number;
      labels_[number].taken = moved[i];
    }
    taken_[label.taken].label = labels_.size();
    labels_.push_back(label);
    return labels_.size() - 1;
  }
  return std::nullopt;
}

}  // namespace brookmark::viewer
