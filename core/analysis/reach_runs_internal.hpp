// Why: how far a sample speaks is asked along the channel as the water runs, from one confluence or split to the next,
// whatever pieces the lines were drawn in.
// Use: ReachRuns runs(network);  runs.mark(point, place, marks);  runs.parts(run, 0, 500)
#pragma once

#include <cstdint>
#include <limits>
#include <vector>

#include "core/base/date.hpp"
#include "core/network/channels.hpp"

namespace brookmark::core {

struct ReachStop {
  SiteIndex site;
  Date date;
  std::uint8_t class_rank = 0;
  bool collapse = false;
};

// A place on a run.
struct RunMark {
  static constexpr std::uint32_t kOutfall = std::numeric_limits<std::uint32_t>::max();
  static constexpr std::uint32_t kNoNode = std::numeric_limits<std::uint32_t>::max();
  std::uint32_t run = 0;
  double at_m = 0;                 // from the upstream end of the run
  std::uint32_t place = kOutfall;  // a site's; kOutfall
  std::uint32_t edge = 0;
  double along_m = 0;
  std::uint32_t node = kNoNode;  // where it stands on one
};

// The edges from one confluence, split or end to the next, one behind the other.
class ReachRuns {
 public:
  explicit ReachRuns(const ChannelNetwork& network);  // which outlives this

  double length_m(std::uint32_t run) const { return length_m_[run]; }
  std::vector<EdgePart> parts(std::uint32_t run, double from_m, double to_m) const;
  // Adds the place of a point: on a confluence or split it stands at the head of each run that leaves it, and where
  // none does (a mouth) at the foot of each that comes in.
  void mark(const ChannelPoint& point, std::uint32_t place, std::vector<RunMark>& marks) const;

 private:
  bool passes(std::uint32_t node) const;  // one way in, one way out
  void follow(std::uint32_t edge);

  const ChannelNetwork& network_;
  std::vector<std::uint32_t> run_of_edge_;
  std::vector<double> start_m_;               // per edge: where on its run it begins
  std::vector<std::uint32_t> edges_, begin_;  // per run
  std::vector<double> length_m_;
};

}  // namespace brookmark::core
