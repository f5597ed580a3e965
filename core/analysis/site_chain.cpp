#include "core/analysis/site_chain.hpp"

#include <algorithm>
#include <limits>

#include "core/scoring/score_internal.hpp"

namespace brookmark::core {
namespace {

constexpr std::uint32_t kEnd = std::numeric_limits<std::uint32_t>::max();

// The sites with a sample of the period, not too old on its last day, in which the method speaks.
std::vector<SiteIndex> sites_that_speak(const Snapshot& snapshot, const ScoreTable& scores,
                                        std::size_t metric, const Period& period,
                                        std::span<const SiteIndex> only) {
  const SampleColumns& samples = snapshot.samples;
  std::vector<SiteIndex> sites;
  for (std::size_t s = 0; s < samples.size(); ++s) {
    if (!sites.empty() && sites.back() == samples.site[s]) continue;
    if (!only.empty() && std::find(only.begin(), only.end(), samples.site[s]) == only.end()) continue;
    if (period.until.days - samples.date[s].days <= kSpeaksForDays &&
        in_period(period, snapshot, SampleIndex(s)) && speaks(snapshot, scores, metric, SampleIndex(s)))
      sites.push_back(samples.site[s]);
  }
  return sites;
}

// The places of those that stand on a channel, which are put into `placed`.
std::vector<ChannelPoint> place_sites(const Snapshot& snapshot, const ChannelNetwork& network,
                                      const std::vector<SiteIndex>& sites, std::vector<SiteIndex>& placed) {
  std::vector<ChannelPoint> points;
  for (const SiteIndex site : sites) {
    const LonLat position = snapshot.sites.position[site.value()];
    if (!is_placed(position)) continue;
    const auto point =
        network.snap(position, snap_limit_m(snapshot.sites.kind[site.value()], network.options()));
    if (!point) continue;
    placed.push_back(site);
    points.push_back(*point);
  }
  return points;
}

}  // namespace

bool speaks(const Snapshot& snapshot, const ScoreTable& scores, std::size_t metric, SampleIndex sample) {
  const std::size_t s = sample.value();
  const SampleScore& score = scores.metrics[metric][s];
  return snapshot.samples.kind[s] != SampleKind::kBlank &&
         ((score.has_value && score.in_scope) || is_collapse(score, snapshot.samples.kind[s]));
}

SiteChain::SiteChain(const Snapshot& snapshot, const ScoreTable& scores, std::size_t metric,
                     const ChannelNetwork& network, const Period& period, std::span<const SiteIndex> only)
    : points(place_sites(snapshot, network, sites_that_speak(snapshot, scores, metric, period, only), sites)),
      flow(network, points),
      next_at_place_(points.size(), kEnd) {
  for (const SiteIndex site : sites_that_speak(snapshot, scores, metric, period, only))
    if (!std::binary_search(sites.begin(), sites.end(), site)) off_channel.push_back(site);
  std::vector<std::uint32_t> last(points.size(), kEnd);
  for (std::uint32_t p = 0; p < points.size(); ++p) {
    const std::uint32_t place = flow.same_place(p);
    if (last[place] != kEnd) next_at_place_[last[place]] = p;
    last[place] = p;
  }
}

std::vector<SiteIndex> SiteChain::sites_at(std::uint32_t place) const {
  std::vector<SiteIndex> here;
  for (std::uint32_t p = flow.same_place(place); p != kEnd; p = next_at_place_[p]) here.push_back(sites[p]);
  return here;
}

}  // namespace brookmark::core
