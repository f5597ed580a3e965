#include "viewer/map/clusters.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>

namespace brookmark::viewer {
namespace {

// Cells of a square grid by one number, column by column: three cells above one another follow one another. The plane is
// far smaller than 2^31 cells of any size in use.
std::uint64_t cell_key(std::int64_t x, std::int64_t y) {
  constexpr std::int64_t kMiddle = std::int64_t{1} << 31;
  return static_cast<std::uint64_t>(x + kMiddle) << 32U |
         (static_cast<std::uint64_t>(y + kMiddle) & 0xFFFFFFFFU);
}

class CellIndex {
 public:
  CellIndex(std::span<const core::PlanePoint> points, double side) : side_(side) {
    cells_.reserve(points.size());
    for (std::uint32_t i = 0; i < points.size(); ++i) cells_.push_back({key(points[i], 0, 0), i});
    std::sort(cells_.begin(), cells_.end());
  }
  // Points in the nine cells around; whoever wants a circle of one side's radius measures again.
  template <class Visit>
  void around(core::PlanePoint at, const Visit& visit) const {
    for (int dx = -1; dx <= 1; ++dx) {
      const std::uint64_t last = key(at, dx, 1);
      auto cell =
          std::lower_bound(cells_.begin(), cells_.end(), std::pair(key(at, dx, -1), std::uint32_t{0}));
      for (; cell != cells_.end() && cell->first <= last; ++cell) visit(cell->second);
    }
  }

 private:
  std::uint64_t key(core::PlanePoint p, int dx, int dy) const {
    return cell_key(static_cast<std::int64_t>(std::floor(p.x / side_)) + dx,
                    static_cast<std::int64_t>(std::floor(p.y / side_)) + dy);
  }
  double side_;
  std::vector<std::pair<std::uint64_t, std::uint32_t>> cells_;
};

// Sites of one small cell: however many lie on one spot, they are looked at once.
struct Spot {
  core::PlanePoint mean;
  std::uint32_t begin = 0, end = 0;  // of the order
};

double gap(core::PlanePoint a, core::PlanePoint b) {
  const double x = a.x - b.x, y = a.y - b.y;
  return std::sqrt(x * x + y * y);
}

}  // namespace

SiteClusters::SiteClusters(std::span<const core::PlanePoint> places, double near_m, double reach_m,
                           double covered_m)
    : cluster_of_(places.size(), kNone) {
  if (!(near_m > 0) || !std::isfinite(near_m)) near_m = 1e-6;
  reach_m = std::max(reach_m, near_m);
  // Spots: cells of half the nearness.
  std::vector<std::pair<std::uint64_t, std::uint32_t>> order;
  order.reserve(places.size());
  const double side = near_m / 2;
  for (std::uint32_t i = 0; i < places.size(); ++i)
    if (std::isfinite(places[i].x) && std::isfinite(places[i].y))
      order.push_back({cell_key(static_cast<std::int64_t>(std::floor(places[i].x / side)),
                                static_cast<std::int64_t>(std::floor(places[i].y / side))),
                       i});
  std::sort(order.begin(), order.end());
  std::vector<Spot> spots;
  for (std::uint32_t i = 0; i < order.size(); ++i) {
    if (i == 0 || order[i].first != order[i - 1].first) spots.push_back({{0, 0}, i, i});
    Spot& spot = spots.back();
    spot.mean.x += places[order[i].second].x;
    spot.mean.y += places[order[i].second].y;
    ++spot.end;
  }
  std::vector<core::PlanePoint> means;
  for (Spot& spot : spots) {
    const double n = spot.end - spot.begin;
    spot.mean = {spot.mean.x / n, spot.mean.y / n};
    means.push_back(spot.mean);
  }
  // Which spots have company.
  const CellIndex close(means, near_m);
  std::vector<std::uint32_t> company(spots.size(), 0);
  std::vector<std::uint32_t> seeds;
  for (std::uint32_t s = 0; s < spots.size(); ++s) {
    std::uint32_t count = 0;
    close.around(means[s], [&](std::uint32_t o) {
      if (gap(means[o], means[s]) <= near_m) count += spots[o].end - spots[o].begin;
    });
    company[s] = count;
    if (count > 1) seeds.push_back(s);
  }
  std::sort(seeds.begin(), seeds.end(), [&](std::uint32_t a, std::uint32_t b) {
    if (company[a] != company[b]) return company[a] > company[b];
    return order[spots[a].begin].second < order[spots[b].begin].second;
  });
  const CellIndex wide(means, reach_m);
  std::vector<bool> taken(spots.size(), false);
  for (const std::uint32_t seed : seeds) {
    if (taken[seed]) continue;
    SiteCluster cluster;
    cluster.begin = static_cast<std::uint32_t>(members_.size());
    wide.around(means[seed], [&](std::uint32_t s) {
      if (taken[s] || gap(means[s], means[seed]) > reach_m) return;
      taken[s] = true;
      for (std::uint32_t i = spots[s].begin; i < spots[s].end; ++i) members_.push_back(order[i].second);
    });
    cluster.end = static_cast<std::uint32_t>(members_.size());
    if (cluster.size() < 2) {  // its company went elsewhere
      members_.pop_back();
      continue;
    }
    std::sort(members_.begin() + cluster.begin, members_.end());
    const core::PlanePoint first = places[members_[cluster.begin]];
    cluster.box = {first.x, first.y, first.x, first.y};
    for (const std::uint32_t site : members(cluster)) {
      const core::PlanePoint p = places[site];
      cluster.place.x += p.x / cluster.size();
      cluster.place.y += p.y / cluster.size();
      cluster.box = {std::min(cluster.box.min_x, p.x), std::min(cluster.box.min_y, p.y),
                     std::max(cluster.box.max_x, p.x), std::max(cluster.box.max_y, p.y)};
      cluster_of_[site] = static_cast<std::uint32_t>(clusters_.size());
    }
    clusters_.push_back(cluster);
  }
  if (covered_m > 0) gather_covered(places, covered_m);
  std::vector<core::PlanePoint> cluster_places, single_places;
  for (const SiteCluster& cluster : clusters_) cluster_places.push_back(cluster.place);
  for (std::uint32_t i = 0; i < places.size(); ++i)
    if (cluster_of_[i] == kNone && std::isfinite(places[i].x) && std::isfinite(places[i].y)) {
      singles_.push_back(i);
      single_places.push_back(places[i]);
    }
  cluster_grid_ = PointGrid(cluster_places);
  single_grid_ = PointGrid(single_places);
  closest_m_ = 2 * near_m;
  const CellIndex alone(single_places, closest_m_);
  for (std::uint32_t i = 0; i < single_places.size(); ++i)
    alone.around(single_places[i], [&](std::uint32_t o) {
      if (o < i) closest_m_ = std::min(closest_m_, gap(single_places[i], single_places[o]));
    });
}

void SiteClusters::gather_covered(std::span<const core::PlanePoint> places, double covered_m) {
  if (clusters_.empty()) return;
  std::vector<core::PlanePoint> middles;
  std::vector<std::uint32_t> order;  // the fullest signs first
  for (const SiteCluster& cluster : clusters_) middles.push_back(cluster.place);
  for (std::uint32_t i = 0; i < clusters_.size(); ++i) order.push_back(i);
  std::stable_sort(order.begin(), order.end(), [&](std::uint32_t a, std::uint32_t b) {
    return clusters_[a].size() > clusters_[b].size();
  });
  const CellIndex near(middles, covered_m);
  std::vector<std::uint32_t> into(clusters_.size(), kNone);
  for (const std::uint32_t large : order) {
    if (into[large] != kNone) continue;
    into[large] = large;
    near.around(middles[large], [&](std::uint32_t other) {
      if (into[other] == kNone && gap(middles[other], middles[large]) <= covered_m) into[other] = large;
    });
  }
  std::vector<std::uint32_t> number(clusters_.size(), kNone);
  std::vector<SiteCluster> kept;
  for (std::uint32_t i = 0; i < clusters_.size(); ++i) {
    if (into[i] != i) continue;
    number[i] = static_cast<std::uint32_t>(kept.size());
    kept.push_back(clusters_[i]);
  }
  for (std::uint32_t i = 0; i < places.size(); ++i) {
    std::uint32_t& own = cluster_of_[i];
    if (own != kNone) {
      own = number[into[own]];
      continue;
    }
    if (!std::isfinite(places[i].x) || !std::isfinite(places[i].y)) continue;
    double least = covered_m;
    near.around(places[i], [&](std::uint32_t sign) {
      const double away = gap(middles[sign], places[i]);
      if (into[sign] == sign && away <= least) least = away, own = number[sign];
    });
  }
  // The lists anew: as many as each has now, each in rising order.
  for (SiteCluster& cluster : kept) cluster.begin = cluster.end = 0;
  for (const std::uint32_t own : cluster_of_)
    if (own != kNone) ++kept[own].end;
  std::uint32_t begin = 0;
  for (SiteCluster& cluster : kept) {
    cluster.begin = begin;
    begin += cluster.end;
    cluster.end = cluster.begin;
  }
  members_.assign(begin, 0);
  for (std::uint32_t i = 0; i < places.size(); ++i) {
    if (cluster_of_[i] == kNone) continue;
    SiteCluster& cluster = kept[cluster_of_[i]];
    members_[cluster.end++] = i;
    cluster.box = {std::min(cluster.box.min_x, places[i].x), std::min(cluster.box.min_y, places[i].y),
                   std::max(cluster.box.max_x, places[i].x), std::max(cluster.box.max_y, places[i].y)};
  }
  clusters_ = std::move(kept);
}

std::vector<std::uint32_t> SiteClusters::singles_in(const PlaneBox& box) const {
  std::vector<std::uint32_t> found = single_grid_.inside(box);
  for (std::uint32_t& i : found) i = singles_[i];
  return found;
}

}  // namespace brookmark::viewer
