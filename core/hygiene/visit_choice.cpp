// Which stops of a round are kept where not all of them end before sunset.
#include <algorithm>

#include "core/hygiene/visit_round_internal.hpp"

namespace brookmark::core {

std::optional<VisitRound::Made> VisitRound::by_every_choice(double limit_min, std::size_t stops) const {
  for (std::size_t kept = stops - 1; kept > 0; --kept) {
    std::optional<Made> best_one;
    for (std::uint32_t choice = 1; choice < (1U << stops); ++choice) {
      std::vector<std::uint32_t> subset;
      for (std::uint32_t i = 0; i < stops; ++i)
        if ((choice >> i & 1U) != 0) subset.push_back(i);
      if (subset.size() != kept) continue;
      Made one = best(subset);
      if (one.work_end_min() <= limit_min && (!best_one || one.work_end_min() < best_one->work_end_min()))
        best_one = std::move(one);
    }
    if (best_one) return best_one;
  }
  return std::nullopt;
}

double VisitRound::saved_min(const Made& made, std::size_t at) const {
  const auto& stops = made.plan.stops;
  double way_m = stops[at].way_m;
  if (at + 1 < stops.size()) {
    way_m += stops[at + 1].way_m;
    way_m -= at > 0 ? this->way_m(made.order[at - 1], made.order[at + 1]) : first_m(made.order[at + 1]);
  }
  return request_.stop_min + made.cleaning_min[at] + way_m * 60 / (request_.speed_kmh * 1000);
}

VisitRound::Made VisitRound::one_by_one(double limit_min, const Made& all) const {
  Made now = all;
  while (now.order.size() > 1 && now.work_end_min() > limit_min) {
    std::size_t out = 0;
    for (std::size_t at = 1; at < now.order.size(); ++at)
      if (saved_min(now, at) > saved_min(now, out)) out = at;
    std::vector<std::uint32_t> rest = now.order;
    rest.erase(rest.begin() + static_cast<std::ptrdiff_t>(out));
    now = in_order(rest);
  }
  return now;
}

double VisitRound::longer_m(std::span<const std::uint32_t> order, std::uint32_t stop, std::size_t at) const {
  const double before = at > 0 ? way_m(order[at - 1], stop) : first_m(stop);
  if (at == order.size()) return before;
  const double spared = at > 0 ? way_m(order[at - 1], order[at]) : first_m(order[at]);
  return before + way_m(stop, order[at]) - spared;
}

double VisitRound::least_more_min(std::span<const std::uint32_t> order, std::uint32_t stop) const {
  double least_m = longer_m(order, stop, 0);
  for (std::size_t at = 1; at <= order.size(); ++at) least_m = std::min(least_m, longer_m(order, stop, at));
  return request_.stop_min + least_m * 60 / (request_.speed_kmh * 1000);
}

std::vector<std::uint32_t> VisitRound::with(std::span<const std::uint32_t> order, std::uint32_t stop) const {
  std::vector<std::uint32_t> sites(order.begin(), order.end());
  sites.push_back(stop);
  const PlanRequest request = request_for(sites);
  const VisitKit kit(snapshot_, waters_, request, at_hand_);
  const OrderProblem problem = this->problem(sites, kit.is_shared(), kit.needs_whole_waters());
  const std::size_t count = order.size();
  // Where it lengthens the way least, of the places that are allowed.
  std::vector<std::pair<double, std::size_t>> places;
  for (std::size_t at = 0; at <= count; ++at) places.emplace_back(longer_m(order, stop, at), at);
  std::sort(places.begin(), places.end());
  for (const auto& [more, at] : places) {
    std::vector<std::uint32_t> tried(count);
    for (std::size_t i = 0; i < count; ++i) tried[i] = static_cast<std::uint32_t>(i);
    tried.insert(tried.begin() + static_cast<std::ptrdiff_t>(at), static_cast<std::uint32_t>(count));
    if (!problem.allows(tried)) continue;
    std::vector<std::uint32_t> found;
    for (const std::uint32_t i : tried) found.push_back(sites[i]);
    return found;
  }
  return {};
}

bool VisitRound::is_better(const Made& a, const Made& b) {
  return a.order.size() != b.order.size() ? a.order.size() > b.order.size()
                                          : a.work_end_min() < b.work_end_min();
}

std::vector<std::uint32_t> VisitRound::left_out(const Made& made) const {
  std::vector<std::uint32_t> out;
  for (std::uint32_t i = 0; i < request_.sites.size(); ++i)
    if (std::find(made.order.begin(), made.order.end(), i) == made.order.end()) out.push_back(i);
  return out;
}

std::optional<VisitRound::Made> VisitRound::one_more(double limit_min, const Made& now) const {
  std::optional<Made> best_one;
  for (const std::uint32_t stop : left_out(now)) {
    // Most are told by their way alone.
    const double end_min = now.work_end_min() + least_more_min(now.order, stop);
    if (!now.order.empty() && end_min > (best_one ? best_one->work_end_min() : limit_min)) continue;
    const auto order = with(now.order, stop);
    if (order.empty()) continue;
    Made made = in_order(order);
    if (made.work_end_min() <= limit_min && (!best_one || made.work_end_min() < best_one->work_end_min()))
      best_one = std::move(made);
  }
  return best_one;
}

std::optional<VisitRound::Made> VisitRound::exchanged(const Made& now) const {
  constexpr double kNothingMin = 1e-6;
  std::optional<Made> earliest;
  const std::vector<std::uint32_t> left = left_out(now);
  for (std::size_t at = 0; at < now.order.size(); ++at) {
    std::vector<std::uint32_t> rest = now.order;
    rest.erase(rest.begin() + static_cast<std::ptrdiff_t>(at));
    const double end_min = now.work_end_min() - saved_min(now, at);
    for (const std::uint32_t stop : left) {
      if (end_min + least_more_min(rest, stop) >= (earliest ? *earliest : now).work_end_min()) continue;
      const auto order = with(rest, stop);
      if (order.empty()) continue;
      Made made = in_order(order);
      if (made.work_end_min() < now.work_end_min() - kNothingMin &&
          (!earliest || made.work_end_min() < earliest->work_end_min()))
        earliest = std::move(made);
    }
  }
  return earliest;
}

VisitRound::Made VisitRound::improved(double limit_min, Made now) const {
  for (int steps = 0; steps < kSteps; ++steps) {
    auto next = one_more(limit_min, now);
    if (!next) next = exchanged(now);
    // Where that costs next to nothing, the order is made anew before giving up.
    if (!next && now.order.size() <= kExactStops)
      if (Made anew = best(now.order); is_better(anew, now)) next = std::move(anew);
    if (!next) break;
    now = std::move(*next);
  }
  return now;
}

std::optional<VisitRound::Made> VisitRound::by_search(double limit_min, const Made& all) const {
  // From none of them up, and from all of them down.
  Made found = improved(limit_min, in_order({}));
  if (Made down = one_by_one(limit_min, all); down.work_end_min() <= limit_min)
    if (Made other = improved(limit_min, std::move(down)); is_better(other, found)) found = std::move(other);
  if (found.order.empty()) return std::nullopt;
  // Once more, for a long order costs as much as that of all stops.
  if (Made anew = best(found.order); is_better(anew, found)) found = improved(limit_min, std::move(anew));
  return found;
}

std::optional<VisitRound::Made> VisitRound::by(double limit_min, const Made& all) const {
  const std::size_t stops = request_.sites.size();
  auto found = by_search(limit_min, all);
  // Each choice in its shortest order; where kit is cleaned on the way, or the way back counts, its work may end earlier in another one.
  if (stops <= kLeaveExactly)
    if (auto choice = by_every_choice(limit_min, stops); choice && (!found || !is_better(*found, *choice)))
      return choice;
  return found;
}

}  // namespace brookmark::core
