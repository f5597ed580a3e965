// Why: where lines touch without an end there, and where one runs along another. Found, never changed.
// Use: for (const LineMeeting& m : line_meetings(lines, 5)) ...
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "core/network/channel_lines_internal.hpp"

namespace brookmark::core {

// Of two lines a < b, once for each crossing, or once for all they share.
struct LineMeeting {
  std::uint32_t a = 0, b = 0;  // indices into the lines
  LonLat position;             // of the crossing; where the shared part begins, as found
  double along_a_m = 0, along_b_m = 0;
  double shared_m = 0;  // > 0: they run along each other over so much; 0: a crossing
};

// Ordered by a, b and the place along a. A touch within `tolerance_m` of an end of either line is none: that
// is for join_lines(). Lines that share a part have no crossings told.
std::vector<LineMeeting> line_meetings(std::span<const ChannelLine> lines, const LocalFrame& frame,
                                       double tolerance_m);

// The two lines have one course from end to end, in either direction.
bool is_same_course(const LineMeeting& meeting, std::span<const ChannelLine> lines);

}  // namespace brookmark::core
