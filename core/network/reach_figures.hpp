// Why: how large a reach is within its river and how far it is from the mouth, for tables and hand-over: the
// figures of stream_order.hpp at the lower end of each reach as it is drawn.
// Use: for (const ReachFigures& f : reach_figures(snapshot.reaches, channels)) ... f.stream_order  f.note
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/network/channels.hpp"

namespace brookmark::core {

struct ReachFigures {
  // Each is empty where the rule of StreamFigures gives none; the note then says why.
  std::optional<int> stream_order;
  std::optional<double>
      upstream_m;  // metres of channel that drain to the lower end, the reach itself included
  std::optional<double> to_mouth_m;  // metres from the lower end along the flow to the nearest mouth
  std::string note;                  // a sentence or empty
};

// One for each of `reaches`, of which `network` was built.
std::vector<ReachFigures> reach_figures(std::span<const Reach> reaches, const ChannelNetwork& network);

}  // namespace brookmark::core
