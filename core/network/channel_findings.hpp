// Why: what is doubtful or was mended in lines of channel, told alike by the building of a network, by an
// import, by the mending of lines and by a check of a survey: where, what, why, how far, and whether done.
// Use: for (const ChannelFinding& f : network.joins()) ... fault_name(f.fault), f.text
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/base/geometry.hpp"
#include "core/base/index.hpp"
#include "core/base/issue.hpp"
#include "core/survey/types.hpp"

namespace brookmark::core {

enum class ChannelFault : std::uint8_t {
  kOffEarth,         // points that are no place on earth
  kNoLength,         // a line of no length
  kRepeatedPoints,   // the same point twice in a row
  kGap,              // ends that nearly meet
  kShort,            // an end that stops short of a line it should reach
  kWideNode,         // ends joined one by one that lie farther apart than the tolerance
  kDrawnTwice,       // the course of another line, in either direction
  kOverlap,          // runs along a part of another line
  kCrossing,         // lines that cross without an end there: bridge or culvert, or a missing node
  kStub,             // a short dead end
  kAlone,            // meets no other line
  kAgainstFlow,      // seems to be drawn against the flow
  kHeadToHead,       // reaches run together where nothing leads on
  kManyOutlets,      // joined channels run out at more than one end
  kCircle,           // as drawn, water would run in a circle
  kHeightUnknown,    // no height at an end of the line, so its direction was not looked at
  kThroughLake,      // led on through a still water from its inlet to its outlet
  kLakeWithoutExit,  // runs into a still water that nothing leaves
};
const char* fault_name(ChannelFault fault);  // short, stable: "reach drawn twice"

struct ChannelFinding {
  Severity severity = Severity::kNote;
  ChannelFault fault = ChannelFault::kGap;
  ReachIndex reach;                  // none() where it is about no single reach
  LonLat position = kUnplaced;       // kUnplaced where there is no place to point at
  std::optional<double> distance_m;  // of the gap, stub, overlap ...; as the text says
  std::string text;                  // a sentence: what and why
  std::string remedy;                // what mending does about it; empty: nothing, it is told only
  bool done = false;                 // whether the remedy was applied
};

using ChannelFindings = std::vector<ChannelFinding>;

// How sentences call a reach.
using ReachLabel = std::function<std::string(ReachIndex)>;
// "reach 3 (Mill Brook)", numbered as given, from 1.
ReachLabel numbered_label(std::span<const Reach> reaches);

// "-38.000123, 40.000456": longitude, latitude.
std::string place_words(LonLat position);

}  // namespace brookmark::core
