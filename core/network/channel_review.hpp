// Why: what the lines of a network themselves betray: drawn twice, overlapping, crossing without a node, joined
// to nothing, short dead ends, flow that cannot be as drawn. Told, never changed; the same for a survey's
// stored reaches and for lines about to be imported.
// Use: for (const ChannelFinding& f : review_channels(reaches, network, numbered_label(reaches))) ...
#pragma once

#include <span>
#include <vector>

#include "core/network/channel_findings.hpp"
#include "core/network/channels.hpp"

namespace brookmark::core {

// A dead end shorter than this, beside other channels that go on, is told. Common practice, no source.
inline constexpr double kStubM = 10;

// `network` is that of `reaches`. A crossing or touch within its join_tolerance_m of an end of either line is
// left to the joining of ends. Throws Error(kBadUse) for a stub length that is negative or not a number.
ChannelFindings review_channels(std::span<const Reach> reaches, const ChannelNetwork& network,
                                const ReachLabel& label, double stub_m = kStubM);

// The part of the review on the flow alone: heads that meet, outlets too many, circles. Reaches of which
// drawn_as[i] is not i count as drawn once already.
ChannelFindings review_flow(const ChannelNetwork& network, std::span<const std::size_t> drawn_as,
                            const ReachLabel& label);

}  // namespace brookmark::core
