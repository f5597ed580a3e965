#include "core/hygiene/visit_order.hpp"

#include <algorithm>
#include <limits>
#include <numeric>

#include "core/base/error.hpp"

namespace brookmark::core {

double OrderProblem::length_m(std::span<const std::uint32_t> order) const {
  if (order.empty()) return 0;
  double length = first_m(order.front()) + last_m(order.back());
  for (std::size_t i = 1; i < order.size(); ++i) length += way_m(order[i - 1], order[i]);
  return length;
}

bool OrderProblem::allows(std::span<const std::uint32_t> order) const {
  std::vector<std::size_t> at(stops_, 0);
  for (std::size_t i = 0; i < order.size(); ++i) at[order[i]] = i;
  for (const auto& [first, later] : pairs_)
    if (at[first] >= at[later]) return false;
  if (!whole_groups_) return true;
  std::vector<std::uint32_t> done;
  for (std::size_t i = 0; i < order.size(); ++i) {
    if (i > 0 && group(order[i]) == group(order[i - 1])) continue;
    if (std::find(done.begin(), done.end(), group(order[i])) != done.end()) return false;
    done.push_back(group(order[i]));
  }
  return true;
}

std::optional<VisitOrder> shortest_order(const OrderProblem& problem) {
  return problem.stops() <= kExactStops ? exact_order(problem) : searched_order(problem);
}

namespace {

constexpr double kFar = std::numeric_limits<double>::infinity();

struct Masks {
  std::vector<std::uint32_t> before, own_group;  // per stop, as sets of stops
};

Masks masks_of(const OrderProblem& problem) {
  Masks masks{std::vector<std::uint32_t>(problem.stops(), 0), std::vector<std::uint32_t>(problem.stops(), 0)};
  for (const auto& [first, later] : problem.pairs()) masks.before[later] |= 1U << first;
  for (std::size_t a = 0; a < problem.stops(); ++a)
    for (std::size_t b = 0; b < problem.stops(); ++b)
      if (problem.group(a) == problem.group(b)) masks.own_group[a] |= 1U << b;
  return masks;
}

}  // namespace

std::optional<VisitOrder> exact_order(const OrderProblem& problem) {
  constexpr std::size_t kMost = 20;
  const std::size_t n = problem.stops();
  if (n > kMost) throw Error(ErrorCode::kBadUse, "an exact order is worked out for 20 stops at most");
  if (n == 0) return VisitOrder{};
  const Masks masks = masks_of(problem);
  const std::uint32_t all = (1U << n) - 1;
  // Shortest way through a set of stops that ends at one of them, and the stop before that one.
  std::vector<double> best(static_cast<std::size_t>(all + 1) * n, kFar);
  std::vector<std::uint8_t> came_from(best.size(), 0);
  for (std::size_t s = 0; s < n; ++s)
    if (masks.before[s] == 0) best[(std::size_t{1} << s) * n + s] = problem.first_m(s);
  for (std::uint32_t set = 1; set <= all; ++set)
    for (std::size_t last = 0; last < n; ++last) {
      const double here = best[set * n + last];
      if (!(here < kFar)) continue;
      const bool unfinished = problem.whole_groups() && (masks.own_group[last] & ~set) != 0;
      for (std::size_t next = 0; next < n; ++next) {
        if ((set >> next & 1U) != 0 || (masks.before[next] & ~set) != 0) continue;
        if (unfinished && problem.group(next) != problem.group(last)) continue;
        const std::size_t to = (set | 1U << next) * n + next;
        const double way = here + problem.way_m(last, next);
        if (way >= best[to]) continue;
        best[to] = way;
        came_from[to] = static_cast<std::uint8_t>(last);
      }
    }
  VisitOrder order;
  order.length_m = kFar;
  std::size_t last = 0;
  for (std::size_t s = 0; s < n; ++s)
    if (const double whole = best[all * n + s] + problem.last_m(s); whole < order.length_m) {
      order.length_m = whole;
      last = s;
    }
  if (!(order.length_m < kFar)) return std::nullopt;
  for (std::uint32_t set = all; set != 0;) {
    order.stops.push_back(static_cast<std::uint32_t>(last));
    const std::size_t before = came_from[set * n + last];
    set &= ~(1U << last);
    last = before;
  }
  std::reverse(order.stops.begin(), order.stops.end());
  order.length_m = problem.length_m(order.stops);
  return order;
}

}  // namespace brookmark::core
