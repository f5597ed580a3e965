// Why: just below an outfall or a confluence one bank carries other water than the other, and a sample shows half of it.
// Use: Clearance clear(snapshot, network, day, {.mixing_m = 300});  clear.at(spot.edge, spot.along_m) == Barrier::kNone
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/base/date.hpp"
#include "core/design/keep_out.hpp"
#include "core/network/channels.hpp"

namespace brookmark::core {

struct ClearOptions {
  // Metres along the channel to keep from confluences and forks, and above outfalls: 100 m from a "major tributary" in rapid bioassessment
  // (EPA 841-B-99-002 sec. 7.2, as the summary of NEMI method 12655 has it).
  double clear_m = 100;
  // Metres below an outfall after which its water has mixed in over the whole width. That depends on width, depth, bends and flow; no
  // single published figure exists. Where it is not said, so much is kept clear below an outfall as above it; a bracket asks for it.
  std::optional<double> mixing_m = {};
};
// Throws Error(kBadUse) for a distance that is negative or not a number.
void check_clear(const ClearOptions& options);

// What people are told where no mixing distance was said and an outfall is in use; else empty.
std::string unsaid_mixing(const Snapshot& snapshot, Date day, const ClearOptions& options);

class Clearance {
 public:
  // `network` outlives this. Outfalls in use on the day count. Throws as check_clear does.
  Clearance(const Snapshot& snapshot, const ChannelNetwork& network, Date day, const ClearOptions& options);

  // kConfluence, kOutfall (too near above one) or kUnmixed (too near below one); else kNone. Along the channel, across plain joins and
  // past confluences.
  Barrier at(std::uint32_t edge, double along_m) const;

 private:
  struct Kept {
    EdgePart part;
    Barrier barrier;
  };
  void keep(std::uint32_t edge, double from_m, bool forward, bool down, double metres, Barrier barrier);
  void keep_beyond(std::uint32_t node, bool down, double metres, Barrier barrier);

  const ChannelNetwork& network_;
  std::vector<Kept> kept_;  // by edge
};

}  // namespace brookmark::core
