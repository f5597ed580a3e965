#include "core/design/balanced_sample.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "core/base/error.hpp"
#include "core/design/neighbour_tree_internal.hpp"

namespace brookmark::core {
namespace {

constexpr double kDecided = 1e-9;  // a chance so near to 0 or 1 is one of them, up to rounding

bool is_open(double chance) {
  return chance > kDecided && chance < 1 - kDecided;
}

// Two chances settled between the two units: one becomes 0 or 1, the sum stays, and so does what each can expect.
void settle(double& a, double& b, Random& random) {
  const double sum = a + b;
  if (sum < 1) {
    const bool b_takes_all = random.uniform() * sum < b;
    a = b_takes_all ? 0 : sum;
    b = b_takes_all ? sum : 0;
  } else {
    const bool a_is_in = random.uniform() * (2 - sum) < 1 - b;
    a = a_is_in ? 1 : sum - 1;
    b = a_is_in ? sum - 1 : 1;
  }
}

struct Square {
  std::uint64_t square;
  std::uint32_t unit;
  bool operator<(const Square& other) const {
    return square < other.square || (square == other.square && unit < other.unit);
  }
};

// Settles the units of each square of a grid among themselves until at most one is open in each.
void settle_in_squares(std::span<const PlanePoint> places, std::vector<double>& chances, double squares,
                       Random& random) {
  PlanePoint low = places[0], high = places[0];
  for (const PlanePoint& p : places) {
    low = {std::min(low.x, p.x), std::min(low.y, p.y)};
    high = {std::max(high.x, p.x), std::max(high.y, p.y)};
  }
  const double width = high.x - low.x, height = high.y - low.y;
  // Places in one line have no area: then the longer side alone is divided.
  const double side = std::max(std::sqrt(width * height / squares), std::max(width, height) / squares);
  if (side <= 0) return;
  std::vector<Square> order;
  order.reserve(places.size());
  for (std::uint32_t i = 0; i < places.size(); ++i) {
    if (!is_open(chances[i])) continue;
    const auto column = static_cast<std::uint64_t>((places[i].x - low.x) / side);
    const auto row = static_cast<std::uint64_t>((places[i].y - low.y) / side);
    order.push_back({row << 32 | column, i});
  }
  std::sort(order.begin(), order.end());
  for (std::size_t i = 0; i < order.size();) {
    std::uint32_t open = order[i].unit;
    std::size_t next = i + 1;
    for (; next < order.size() && order[next].square == order[i].square; ++next) {
      const std::uint32_t other = order[next].unit;
      if (is_open(chances[open])) settle(chances[open], chances[other], random);
      if (!is_open(chances[open])) open = other;
    }
    i = next;
  }
}

void settle_by_neighbours(std::span<const PlanePoint> places, std::vector<double>& chances, Random& random) {
  std::vector<std::uint32_t> unit;  // of each open place
  std::vector<PlanePoint> open_places;
  for (std::uint32_t i = 0; i < places.size(); ++i) {
    if (!is_open(chances[i])) continue;
    unit.push_back(i);
    open_places.push_back(places[i]);
  }
  if (unit.empty()) return;
  NeighbourTree tree(open_places);
  std::vector<std::uint32_t> open(unit.size()), at(unit.size()), ties;
  for (std::uint32_t i = 0; i < open.size(); ++i) open[i] = at[i] = i;
  const auto close = [&](std::uint32_t i) {
    tree.remove(i);
    open[at[i]] = open.back();
    at[open.back()] = at[i];
    open.pop_back();
  };
  while (open.size() > 1) {
    const std::uint32_t i = open[random.below(open.size())];
    tree.nearest(open_places[i], i, ties);
    std::sort(ties.begin(), ties.end());
    const std::uint32_t j = ties[ties.size() == 1 ? 0 : random.below(ties.size())];
    settle(chances[unit[i]], chances[unit[j]], random);
    if (!is_open(chances[unit[i]])) close(i);
    if (!is_open(chances[unit[j]])) close(j);
  }
  // The last one stands alone; where the sum is a whole number it is decided up to rounding.
  if (!open.empty()) {
    double& last = chances[unit[open.front()]];
    last = random.uniform() < last ? 1 : 0;
  }
}

}  // namespace

std::vector<double> inclusion_chances(std::span<const double> sizes, double n) {
  std::vector<double> chances(sizes.size(), 0);
  double open_size = 0;
  for (const double size : sizes) open_size += size;
  std::vector<bool> certain(sizes.size(), false);
  // Each round makes the largest certain; ends when none would be above 1.
  for (bool again = true; again && n > 0 && open_size > 0;) {
    again = false;
    const double rate = n / open_size;
    for (std::size_t i = 0; i < sizes.size(); ++i) {
      if (certain[i] || sizes[i] <= 0 || rate * sizes[i] < 1) continue;
      certain[i] = again = true;
      chances[i] = 1;
      n -= 1;
      open_size -= sizes[i];
    }
  }
  double left = 0;  // added up anew: subtracting leaves rounding behind
  for (std::size_t i = 0; i < sizes.size(); ++i)
    if (!certain[i]) left += sizes[i];
  if (left <= 0 || n <= 0) return chances;
  for (std::size_t i = 0; i < sizes.size(); ++i)
    if (!certain[i]) {
      const double chance = n * sizes[i] / left;
      chances[i] = chance > 1 - 1e-12 ? 1 : chance;  // up to rounding
    }
  return chances;
}

std::vector<std::uint32_t> balanced_sample(std::span<const PlanePoint> places,
                                           std::span<const double> chances, Random& random,
                                           const BalanceOptions& options) {
  if (places.size() != chances.size())
    throw Error(ErrorCode::kBadUse, "a balanced sample needs one chance for each place");
  double sum = 0;
  for (const double chance : chances) {
    if (!(chance >= 0 && chance <= 1 + kDecided))
      throw Error(ErrorCode::kBadUse, "a chance of being chosen lies between 0 and 1");
    sum += chance;
  }
  std::vector<double> left(chances.begin(), chances.end());
  if (places.size() > options.all_by_neighbours)
    settle_in_squares(places, left, std::max(static_cast<double>(options.all_by_neighbours), 20 * sum),
                      random);
  settle_by_neighbours(places, left, random);
  std::vector<std::uint32_t> chosen;
  for (std::uint32_t i = 0; i < left.size(); ++i)
    if (left[i] > 0.5) chosen.push_back(i);
  return chosen;
}

double voronoi_imbalance(std::span<const PlanePoint> places, std::span<const double> chances,
                         std::span<const std::uint32_t> chosen) {
  if (chosen.empty()) return 0;
  std::vector<PlanePoint> centres;
  for (const std::uint32_t c : chosen) centres.push_back(places[c]);
  const NeighbourTree tree(centres);
  std::vector<double> held(chosen.size(), 0);
  std::vector<std::uint32_t> ties;
  for (std::size_t i = 0; i < places.size(); ++i) {
    tree.nearest(places[i], static_cast<std::uint32_t>(chosen.size()), ties);
    for (const std::uint32_t t : ties) held[t] += chances[i] / static_cast<double>(ties.size());
  }
  double sum = 0;
  for (const double v : held) sum += (v - 1) * (v - 1);
  return sum / static_cast<double>(chosen.size());
}

}  // namespace brookmark::core
