// Why: sites that are there already belong to the picture: what is drawn anew should stand away from them, and yet no stretch may lose
// its chance, or nothing drawn could speak for it.
// Use: auto chances = chances_beside_sites(places, sizes, sites, 10, 400);
//
// Foster et al. 2017, Spatially balanced designs that incorporate legacy sites, Methods Ecol. Evol. 8:1433-1442, doi
// 10.1111/2041-210X.12782 (secondary: the paper was not at hand, its first author's description of the method was). With p the chances
// as if no site were there, one site after the other takes from each unit the share (1 - p_site) exp(-d2 / (2 s2)) of what it has left, d
// metres being between the two; then all are brought up to their number again. s is such that 95 % of a site's influence, as under a normal
// curve, falls within the patch of one point, the whole being parted among points and sites: its radius is 1.96 s.
// Beyond that (common practice, no source): the patch of a point on channels is a length and not an area; the unit at which a
// site stands is in the sample already and is not drawn again.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "core/base/geometry.hpp"

namespace brookmark::core {

struct LegacySite {
  PlanePoint place;
  std::uint32_t unit = 0;  // at which it stands
};

// Chances of all units for `points` new ones: 0 where a site stands, above 0 and at most 1 elsewhere; they add up to `points`, or to
// the number of units without a site where that is less. Sizes are above 0, one for each place; radius_m is of the patch, 0 or more.
// Throws Error(kBadUse) for spans of different length or a site at a unit that is not there.
std::vector<double> chances_beside_sites(std::span<const PlanePoint> places, std::span<const double> sizes,
                                         std::span<const LegacySite> sites, std::size_t points,
                                         double radius_m);

// Area of the smallest convex shape around these places, square metres; 0 for fewer than three, or places in one line.
double convex_area_m2(std::span<const PlanePoint> places);

}  // namespace brookmark::core
