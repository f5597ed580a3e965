#include "core/network/channel_findings.hpp"

#include "core/base/text.hpp"

namespace brookmark::core {

const char* fault_name(ChannelFault fault) {
  switch (fault) {
    case ChannelFault::kOffEarth:
      return "point that is no place on earth";
    case ChannelFault::kNoLength:
      return "line of no length";
    case ChannelFault::kRepeatedPoints:
      return "repeated points";
    case ChannelFault::kGap:
      return "gap between ends";
    case ChannelFault::kShort:
      return "end short of a line";
    case ChannelFault::kWideNode:
      return "ends joined over more than the tolerance";
    case ChannelFault::kDrawnTwice:
      return "reach drawn twice";
    case ChannelFault::kOverlap:
      return "reach overlaps another";
    case ChannelFault::kCrossing:
      return "crossing without a node";
    case ChannelFault::kStub:
      return "short dead end";
    case ChannelFault::kAlone:
      return "reach joined to nothing";
    case ChannelFault::kAgainstFlow:
      return "drawn against the flow?";
    case ChannelFault::kHeadToHead:
      return "reaches meet head to head";
    case ChannelFault::kManyOutlets:
      return "more than one outlet";
    case ChannelFault::kCircle:
      return "water runs in a circle";
    case ChannelFault::kHeightUnknown:
      return "no height for the direction";
    case ChannelFault::kThroughLake:
      return "led through a lake";
    case ChannelFault::kLakeWithoutExit:
      return "ends in a lake";
  }
  return "";
}

ReachLabel numbered_label(std::span<const Reach> reaches) {
  return [reaches](ReachIndex reach) {
    const std::string& name = reaches[reach.value()].name;
    return "reach " + std::to_string(reach.value() + 1) + (name.empty() ? "" : " (" + name + ")");
  };
}

std::string place_words(LonLat position) {
  return format_fixed(position.lon, 6) + ", " + format_fixed(position.lat, 6);
}

}  // namespace brookmark::core
