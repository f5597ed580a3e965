#include "core/network/reach_figures.hpp"

#include "core/network/stream_order.hpp"

namespace brookmark::core {

std::vector<ReachFigures> reach_figures(std::span<const Reach> reaches, const ChannelNetwork& network) {
  const StreamFigures figures = stream_figures(network.graph());
  std::vector<ReachFigures> all(reaches.size());
  for (ReachFigures& none : all) none.note = "This reach is no part of the network; `check` tells why.";
  // Of a reach in several parts the last part counts: parts follow each other downstream.
  for (std::uint32_t e = 0; e < network.edges().size(); ++e) {
    if (network.edges()[e].kind != EdgeKind::kChannel) continue;
    const std::size_t reach = network.edges()[e].reach.value();
    const bool reaches_mouth = figures.mouth_m[e] != kNoPath;
    all[reach] = {figures.order[e], figures.upstream_m[e],
                  reaches_mouth ? std::optional<double>(figures.mouth_m[e]) : std::nullopt, ""};
    std::string& note = all[reach].note;
    if (reaches[reach].two_way)
      note =
          "Water runs either way here: the order and the length upstream are those of all channels between "
          "which it "
          "can run both ways.";
    if (!reaches_mouth)
      note += std::string(note.empty() ? "" : " ") +
              "Its water comes to no mouth: it ends in a circle or in a two-way channel.";
  }
  return all;
}

}  // namespace brookmark::core
