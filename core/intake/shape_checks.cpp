#include "core/intake/shape_checks.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "core/base/text.hpp"

namespace brookmark::core {

namespace {

// Nearer than this to a line, a point is taken to lie on it: about 0.1 mm. Common practice, no source.
constexpr double kOnLine_deg = 1e-9;

struct Segment {
  LonLat a, b;
  double min_lon, max_lon, min_lat, max_lat;
};

// On which side of a-b the point lies: -1, 0 (on it) or 1.
int side(LonLat a, LonLat b, LonLat p) {
  const double dx = b.lon - a.lon, dy = b.lat - a.lat;
  const double length = std::hypot(dx, dy);
  if (length == 0) return 0;
  const double off = (dx * (p.lat - a.lat) - dy * (p.lon - a.lon)) / length;
  return off > kOnLine_deg ? 1 : off < -kOnLine_deg ? -1 : 0;
}

bool cross(const Segment& s, const Segment& t) {
  const int a = side(s.a, s.b, t.a), b = side(s.a, s.b, t.b);
  if (a * b >= 0) return false;
  return side(t.a, t.b, s.a) * side(t.a, t.b, s.b) < 0;
}

// Sweeps from west to east; only segments whose boxes overlap are compared.
std::optional<LonLat> first_crossing(std::vector<Segment> segments) {
  std::sort(segments.begin(), segments.end(),
            [](const Segment& s, const Segment& t) { return s.min_lon < t.min_lon; });
  std::vector<const Segment*> open;
  for (const Segment& segment : segments) {
    std::erase_if(open, [&](const Segment* other) { return other->max_lon < segment.min_lon; });
    for (const Segment* other : open)
      if (other->min_lat <= segment.max_lat && other->max_lat >= segment.min_lat && cross(*other, segment))
        return segment.a;
    open.push_back(&segment);
  }
  return std::nullopt;
}

void append(const Line& line, std::vector<Segment>& segments) {
  for (std::size_t i = 1; i < line.size(); ++i) {
    const LonLat a = line[i - 1], b = line[i];
    segments.push_back({a, b, std::min(a.lon, b.lon), std::max(a.lon, b.lon), std::min(a.lat, b.lat),
                        std::max(a.lat, b.lat)});
  }
}

// All corners on one line: what the ring encloses is nowhere wider than kOnLine_deg.
bool is_flat(const Line& ring) {
  double twice_area = 0, around = 0;
  for (std::size_t i = 1; i < ring.size(); ++i) {
    const LonLat o = ring.front(), a = ring[i - 1], b = ring[i];
    twice_area += (a.lon - o.lon) * (b.lat - o.lat) - (b.lon - o.lon) * (a.lat - o.lat);
    around += std::hypot(b.lon - a.lon, b.lat - a.lat);
  }
  return std::abs(twice_area) <= kOnLine_deg * around;
}

std::string place_text(LonLat at) {
  return format_fixed(at.lon, 5) + " " + format_fixed(at.lat, 5);
}

}  // namespace

std::optional<LonLat> self_crossing(const Line& line) {
  std::vector<Segment> segments;
  append(line, segments);
  return first_crossing(std::move(segments));
}

std::string line_fault(const Line& line) {
  if (!std::all_of(line.begin(), line.end(), is_valid))
    return "This line has a point that is no place on earth; check it and its coordinate system.";
  if (line.size() < 2 || std::all_of(line.begin(), line.end(), [&](LonLat p) { return p == line.front(); }))
    return "This line has no length; draw it with at least two different points, or delete it.";
  return "";
}

std::string polygon_fault(const MultiPolygon& shape) {
  if (shape.empty()) return "This area has no outline; draw it, or delete it.";
  std::vector<Segment> segments;
  for (const Polygon& part : shape) {
    if (part.rings.empty()) return "This area has a part without an outline; draw it, or delete it.";
    for (const Line& ring : part.rings) {
      if (!std::all_of(ring.begin(), ring.end(), is_valid))
        return "This area has a point that is no place on earth; check it and its coordinate system.";
      if (ring.size() < 4 || ring.front() != ring.back())
        return "This area has an outline that is not closed, or has fewer than three corners; redraw it.";
      append(ring, segments);
    }
  }
  if (const auto at = first_crossing(std::move(segments)))
    return "The outline of this area crosses itself near " + place_text(*at) +
           " (longitude, latitude); correct it in the program that drew it.";
  for (const Polygon& part : shape)
    if (std::any_of(part.rings.begin(), part.rings.end(), is_flat))
      return "This area has an outline that encloses nothing; redraw it, or delete it.";
  return "";
}

}  // namespace brookmark::core
