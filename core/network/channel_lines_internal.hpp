// Why: the first two steps from a surveyor's lines to a graph, each with what it had to mend: lines made fit
// for measuring, then their ends brought together. The reaches themselves are never changed.
// Use: auto lines = clean_lines(reaches, frame, label, findings);
//      auto cuts = join_lines(lines, 5, label, findings);
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "core/base/geometry.hpp"
#include "core/base/index.hpp"
#include "core/network/channel_findings.hpp"
#include "core/survey/types.hpp"

namespace brookmark::core {

// Two positions nearer than this are the same place: coordinates with seven decimals round to about a
// centimetre.
inline constexpr double kSamePlaceM = 0.01;

// One reach's line without invalid and repeated points: at least two, and longer than kSamePlaceM.
struct ChannelLine {
  ReachIndex reach;
  Line points;
  std::vector<PlanePoint> plane;  // the same points in the local frame
  std::vector<double> along_m;    // geodesic, from the upstream end to each point
  double length() const { return along_m.back(); }
};

// The frame to work in: centred on the middle (median) reach, so that a stray line far away does no harm.
LocalFrame frame_for(std::span<const Reach> reaches);

std::vector<ChannelLine> clean_lines(std::span<const Reach> reaches, const LocalFrame& frame,
                                     const ReachLabel& label, ChannelFindings& findings);

// A place on a segment: share 0..1 of the way from its first point to its second.
double nearest_share(PlanePoint a, PlanePoint b, PlanePoint p);
double squared_m(PlanePoint a, PlanePoint b);
PlanePoint between(PlanePoint a, PlanePoint b, double share);
LonLat between(LonLat a, LonLat b, double share);  // along the geodesic, so shares are shares of metres
LonLat place_on(const ChannelLine& line, double along_m);

// Where a line meets the network: both of its ends, and the places where other lines' ends join it.
struct LineCut {
  double along_m = 0;
  std::uint32_t node = 0;
};

struct JoinedLines {
  std::uint32_t node_count = 0;
  std::vector<std::vector<LineCut>> cuts;  // per line, upstream end first; at least two
};

JoinedLines join_lines(std::span<const ChannelLine> lines, double tolerance_m, const ReachLabel& label,
                       ChannelFindings& findings);

}  // namespace brookmark::core
