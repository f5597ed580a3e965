#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <tuple>

#include "core/base/text.hpp"
#include "core/network/box_index_internal.hpp"
#include "core/network/channel_lines_internal.hpp"

// Ends are brought together from the nearest pair to the farthest, ties by position, so the order of the
// reaches in their file changes nothing. One thing is never done: joining two places that a short piece of
// channel (kStub tolerances or less) already joins. Without this, reaches shorter than the tolerance would
// fold up into one node, lose their length and turn into loops.

namespace brookmark::core {
namespace {

constexpr double kStub = 3;
constexpr double kRounding = 1e-6;  // metres; the same distance measured from its other end

// A point of the graph to be: an end of a line, or a place where another end splits it.
struct Point {
  std::uint32_t line;
  double along_m;
  LonLat position;
  PlanePoint plane;
};

struct Pair {  // two ends
  double distance_m;
  std::uint32_t a, b;
};

struct Candidate {  // an end beside the inside of a line
  double distance_m;
  std::uint32_t end, line;
  double along_m;
  LonLat position;
  PlanePoint plane;
};

// A run of segments of one line under one box: a box for each would be a tenfold.
struct Chunk {
  std::uint32_t line, begin, end;  // segment i leads from point i to i + 1
};
constexpr std::uint32_t kChunk = 16;
constexpr std::uint32_t kNone = std::numeric_limits<std::uint32_t>::max();

class Joiner {
 public:
  Joiner(std::span<const ChannelLine> lines, double tolerance_m, const ReachLabel& label,
         ChannelFindings& findings)
      : lines_(lines), tolerance_m_(std::max(tolerance_m, kSamePlaceM)), label_(label), findings_(findings) {
    points_.reserve(lines.size() * 2);
    for (std::uint32_t l = 0; l < lines.size(); ++l) {
      const ChannelLine& line = lines[l];
      points_.push_back({l, 0, line.points.front(), line.plane.front()});
      points_.push_back({l, line.length(), line.points.back(), line.plane.back()});
    }
    parent_.resize(points_.size());
    std::iota(parent_.begin(), parent_.end(), 0U);
    next_member_ = parent_;
    size_.assign(points_.size(), 1);
    first_split_.assign(lines.size(), kNone);
    next_split_.assign(points_.size(), kNone);
  }

  JoinedLines run() {
    const std::vector<std::uint32_t> ends = join_coincident_ends();
    for (const Pair& pair : pairs_of(ends)) join_ends(pair);
    for (const Candidate& candidate : candidates_of(ends)) join_to_line(candidate);
    report_wide_nodes();
    return numbered();
  }

 private:
  std::uint32_t find(std::uint32_t point) {
    while (parent_[point] != point) {
      parent_[point] = parent_[parent_[point]];
      point = parent_[point];
    }
    return point;
  }

  void unite(std::uint32_t a, std::uint32_t b) {
    a = find(a);
    b = find(b);
    if (a == b) return;
    if (size_[a] < size_[b]) std::swap(a, b);
    parent_[b] = a;
    size_[a] += size_[b];
    std::swap(next_member_[a], next_member_[b]);  // two rings become one
  }

  // Calls f(point) for every point of a cluster, given any of them.
  template <class F>
  void each_member(std::uint32_t point, F&& f) const {
    std::uint32_t member = point;
    do {
      f(member);
      member = next_member_[member];
    } while (member != point);
  }

  // Calls f(point) for the two ends of a line and the places where it is split.
  template <class F>
  void each_on_line(std::uint32_t line, F&& f) const {
    f(2 * line);
    f(2 * line + 1);
    for (std::uint32_t p = first_split_[line]; p != kNone; p = next_split_[p]) f(p);
  }

  // Calls f(point) for the points of a line within kStub tolerances of a place on it.
  template <class F>
  void near_on_line(std::uint32_t line, double along_m, F&& f) const {
    each_on_line(line, [&](std::uint32_t p) {
      if (std::abs(points_[p].along_m - along_m) <= kStub * tolerance_m_) f(p);
    });
  }

  // Whether a short piece of channel leads from the one cluster to the other.
  bool joined_by_stub(std::uint32_t a, std::uint32_t b) {
    a = find(a);
    b = find(b);
    if (size_[a] > size_[b]) std::swap(a, b);
    bool joined = false;
    each_member(a, [&](std::uint32_t p) {
      near_on_line(points_[p].line, points_[p].along_m, [&](std::uint32_t q) { joined |= find(q) == b; });
    });
    return joined;
  }

  // Ends drawn at the very same position are one; gives one end for each position.
  std::vector<std::uint32_t> join_coincident_ends() {
    struct Keyed {
      LonLat position;
      std::uint32_t point;
      auto operator<=>(const Keyed&) const = default;
    };
    std::vector<Keyed> order;
    order.reserve(points_.size());
    for (std::uint32_t p = 0; p < points_.size(); ++p) order.push_back({points_[p].position, p});
    std::sort(order.begin(), order.end());
    std::vector<std::uint32_t> distinct;
    for (const Keyed& key : order) {
      if (!distinct.empty() && points_[distinct.back()].position == key.position) {
        unite(distinct.back(), key.point);
      } else {
        distinct.push_back(key.point);
      }
    }
    return distinct;
  }

  // Pairs of ends within the tolerance, nearest first.
  std::vector<Pair> pairs_of(const std::vector<std::uint32_t>& ends) const {
    std::vector<PlaneBox> boxes;
    boxes.reserve(ends.size());
    for (const std::uint32_t p : ends) boxes.push_back(grown(points_[p].plane, 0));
    const BoxIndex index(boxes);
    std::vector<Pair> pairs;
    for (std::uint32_t i = 0; i < ends.size(); ++i) {
      index.visit(grown(points_[ends[i]].plane, tolerance_m_), [&](std::uint32_t j) {
        if (j <= i) return;
        const double distance_m = geodesic_m(points_[ends[i]].position, points_[ends[j]].position);
        if (distance_m <= tolerance_m_) pairs.push_back({distance_m, ends[i], ends[j]});
      });
    }
    std::sort(pairs.begin(), pairs.end(), [this](const Pair& a, const Pair& b) {
      return std::tie(a.distance_m, points_[a.a].position, points_[a.b].position) <
             std::tie(b.distance_m, points_[b.a].position, points_[b.b].position);
    });
    return pairs;
  }

  void join_ends(const Pair& pair) {
    if (find(pair.a) == find(pair.b)) return;
    if (pair.distance_m > kSamePlaceM) {
      if (joined_by_stub(pair.a, pair.b)) return;
      note(ChannelFault::kGap, pair.a, pair.distance_m,
           "The " + end_text(pair.a) + " was joined to the " + end_text(pair.b) + ", over " +
               format_fixed(pair.distance_m, 2) + " m.");
    }
    unite(pair.a, pair.b);
  }

  // For each end the nearest place inside each other line within the tolerance, nearest first.
  std::vector<Candidate> candidates_of(const std::vector<std::uint32_t>& ends) {
    std::vector<PlaneBox> boxes;
    std::vector<Chunk> chunks;
    for (std::uint32_t l = 0; l < lines_.size(); ++l) {
      const std::vector<PlanePoint>& plane = lines_[l].plane;
      const auto segments = static_cast<std::uint32_t>(plane.size() - 1);
      for (std::uint32_t begin = 0; begin < segments; begin += kChunk) {
        chunks.push_back({l, begin, std::min(begin + kChunk, segments)});
        boxes.push_back(box_around(plane[begin], plane[begin + 1]));
        for (std::uint32_t p = begin + 2; p <= chunks.back().end; ++p)
          boxes.back() = joined(boxes.back(), grown(plane[p], 0));
      }
    }
    const BoxIndex index(boxes);
    std::vector<Candidate> candidates;
    std::vector<Candidate> here;
    for (const std::uint32_t end : ends) {
      here.clear();
      const PlaneBox around = grown(points_[end].plane, tolerance_m_);
      index.visit(around, [&](std::uint32_t c) {
        const auto [l, begin, last] = chunks[c];
        const std::vector<PlanePoint>& plane = lines_[l].plane;
        for (std::uint32_t i = begin; i < last; ++i)
          if (box_around(plane[i], plane[i + 1]).touches(around)) add_candidate(end, l, i, here);
      });
      std::sort(here.begin(), here.end(), [](const Candidate& a, const Candidate& b) {
        return std::tie(a.line, a.distance_m, a.along_m) < std::tie(b.line, b.distance_m, b.along_m);
      });
      for (std::size_t c = 0; c < here.size(); ++c) {
        if (c == 0 || here[c].line != here[c - 1].line) candidates.push_back(here[c]);
      }
    }
    std::sort(candidates.begin(), candidates.end(), [this](const Candidate& a, const Candidate& b) {
      return std::tie(a.distance_m, points_[a.end].position, lines_[a.line].points, a.line) <
             std::tie(b.distance_m, points_[b.end].position, lines_[b.line].points, b.line);
    });
    return candidates;
  }

  void add_candidate(std::uint32_t end, std::uint32_t l, std::uint32_t i, std::vector<Candidate>& here) {
    const ChannelLine& line = lines_[l];
    const double share = nearest_share(line.plane[i], line.plane[i + 1], points_[end].plane);
    Candidate c{0,
                end,
                l,
                line.along_m[i] + share * (line.along_m[i + 1] - line.along_m[i]),
                between(line.points[i], line.points[i + 1], share),
                between(line.plane[i], line.plane[i + 1], share)};
    if (c.along_m <= kSamePlaceM || c.along_m >= line.length() - kSamePlaceM)
      return;  // its ends had their turn
    c.distance_m = geodesic_m(points_[end].position, c.position);
    if (c.distance_m > tolerance_m_) return;
    // A line's own end joins its inside only where it is drawn onto it: a narrow bend is no loop.
    if (c.distance_m > kSamePlaceM && points_[end].line == l) return;
    if (!meets_already(c)) here.push_back(c);
  }

  // Whether the end is on this line already, at about this place, directly or over a short piece of channel.
  bool meets_already(const Candidate& c) {
    bool meets = false;
    near_on_line(c.line, c.along_m, [&](std::uint32_t q) {
      meets |= find(q) == find(c.end) || (c.distance_m > kSamePlaceM && joined_by_stub(c.end, q));
    });
    return meets;
  }

  void join_to_line(const Candidate& c) {
    if (meets_already(c)) return;
    std::uint32_t point = kNone;
    each_on_line(c.line, [&](std::uint32_t p) {
      if (point == kNone && std::abs(points_[p].along_m - c.along_m) <= kSamePlaceM) point = p;
    });
    if (point == kNone) {
      point = static_cast<std::uint32_t>(points_.size());
      points_.push_back({c.line, c.along_m, c.position, c.plane});
      parent_.push_back(point);
      next_member_.push_back(point);
      size_.push_back(1);
      next_split_.push_back(first_split_[c.line]);
      first_split_[c.line] = point;
    }
    unite(point, c.end);
    if (c.distance_m > kSamePlaceM) {
      note(ChannelFault::kShort, c.end, c.distance_m,
           "The " + end_text(c.end) + " was joined to " + label_(lines_[c.line].reach) + ", which passes " +
               format_fixed(c.distance_m, 2) + " m away at " + place_words(c.position) + ".");
    }
  }

  std::string end_text(std::uint32_t point) const {
    const ChannelLine& line = lines_[points_[point].line];
    return (points_[point].along_m > 0 ? "downstream end of " : "upstream end of ") + label_(line.reach) +
           " at " + place_words(points_[point].position);
  }

  // Joins pass on: a to b and b to c puts a and c together even when they are farther apart than the
  // tolerance.
  void report_wide_nodes() {
    std::vector<LonLat> places;
    for (std::uint32_t p = 0; p < points_.size(); ++p) {
      if (parent_[p] != p || size_[p] < 2) continue;
      places.clear();
      each_member(p, [&](std::uint32_t member) { places.push_back(points_[member].position); });
      std::sort(places.begin(), places.end());
      places.erase(std::unique(places.begin(), places.end()), places.end());
      double spread_m = 0;
      for (std::size_t i = 0; i < places.size(); ++i) {
        for (std::size_t j = i + 1; j < places.size(); ++j) {
          spread_m = std::max(spread_m, geodesic_m(places[i], places[j]));
        }
      }
      if (spread_m <= tolerance_m_ + kRounding) continue;
      ChannelFinding wide;
      wide.severity = Severity::kWarning;
      wide.fault = ChannelFault::kWideNode;
      wide.position = places.front();
      wide.distance_m = spread_m;
      wide.reach = lines_[points_[p].line].reach;
      wide.text = "The ends joined at " + place_words(places.front()) + " lie up to " +
                  format_fixed(spread_m, 2) + " m apart, more than the " + format_fixed(tolerance_m_, 2) +
                  " m allowed between two of them; check the lines there.";
      findings_.push_back(std::move(wide));
    }
  }

  JoinedLines numbered() {
    JoinedLines joined;
    joined.cuts.resize(lines_.size());
    std::vector<std::uint32_t> number(points_.size(), kNone);
    std::vector<std::uint32_t> line_points;
    for (std::uint32_t l = 0; l < lines_.size(); ++l) {
      line_points.clear();
      each_on_line(l, [&](std::uint32_t p) { line_points.push_back(p); });
      std::sort(line_points.begin(), line_points.end(),
                [this](std::uint32_t a, std::uint32_t b) { return points_[a].along_m < points_[b].along_m; });
      joined.cuts[l].reserve(line_points.size());
      for (const std::uint32_t p : line_points) {
        std::uint32_t& node = number[find(p)];
        if (node == kNone) node = joined.node_count++;
        joined.cuts[l].push_back({points_[p].along_m, node});
      }
    }
    return joined;
  }

  void note(ChannelFault fault, std::uint32_t end, double distance_m, std::string text) {
    ChannelFinding finding;
    finding.fault = fault;
    finding.reach = lines_[points_[end].line].reach;
    finding.position = points_[end].position;
    finding.distance_m = distance_m;
    finding.text = std::move(text);
    findings_.push_back(std::move(finding));
  }

  std::span<const ChannelLine> lines_;
  double tolerance_m_;
  const ReachLabel& label_;
  ChannelFindings& findings_;
  std::vector<Point> points_;  // the ends of line l at 2 l and 2 l + 1, then the splits
  std::vector<std::uint32_t> parent_, size_;
  std::vector<std::uint32_t> next_member_;               // the points of a cluster in a ring
  std::vector<std::uint32_t> first_split_, next_split_;  // of a line, of a point
};

}  // namespace

JoinedLines join_lines(std::span<const ChannelLine> lines, double tolerance_m, const ReachLabel& label,
                       ChannelFindings& findings) {
  return Joiner(lines, tolerance_m, label, findings).run();
}

}  // namespace brookmark::core
