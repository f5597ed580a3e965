#include <cmath>
#include <map>
#include <utility>

#include "core/base/text.hpp"
#include "core/sharing/reach_ends_internal.hpp"

namespace brookmark::core {

namespace {

// Common practice, no source.
constexpr double kShapes_m = 5;

// Whether the line runs nearly straight over the end of `above`, which is the beginning of `below`.
bool straight_over(const Line& above, const Line& below) {
  const LonLat before = above[above.size() - 2], joint = above.back(), after = below[1];
  const LocalFrame plane(joint);
  const PlanePoint a = plane.to_plane(before), b = plane.to_plane(after), j = plane.to_plane(joint);
  const double length = std::hypot(b.x - a.x, b.y - a.y);
  if (length == 0) return false;
  return std::abs((b.x - a.x) * (a.y - j.y) - (a.x - j.x) * (b.y - a.y)) / length < kShapes_m;
}

}  // namespace

std::vector<Reach> close_ends(std::vector<Reach> reaches, std::span<const BoundingBox> boxes) {
  if (boxes.empty()) return reaches;
  struct Ends {
    std::vector<std::size_t> ending, starting;
  };
  std::map<LonLat, Ends> at;
  const auto inside = [&](LonLat p) {
    for (const BoundingBox& box : boxes)
      if (overlap(box, {p.lon, p.lat, p.lon, p.lat})) return true;
    return false;
  };
  for (std::size_t i = 0; i < reaches.size(); ++i) {
    if (reaches[i].line.size() < 2) continue;
    if (inside(reaches[i].line.front())) at[reaches[i].line.front()].starting.push_back(i);
    if (inside(reaches[i].line.back())) at[reaches[i].line.back()].ending.push_back(i);
  }
  std::vector<bool> gone(reaches.size());
  std::vector<std::size_t> part_of(reaches.size());  // a reach that was taken up, and by which
  for (std::size_t i = 0; i < reaches.size(); ++i) part_of[i] = i;
  const auto whole = [&](std::size_t i) {
    while (part_of[i] != i) i = part_of[i];
    return i;
  };
  for (const auto& [place, ends] : at) {
    if (ends.ending.size() != 1 || ends.starting.size() != 1) continue;
    const std::size_t upper = whole(ends.ending[0]), lower = whole(ends.starting[0]);
    Reach &above = reaches[upper], &below = reaches[lower];
    if (upper == lower || above.name != below.name || above.two_way != below.two_way) continue;
    // A point that does not shape the line would tell the place of the cut all the same.
    if (straight_over(above.line, below.line)) above.line.pop_back();
    above.line.insert(above.line.end(), below.line.begin() + 1, below.line.end());
    append_note(above.note, below.note);
    gone[lower] = true;
    part_of[lower] = upper;
  }
  std::vector<Reach> left;
  for (std::size_t i = 0; i < reaches.size(); ++i)
    if (!gone[i]) left.push_back(std::move(reaches[i]));
  return left;
}

}  // namespace brookmark::core
