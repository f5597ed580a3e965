#include "viewer/map/line_detail.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

namespace brookmark::viewer {
namespace {

constexpr std::size_t kMostGrades = 14;
constexpr double kFinestTolerance_m = 0.5;
constexpr double kSeen_px =
    0.25;  // a grade of this tolerance is fine enough; it was made from the one before, whose faults add up to as much again
constexpr double kCoarsest_px = 1;          // where a finer grade would be more than is drawn in time
constexpr std::size_t kPiece = 256;         // segments
constexpr std::size_t kFewSegments = 4000;  // a coarser grade of less is not worth its room

double square(double v) {
  return v * v;
}

// Squared distance to a straight piece.
double off_line(core::PlanePoint p, core::PlanePoint a, core::PlanePoint b) {
  const double dx = b.x - a.x, dy = b.y - a.y, length = square(dx) + square(dy);
  const double t = length > 0 ? std::clamp(((p.x - a.x) * dx + (p.y - a.y) * dy) / length, 0.0, 1.0) : 0;
  return square(p.x - a.x - t * dx) + square(p.y - a.y - t * dy);
}

// Places along a curve that keeps neighbours together (Morton order), 16 bits a side.
std::uint64_t curve(double x, double y) {
  const auto spread = [](double v) {
    auto bits = static_cast<std::uint64_t>(std::clamp(v, 0.0, 1.0) * 65535);
    std::uint64_t wide = 0;
    for (unsigned i = 0; i < 16; ++i) wide |= (bits >> i & 1U) << (2 * i);
    return wide;
  };
  return spread(x) | spread(y) << 1U;
}

void widen(PlaneBox& box, const Segment& s) {
  box = {std::min({box.min_x, static_cast<double>(s.from.x), static_cast<double>(s.to.x)}),
         std::min({box.min_y, static_cast<double>(s.from.y), static_cast<double>(s.to.y)}),
         std::max({box.max_x, static_cast<double>(s.from.x), static_cast<double>(s.to.x)}),
         std::max({box.max_y, static_cast<double>(s.from.y), static_cast<double>(s.to.y)})};
}

constexpr PlaneBox kNothing{std::numeric_limits<double>::infinity(), std::numeric_limits<double>::infinity(),
                            -std::numeric_limits<double>::infinity(),
                            -std::numeric_limits<double>::infinity()};

}  // namespace

std::vector<std::uint32_t> simplified(std::span<const core::PlanePoint> line, double tolerance) {
  std::vector<std::uint32_t> kept;
  if (line.empty()) return kept;
  std::vector<bool> stays(line.size(), false);
  stays.front() = stays.back() = true;
  std::vector<std::pair<std::size_t, std::size_t>> open{{0, line.size() - 1}};
  const double limit = square(tolerance);
  while (!open.empty()) {
    const auto [a, b] = open.back();
    open.pop_back();
    double worst = limit;
    std::size_t at = 0;
    for (std::size_t i = a + 1; i < b; ++i)
      if (const double d = off_line(line[i], line[a], line[b]); d > worst) worst = d, at = i;
    if (at == 0) continue;
    stays[at] = true;
    open.push_back({a, at});
    open.push_back({at, b});
  }
  for (std::uint32_t i = 0; i < line.size(); ++i)
    if (stays[i]) kept.push_back(i);
  return kept;
}

void LineDetail::add(std::span<const core::PlanePoint> line, std::size_t group) {
  Line added;
  added.group = std::min(group, groups_ - 1);
  for (const core::PlanePoint p : line)  // a place that the plane cannot hold is no part of a line in it
    if (std::isfinite(p.x) && std::isfinite(p.y)) added.points.push_back(p);
  lines_.push_back(std::move(added));
}

LineDetail::Grade LineDetail::make_grade(double tolerance, std::span<const std::uint32_t> order) {
  Grade grade;
  grade.tolerance_m = tolerance;
  std::vector<core::PlanePoint> rest;
  for (const std::uint32_t index : order) {
    Line& line = lines_[index];
    const auto begin = static_cast<std::uint32_t>(grade.segments.size());
    if (tolerance > 0) {
      rest.clear();
      for (const std::uint32_t i : simplified(line.points, tolerance)) rest.push_back(line.points[i]);
      line.points = rest;  // the next grade starts from this one
    }
    append_line(line.points, grade.segments);
    const auto end = static_cast<std::uint32_t>(grade.segments.size());
    if (tolerance == 0) line.own = {begin, end};
    if (begin == end) continue;
    const bool goes_on = !grade.pieces.empty() && grade.pieces.back().group == line.group &&
                         grade.pieces.back().segments.end - grade.pieces.back().segments.begin < kPiece;
    if (!goes_on) grade.pieces.push_back({kNothing, line.group, {begin, begin}});
    Piece& piece = grade.pieces.back();
    for (std::uint32_t i = begin; i < end; ++i) widen(piece.box, grade.segments[i]);
    piece.segments.end = end;
  }
  return grade;
}

void LineDetail::finish() {
  PlaneBox all = kNothing;
  for (const Line& line : lines_)
    for (const core::PlanePoint p : line.points)
      all = {std::min(all.min_x, p.x), std::min(all.min_y, p.y), std::max(all.max_x, p.x),
             std::max(all.max_y, p.y)};
  const double width = std::max(all.max_x - all.min_x, 1e-9), height = std::max(all.max_y - all.min_y, 1e-9);
  for (Line& line : lines_)
    if (!line.points.empty()) {
      const core::PlanePoint p = line.points[line.points.size() / 2];
      line.place = curve((p.x - all.min_x) / width, (p.y - all.min_y) / height);
    }
  std::vector<std::uint32_t> order(lines_.size());
  std::iota(order.begin(), order.end(), 0U);
  std::stable_sort(order.begin(), order.end(), [&](std::uint32_t a, std::uint32_t b) {
    if (lines_[a].group != lines_[b].group) return lines_[a].group < lines_[b].group;
    return lines_[a].place < lines_[b].place;
  });
  grades_.push_back(make_grade(0, order));
  for (double tolerance = kFinestTolerance_m; grades_.size() < kMostGrades; tolerance *= 2) {
    if (grades_.back().segments.size() < kFewSegments) break;
    Grade grade = make_grade(tolerance, order);
    // Hardly anything less: the finer one does as well, but the points that went stay away.
    if (grade.segments.size() * 10 > grades_.back().segments.size() * 9 &&
        grade.segments.size() > lines_.size() * 2)
      continue;
    grades_.push_back(std::move(grade));
    if (grades_.back().segments.size() <= lines_.size() * 11 / 10) break;
  }
  for (Line& line : lines_) line.points = {};
}

LineDetail::View LineDetail::choose(const PlaneBox& box, double metres_per_pixel, std::size_t budget) const {
  View view;
  if (grades_.empty()) return view;
  std::size_t grade = 0;
  for (std::size_t g = 1; g < grades_.size(); ++g)
    if (grades_[g].tolerance_m <= kSeen_px * metres_per_pixel) grade = g;
  const auto is_in = [&](const Piece& piece) {
    return piece.box.max_x >= box.min_x && piece.box.min_x <= box.max_x && piece.box.max_y >= box.min_y &&
           piece.box.min_y <= box.max_y;
  };
  std::vector<std::size_t> counts(groups_, 0);
  const auto count = [&] {
    std::fill(counts.begin(), counts.end(), 0);
    for (const Piece& piece : grades_[grade].pieces)
      if (is_in(piece)) counts[piece.group] += piece.segments.end - piece.segments.begin;
    return std::accumulate(counts.begin(), counts.end(), std::size_t{0});
  };
  while (count() > budget && grade + 1 < grades_.size() &&
         grades_[grade + 1].tolerance_m <= kCoarsest_px * metres_per_pixel)
    ++grade;
  std::size_t lowest = groups_;
  for (std::size_t group = groups_; group-- > 0;) {
    if (counts[group] == 0) continue;
    if (view.segments > 0 && view.segments + counts[group] > budget) {
      view.left_out = true;
      break;
    }
    view.segments += counts[group];
    lowest = group;
  }
  for (const Piece& piece : grades_[grade].pieces) {
    if (piece.group < lowest || !is_in(piece)) continue;
    if (!view.ranges.empty() && view.ranges.back().group == piece.group &&
        view.ranges.back().segments.end == piece.segments.begin)
      view.ranges.back().segments.end = piece.segments.end;
    else
      view.ranges.push_back({grade, piece.group, piece.segments});
  }
  return view;
}

}  // namespace brookmark::viewer
