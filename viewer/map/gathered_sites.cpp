#include "viewer/map/gathered_sites.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>

namespace brookmark::viewer {
namespace {

constexpr std::size_t kMostKept = 16;
constexpr double kLevels = 4;   // in an octave of metres per pixel
constexpr int kNextLevels = 8;  // so near to one that is there, a nearness can be waited for
constexpr double kRounding = 1e-6;

SiteClusters gather(std::span<const core::PlanePoint> places, double metres_per_em) {
  return {places, kNear_ems * metres_per_em, kGathered_ems * metres_per_em, kCovered_ems * metres_per_em};
}

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

ManySites many_sites(core::PlanePoint place, const ClusterLook& look) {
  ManySites many{as_float(place), {}};
  std::size_t sum = 0;
  for (std::size_t i = 0; i < kRingOrder.size(); ++i) {
    sum += look.share[static_cast<std::size_t>(kRingOrder[i])];
    many.until[i] = static_cast<std::uint16_t>(65535 * sum / std::max<std::size_t>(look.count, 1));
  }
  return many;
}

Mark worst_mark(const ClusterLook& look) {
  Mark worst;
  worst.shape = MarkShape::kHidden;
  if (look.worst_rank == 0) return worst;
  worst = {MarkShape::kDisc, static_cast<std::uint8_t>(kColourFirstClass + look.worst_rank - 1)};
  if (look.worst_rank < 10) worst.first = look.worst_rank;
  return worst;
}

void GatheredSites::forget_oldest() {
  ++version_;  // another one takes its place
  while (made_.size() >= kMostKept)
    made_.erase(std::min_element(made_.begin(), made_.end(),
                                 [](const auto& a, const auto& b) { return a.second.used < b.second.used; }));
}

void GatheredSites::make(int level, const Model& model, double em) {
  const auto places = model.site_places();
  const double metres = std::exp2(level / kLevels) * em;
  const auto next = made_.lower_bound(level);
  const bool has_neighbour = (next != made_.end() && next->first - level <= kNextLevels) ||
                             (next != made_.begin() && level - std::prev(next)->first <= kNextLevels);
  if (places.size() <= kManySites || !has_neighbour) {
    forget_oldest();
    made_[level].clusters = gather(places, metres);
    return;
  }
  if (coming_.valid()) return;  // one after the other
  coming_level_ = level;
  coming_ = std::async(std::launch::async,
                       [metres, own = std::vector<core::PlanePoint>(places.begin(), places.end())] {
                         return gather(own, metres);
                       });
}

void GatheredSites::settle() const {
  if (coming_.valid()) coming_.wait();
}

const ClusterLook& GatheredSites::look(std::uint32_t sign, std::span<const Mark> marks,
                                       std::uint64_t version) const {
  Made& made = *made_now_;
  if (made.looks_of != version) made.looks.clear();
  made.looks_of = version;
  made.looks.resize(made.clusters.clusters().size());
  std::optional<ClusterLook>& known = made.looks[sign];
  if (!known) known = cluster_look(made.clusters.members(made.clusters.clusters()[sign]), marks);
  return *known;
}

void GatheredSites::follow(const Model& model, const Viewport& view, double em,
                           std::optional<std::size_t> chosen) {
  if (revision_ != model.revision() || em_ != em) {
    if (coming_.valid()) coming_.get();
    made_.clear();
    made_now_ = nullptr;
    revision_ = model.revision();
    em_ = em;
  }
  // The next one farther away: what stands alone there does not hide another here.
  const int level = static_cast<int>(std::ceil(kLevels * std::log2(view.metres_per_pixel) - kRounding));
  if (coming_.valid() && coming_.wait_for(std::chrono::seconds(0)) == std::future_status::ready) {
    forget_oldest();
    made_[coming_level_].clusters = coming_.get();
  }
  if (!made_.contains(level)) make(level, model, em);
  // The one wanted, or the one nearest to it until that has come.
  auto found = made_.lower_bound(level);
  if (found == made_.end() || (found->first != level && found != made_.begin() &&
                               level - std::prev(found)->first < found->first - level))
    --found;
  Made& made = found->second;
  made.used = ++clock_;
  if (made_now_ != &made) ++version_;
  made_now_ = &made;
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

double GatheredSites::widest_mark_ems(const Viewport& view, double halo) const {
  const double closest_ems = now_->closest_m() / view.metres_per_pixel / std::max(em_, 1e-9);
  return (closest_ems - kLeftFree_ems) / (1 + halo);
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
