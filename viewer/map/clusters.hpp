// Why: from afar many sites lie on one spot of the screen. Those that would hide one another are gathered under one sign;
// whoever has room stays as it is. Gathered for one nearness over the whole survey, so that nothing changes while the map
// is only moved.
// Use: SiteClusters gathered(places, near_m, reach_m);  for (const SiteCluster& c : gathered.clusters()) ...
#pragma once

#include <cstdint>
#include <limits>
#include <span>
#include <vector>

#include "viewer/state/point_grid.hpp"
#include "viewer/state/viewport.hpp"

namespace brookmark::viewer {

struct SiteCluster {
  core::PlanePoint place;  // the mean of the sites it gathered first
  PlaneBox box;            // around them
  std::uint32_t begin = 0, end = 0;
  std::uint32_t size() const { return end - begin; }
};

class SiteClusters {
 public:
  static constexpr std::uint32_t kNone = std::numeric_limits<std::uint32_t>::max();

  SiteClusters() = default;
  // A sign is put where two sites or more lie within `near_m`; it gathers every site within `reach_m` of the spot (at least
  // near_m). The fullest spots first, then by order of the sites. Places that are not finite are left out.
  // What would then lie within `covered_m` of the middle of a sign, sites and smaller signs, goes into it too.
  SiteClusters(std::span<const core::PlanePoint> places, double near_m, double reach_m, double covered_m = 0);

  std::span<const SiteCluster> clusters() const { return clusters_; }
  // Sites of a cluster, in rising order.
  std::span<const std::uint32_t> members(const SiteCluster& cluster) const {
    return std::span(members_).subspan(cluster.begin, cluster.size());
  }
  std::uint32_t cluster_of(std::size_t site) const { return cluster_of_[site]; }  // kNone: it stands alone
  // Those in a box: clusters by their place, and sites that stand alone.
  std::vector<std::uint32_t> clusters_in(const PlaneBox& box) const { return cluster_grid_.inside(box); }
  std::vector<std::uint32_t> singles_in(const PlaneBox& box) const;
  // How near to one another two sites that stand alone are, at the least; at most twice `near_m`.
  double closest_m() const { return closest_m_; }

 private:
  void gather_covered(std::span<const core::PlanePoint> places, double covered_m);
  std::vector<SiteCluster> clusters_;
  std::vector<std::uint32_t> members_, cluster_of_, singles_;
  PointGrid cluster_grid_, single_grid_;
  double closest_m_ = std::numeric_limits<double>::infinity();
};

}  // namespace brookmark::viewer
