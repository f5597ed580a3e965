#include "core/design/legacy_sites.hpp"

#include <algorithm>
#include <cmath>

#include "core/base/error.hpp"
#include "core/design/balanced_sample.hpp"
#include "core/network/box_index_internal.hpp"

namespace brookmark::core {
namespace {

constexpr double kRadiusInDeviations = 1.959963985;  // 95 % of a normal curve
constexpr double kFarInDeviations = 8;               // beyond it a site takes less than 2e-14

}  // namespace

std::vector<double> chances_beside_sites(std::span<const PlanePoint> places, std::span<const double> sizes,
                                         std::span<const LegacySite> sites, std::size_t points,
                                         double radius_m) {
  if (places.size() != sizes.size())
    throw Error(ErrorCode::kBadUse, "chances beside sites need one size for each place");
  std::vector<double> left(sizes.begin(), sizes.end());
  const auto wanted = static_cast<double>(points);
  if (sites.empty()) return inclusion_chances(left, wanted);
  const std::vector<double> before = inclusion_chances(sizes, wanted);
  const double deviation_m = radius_m / kRadiusInDeviations;
  std::vector<PlaneBox> reach;
  for (const LegacySite& site : sites) {
    if (site.unit >= places.size())
      throw Error(ErrorCode::kBadUse, "a site stands at a unit that is not there");
    reach.push_back(grown(site.place, kFarInDeviations * deviation_m));
  }
  if (deviation_m > 0) {
    const BoxIndex near(reach);
    for (std::size_t i = 0; i < places.size(); ++i) {
      const PlanePoint p = places[i];
      near.visit({p.x, p.y, p.x, p.y}, [&](std::uint32_t s) {
        const double dx = p.x - sites[s].place.x, dy = p.y - sites[s].place.y;
        left[i] *= 1 - (1 - before[sites[s].unit]) *
                           std::exp(-(dx * dx + dy * dy) / (2 * deviation_m * deviation_m));
      });
    }
  }
  for (const LegacySite& site : sites) left[site.unit] = 0;
  return inclusion_chances(left, wanted);
}

double convex_area_m2(std::span<const PlanePoint> places) {
  // Andrew 1979, Inf. Process. Lett. 9:216-219 (memory): the lower and the upper half of the border, from the west and back.
  std::vector<PlanePoint> sorted(places.begin(), places.end()), border;
  std::sort(sorted.begin(), sorted.end());
  const auto turn = [](PlanePoint a, PlanePoint b, PlanePoint c) {
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
  };
  const auto go = [&](const PlanePoint& p, std::size_t keep) {
    while (border.size() > keep && turn(border[border.size() - 2], border.back(), p) <= 0) border.pop_back();
    border.push_back(p);
  };
  for (const PlanePoint& p : sorted) go(p, 1);
  const std::size_t lower = border.size();
  for (auto p = sorted.rbegin(); p != sorted.rend(); ++p) go(*p, lower);
  double twice = 0;
  for (std::size_t i = 1; i < border.size(); ++i)
    twice += border[i - 1].x * border[i].y - border[i].x * border[i - 1].y;
  return std::max(0.0, twice / 2);
}

}  // namespace brookmark::core
