#include <algorithm>
#include <cmath>
#include <tuple>

#include "core/network/box_index_internal.hpp"
#include "core/network/line_meetings_internal.hpp"

namespace brookmark::core {
namespace {

// A run of segments of one line under one box.
struct Chunk {
  std::uint32_t line, begin, end;  // segments begin up to end; segment i leads from point i to i + 1
};
constexpr std::uint32_t kChunk = 16;

struct Touch {
  PlanePoint at;
  double along_s = 0, along_t = 0;  // shares
  double shared_m = 0;
};

double cross(PlanePoint o, PlanePoint a, PlanePoint b) {
  return (a.x - o.x) * (b.y - o.y) - (a.y - o.y) * (b.x - o.x);
}

// How two segments meet: along a common part, in a point, or not.
std::optional<Touch> touch_of(PlanePoint s0, PlanePoint s1, PlanePoint t0, PlanePoint t1) {
  const double length = std::sqrt(squared_m(s0, s1));
  if (length <= 0) return std::nullopt;
  constexpr double kNear = kSamePlaceM;
  // The part of t beside s, as shares of s.
  const auto share_on_s = [&](PlanePoint p) {
    return ((p.x - s0.x) * (s1.x - s0.x) + (p.y - s0.y) * (s1.y - s0.y)) / (length * length);
  };
  const double u0 = share_on_s(t0), u1 = share_on_s(t1);
  const double off0 = std::abs(cross(s0, s1, t0)) / length, off1 = std::abs(cross(s0, s1, t1)) / length;
  const double low = std::max(0.0, std::min(u0, u1)), high = std::min(1.0, std::max(u0, u1));
  if ((high - low) * length > kNear && u0 != u1) {
    const auto off_at = [&](double u) { return off0 + (off1 - off0) * (u - u0) / (u1 - u0); };
    const bool same_side = cross(s0, s1, t0) * cross(s0, s1, t1) >= 0 || std::max(off0, off1) <= kNear;
    if (same_side && off_at(low) <= kNear && off_at(high) <= kNear)
      return Touch{between(s0, s1, low), low, (low - u0) / (u1 - u0), (high - low) * length};
  }
  const double a = cross(s0, s1, t0), b = cross(s0, s1, t1), c = cross(t0, t1, s0), d = cross(t0, t1, s1);
  if (((a < 0 && b > 0) || (a > 0 && b < 0)) && ((c < 0 && d > 0) || (c > 0 && d < 0)))
    return Touch{between(s0, s1, c / (c - d)), c / (c - d), a / (a - b), 0};
  // A corner of one on the other.
  std::optional<Touch> best;
  double nearest = kNear * kNear;
  const auto offer = [&](PlanePoint corner, double along_s, double along_t, PlanePoint foot) {
    const double squared = squared_m(corner, foot);
    if (squared > nearest) return;
    nearest = squared;
    best = Touch{corner, along_s, along_t, 0};
  };
  for (const auto& [corner, along_t] : {std::pair(t0, 0.0), std::pair(t1, 1.0)}) {
    const double share = nearest_share(s0, s1, corner);
    offer(corner, share, along_t, between(s0, s1, share));
  }
  for (const auto& [corner, along_s] : {std::pair(s0, 0.0), std::pair(s1, 1.0)}) {
    const double share = nearest_share(t0, t1, corner);
    offer(corner, along_s, share, between(t0, t1, share));
  }
  return best;
}

double along(const ChannelLine& line, std::uint32_t segment, double share) {
  return line.along_m[segment] + share * (line.along_m[segment + 1] - line.along_m[segment]);
}

}  // namespace

std::vector<LineMeeting> line_meetings(std::span<const ChannelLine> lines, const LocalFrame& frame,
                                       double tolerance_m) {
  std::vector<Chunk> chunks;
  std::vector<PlaneBox> boxes;
  for (std::uint32_t l = 0; l < lines.size(); ++l) {
    const auto segments = static_cast<std::uint32_t>(lines[l].plane.size() - 1);
    for (std::uint32_t begin = 0; begin < segments; begin += kChunk) {
      const Chunk chunk{l, begin, std::min(begin + kChunk, segments)};
      PlaneBox box = grown(lines[l].plane[begin], kSamePlaceM);
      for (std::uint32_t p = begin + 1; p <= chunk.end; ++p)
        box = joined(box, grown(lines[l].plane[p], kSamePlaceM));
      chunks.push_back(chunk);
      boxes.push_back(box);
    }
  }
  const BoxIndex index(boxes);
  std::vector<LineMeeting> found;
  const auto near_an_end = [&](const ChannelLine& line, double along_m, PlanePoint at) {
    const double limit_m = std::max(tolerance_m, kSamePlaceM);
    return along_m <= limit_m || along_m >= line.length() - limit_m ||
           squared_m(line.plane.front(), at) <= limit_m * limit_m ||
           squared_m(line.plane.back(), at) <= limit_m * limit_m;
  };
  const auto compare = [&](const Chunk& x, const Chunk& y) {
    const ChannelLine& a = lines[x.line];
    const ChannelLine& b = lines[y.line];
    for (std::uint32_t i = x.begin; i < x.end; ++i) {
      PlaneBox box = box_around(a.plane[i], a.plane[i + 1]);
      box = joined(grown({box.min_x, box.min_y}, kSamePlaceM), grown({box.max_x, box.max_y}, kSamePlaceM));
      for (std::uint32_t j = y.begin; j < y.end; ++j) {
        if (!box.touches(box_around(b.plane[j], b.plane[j + 1]))) continue;
        const auto touch = touch_of(a.plane[i], a.plane[i + 1], b.plane[j], b.plane[j + 1]);
        if (!touch) continue;
        const double along_a_m = along(a, i, touch->along_s), along_b_m = along(b, j, touch->along_t);
        if (touch->shared_m == 0 &&
            (near_an_end(a, along_a_m, touch->at) || near_an_end(b, along_b_m, touch->at)))
          continue;
        found.push_back({x.line, y.line, frame.to_lonlat(touch->at), along_a_m, along_b_m, touch->shared_m});
      }
    }
  };
  for (std::uint32_t c = 0; c < chunks.size(); ++c) {
    index.visit(boxes[c], [&](std::uint32_t other) {
      if (chunks[other].line > chunks[c].line) compare(chunks[c], chunks[other]);
    });
  }
  std::sort(found.begin(), found.end(), [](const LineMeeting& m, const LineMeeting& n) {
    return std::tie(m.a, m.b, m.along_a_m, m.along_b_m) < std::tie(n.a, n.b, n.along_a_m, n.along_b_m);
  });
  std::vector<LineMeeting> meetings;
  for (std::size_t begin = 0, end = 0; begin < found.size(); begin = end) {
    LineMeeting shared = found[begin];
    shared.shared_m = 0;
    for (end = begin; end < found.size() && found[end].a == shared.a && found[end].b == shared.b; ++end) {
      if (found[end].shared_m > 0 && shared.shared_m == 0) shared.position = found[end].position;
      shared.shared_m += found[end].shared_m;
    }
    if (shared.shared_m > 0) {
      meetings.push_back(shared);
      continue;
    }
    const std::size_t first = meetings.size();
    for (std::size_t i = begin; i < end; ++i) {
      // A touch at a corner is found from both segments that meet there.
      bool told = false;
      for (std::size_t m = meetings.size(); m-- > first && !told;) {
        if (found[i].along_a_m - meetings[m].along_a_m > 2 * kSamePlaceM) break;
        told = std::abs(found[i].along_b_m - meetings[m].along_b_m) <= 2 * kSamePlaceM;
      }
      if (!told) meetings.push_back(found[i]);
    }
  }
  return meetings;
}

bool is_same_course(const LineMeeting& meeting, std::span<const ChannelLine> lines) {
  const double slack_m = 4 * kSamePlaceM;  // a centimetre at either end of either line
  return meeting.shared_m >= lines[meeting.a].length() - slack_m &&
         meeting.shared_m >= lines[meeting.b].length() - slack_m;
}

}  // namespace brookmark::core
