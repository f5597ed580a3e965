// Why: which sites can be compared along the water on the last day of a period, and which of them follow each other down one flow path.
// A site takes part where it stands on a channel and where a sample of the period, not too old, lets the method speak: one with a
// value in the method's scope, or a collapse (looked for, and nothing of the method's table there). Others neither
// take part nor part two that do.
// Use: SiteChain chain(snapshot, scores, metric, network, period);  chain.flow.below(0)
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "core/network/flow_neighbours.hpp"
#include "core/scoring/score.hpp"
#include "core/survey/period.hpp"

namespace brookmark::core {

// A sample older than this on the day does not speak for the day: two years and a day, so that a site that is sampled
// each year is not lost by one missed visit. Common practice, no source.
inline constexpr int kSpeaksForDays = 731;

// A sample in which the method speaks: no blank, with a value in scope or a collapse.
bool speaks(const Snapshot& snapshot, const ScoreTable& scores, std::size_t metric, SampleIndex sample);

struct SiteChain {
  // `network` outlives this. `only`: no other sites take part; empty: all do.
  SiteChain(const Snapshot& snapshot, const ScoreTable& scores, std::size_t metric,
            const ChannelNetwork& network, const Period& period, std::span<const SiteIndex> only = {});

  // Places in the order of their first site: the sites that stand within a centimetre of each other along the
  // channel are one place.
  std::vector<SiteIndex> sites;  // one an entry of `points`
  // Filled while `points` is made, so it stands before it.
  std::vector<SiteIndex> off_channel;  // sites that could be compared, were they on a channel
  std::vector<ChannelPoint> points;    // with how far the site was moved to the channel
  FlowNeighbours flow;                 // over `points`; flow.same_place() tells which entries are one

  // The sites of one place, in order.
  std::vector<SiteIndex> sites_at(std::uint32_t place) const;

 private:
  std::vector<std::uint32_t> next_at_place_;  // a chain through `sites`; kEnd at its end
};

}  // namespace brookmark::core
