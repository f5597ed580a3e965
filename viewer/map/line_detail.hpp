// Why: a million points of watercourse are more than a screen has room for. Lines are kept at several grades of detail, and
// in pieces by place, so that a frame draws only what is in view, and of that no more than can be seen.
// Use: LineDetail lines;  lines.add(plane_line, group);  lines.finish();  auto view = lines.choose(box, mpp, budget);
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "viewer/map/segments.hpp"
#include "viewer/state/viewport.hpp"

namespace brookmark::viewer {

// Indices of the points that stay when a line is drawn no worse than `tolerance` (Douglas and Peucker 1973, Cartographica
// 10(2):112-122; citation: memory). The first and last always stay.
std::vector<std::uint32_t> simplified(std::span<const core::PlanePoint> line, double tolerance);

// A part of the segments of one grade to draw.
struct DetailRange {
  std::size_t grade = 0;
  std::size_t group = 0;
  SegmentRange segments;
};

class LineDetail {
 public:
  // Groups are drawn apart (a stream order each); lines of the lowest numbers are left out first where there are too many.
  explicit LineDetail(std::size_t groups = 1) : groups_(groups) {}
  void add(std::span<const core::PlanePoint> line, std::size_t group = 0);
  // Sorts into pieces and makes the grades; nothing can be added after it.
  void finish();

  std::size_t grade_count() const { return grades_.size(); }
  double tolerance_m(std::size_t grade) const { return grades_[grade].tolerance_m; }  // 0: as it was added
  std::span<const Segment> segments(std::size_t grade) const { return grades_[grade].segments; }
  // Where the n-th line that was added lies among the segments of grade 0.
  SegmentRange line(std::size_t index) const { return lines_[index].own; }

  struct View {
    std::vector<DetailRange> ranges;  // the lowest group first
    std::size_t segments = 0;         // in all of them
    bool left_out = false;            // some groups are not drawn, for there would be too much
  };
  // What of it a view needs: the grade that is right to half a pixel; where that is more than `budget` segments, one that
  // is right to two; and then the lowest groups are left out, but never the highest that is in view.
  View choose(const PlaneBox& box, double metres_per_pixel, std::size_t budget) const;

 private:
  struct Line {
    std::vector<core::PlanePoint> points;
    std::size_t group = 0;
    SegmentRange own;
    std::uint64_t place = 0;  // along a curve through the plane, so that neighbours come together
  };
  struct Piece {
    PlaneBox box;
    std::size_t group = 0;
    SegmentRange segments;
  };
  struct Grade {
    double tolerance_m = 0;
    std::vector<Segment> segments;
    std::vector<Piece> pieces;  // by group
  };
  Grade make_grade(double tolerance, std::span<const std::uint32_t> order);
  std::size_t groups_;
  std::vector<Line> lines_;
  std::vector<Grade> grades_;
};

}  // namespace brookmark::viewer
