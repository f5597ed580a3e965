// Why: a few spots that stand evenly over a water tell more than the same number thrown at random, and with known chances
// of being chosen they still stand for all of it.
// Use: auto chance = inclusion_chances(lengths, 20);
//      auto chosen = balanced_sample(places, chance, random);
//
// The local pivotal method, second form (Grafstrom, Lundstrom & Schelin 2012, Biometrics 68:514-520; memory): an undecided
// unit, drawn at random, and its nearest undecided neighbour settle their chances between them, one of the two being
// decided each time. Neighbours so seldom both win, the chances are kept exactly, and the number chosen is fixed.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "core/base/geometry.hpp"
#include "core/base/random.hpp"

namespace brookmark::core {

// Chances of n units in proportion to their sizes (0 or more), none above 1: those that would be are certain, and the others
// share what is left. Their sum is n, or the number of units with a size where that is less.
std::vector<double> inclusion_chances(std::span<const double> sizes, double n);

struct BalanceOptions {
  // From more units than this on, units first settle within the squares of a grid that has at least so many squares, and
  // at least twenty for each unit to be chosen; what is left of each square goes on by nearest neighbours. The chances are
  // the same; squares are far smaller than the spacing of the units chosen.
  std::size_t all_by_neighbours = 20'000;
};

// The units chosen, ascending. One chance (0..1) for each place; the number chosen is their sum, rounded either way where it
// is no whole number. Throws Error(kBadUse) for a chance outside 0..1 or spans of different length.
std::vector<std::uint32_t> balanced_sample(std::span<const PlanePoint> places,
                                           std::span<const double> chances, Random& random,
                                           const BalanceOptions& options = {});

// How unevenly the chosen units stand: the mean square of (v - 1), v being the sum of the chances of all units nearer to a chosen
// unit than to any other (Stevens & Olsen 2004, J. Am. Stat. Assoc. 99:262-278, as variance over the polygons; memory). 0 is
// perfectly even. Units as near to two share their chance among them.
double voronoi_imbalance(std::span<const PlanePoint> places, std::span<const double> chances,
                         std::span<const std::uint32_t> chosen);

}  // namespace brookmark::core
