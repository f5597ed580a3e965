#include "core/analysis/site_chain.hpp"

#include <algorithm>
#include <limits>

#include "core/scoring/score_internal.hpp"

namespace brookmark::core {
namespace {

constexpr std::uint32_t kEnd = std::numeric_limits<std::uint32_t>::max();

// Sites that take part, with their places; the others to `off_channel` where only a channel is missing.
std::vector<ChannelPoint> place_sites(const Snapshot& snapshot, const ScoreTable& scores, std::size_t metric,
                                      const ChannelNetwork& network, Date day, std::vector<SiteIndex>& sites,
                                      std::vector<SiteIndex>& off_channel) {
  const SampleColumns& samples = snapshot.samples;
  std::vector<ChannelPoint> points;
  for (std::size_t begin = 0; begin < samples.size();) {
    const SiteIndex site = samples.site[begin];
    std::size_t end = begin;
    bool takes_part = false;
    for (; end < samples.size() && samples.site[end] == site; ++end)
      takes_part =
          takes_part || (samples.date[end] <= day && day.days - samples.date[end].days <= kSpeaksForDays &&
                         speaks(snapshot, scores, metric, SampleIndex(end)));
    begin = end;
    if (!takes_part) continue;
    const LonLat position = snapshot.sites.position[site.value()];
    const auto point =
        is_placed(position)
            ? network.snap(position, snap_limit_m(snapshot.sites.kind[site.value()], network.options()))
            : std::nullopt;
    if (point) {
      sites.push_back(site);
      points.push_back(*point);
    } else {
      off_channel.push_back(site);
    }
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
                     const ChannelNetwork& network, Date day)
    : points(place_sites(snapshot, scores, metric, network, day, sites, off_channel)),
      flow(network, points),
      next_at_place_(points.size(), kEnd) {
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
