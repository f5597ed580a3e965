#include "viewer/map/gathered_sites.hpp"

#include <algorithm>
#include <cmath>

namespace brookmark::viewer {
namespace {

constexpr std::size_t kMostKept = 8;

}  // namespace

ClusterLook cluster_look(std::span<const std::uint32_t> sites, std::span<const Mark> marks) {
  ClusterLook look;
  look.count = sites.size();
  std::uint8_t worst = 0;
  for (const std::uint32_t site : sites) {
    const std::uint8_t colour = marks[site].colour % kMarkColourCount;
    ++look.share[colour];
    worst = std::max(worst, colour);
  }
  if (worst >= kColourFirstClass) look.worst_rank = static_cast<std::uint8_t>(worst - kColourFirstClass + 1);
  return look;
}

void GatheredSites::follow(const Model& model, const Viewport& view, double em,
                           std::optional<std::size_t> chosen) {
  if (revision_ != model.revision() || em_ != em) {
    made_.clear();
    revision_ = model.revision();
    em_ = em;
  }
  const int level = static_cast<int>(std::lround(2 * std::log2(view.metres_per_pixel)));
  if (!made_.contains(level)) {
    while (made_.size() >= kMostKept)
      made_.erase(std::min_element(made_.begin(), made_.end(), [](const auto& a, const auto& b) {
        return a.second.used < b.second.used;
      }));
    const double metres = std::exp2(level / 2.0) * em;
    made_[level].clusters = SiteClusters(model.site_places(), kNear_ems * metres, kGathered_ems * metres);
  }
  Made& made = made_[level];
  made.used = ++clock_;
  now_ = &made.clusters;
  chosen_ = chosen;
  const PlaneBox shown = view.shown(kSignRadius_ems * em);
  signs_ = now_->clusters_in(shown);
  singles_ = now_->singles_in(shown);
  if (chosen && *chosen < model.site_places().size() && now_->cluster_of(*chosen) != SiteClusters::kNone) {
    const auto at = std::lower_bound(singles_.begin(), singles_.end(), static_cast<std::uint32_t>(*chosen));
    singles_.insert(at, static_cast<std::uint32_t>(*chosen));
  }
}

std::optional<std::uint32_t> GatheredSites::sign_at(const Viewport& view, Pixel at) const {
  std::optional<std::uint32_t> nearest;
  double least = sign_radius_px();
  for (const std::uint32_t sign : signs_) {
    const Pixel p = view.to_pixel(now_->clusters()[sign].place);
    if (const double d = std::hypot(p.x - at.x, p.y - at.y); d <= least) least = d, nearest = sign;
  }
  return nearest;
}

}  // namespace brookmark::viewer
