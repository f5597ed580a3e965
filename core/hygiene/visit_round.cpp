#include "core/hygiene/visit_round_internal.hpp"

#include <algorithm>
#include <cmath>

#include "core/base/error.hpp"
#include "core/base/text.hpp"

namespace brookmark::core {

namespace {

int rank_of(const SurveyWaters& waters, SiteIndex site, Date day) {
  const BodyIndex body = waters.of(site);
  if (const auto risk = waters.worst(body, day)) return *risk == RiskStatus::kConfirmed ? 3 : 2;
  return waters.risks_above(body, day).empty() && waters.contacts(body, day).empty() ? 0 : 1;
}

// Nothing is lost by going down where that is as short. Of an order found by search only its way back is tried.
void prefer_down(const OrderProblem& problem, const std::vector<std::pair<std::size_t, std::size_t>>& pairs,
                 VisitOrder& order) {
  constexpr double kNothingM = 1;  // below what a way on foot is known to
  const auto against = [&](const std::vector<std::uint32_t>& stops) {
    std::vector<std::size_t> at(stops.size());
    for (std::size_t i = 0; i < stops.size(); ++i) at[stops[i]] = i;
    return std::count_if(pairs.begin(), pairs.end(),
                         [&](const auto& p) { return at[p.first] > at[p.second]; });
  };
  if (against(order.stops) == 0) return;
  if (order.exact) {
    OrderProblem downward = problem;
    for (const auto& [first, later] : pairs) downward.must_precede(first, later);
    auto down = shortest_order(downward);
    if (down && down->length_m <= order.length_m + kNothingM) order = std::move(*down);
    return;
  }
  std::vector<std::uint32_t> back(order.stops.rbegin(), order.stops.rend());
  if (problem.allows(back) && problem.length_m(back) <= order.length_m + kNothingM &&
      against(back) < against(order.stops)) {
    order.length_m = problem.length_m(back);
    order.stops = std::move(back);
  }
}

}  // namespace

VisitRound::VisitRound(const Snapshot& snapshot, const SurveyWaters& waters, const PlanRequest& request,
                       const KitAtHand& at_hand, const VisitPlan& light)
    : snapshot_(snapshot),
      waters_(waters),
      request_(request),
      at_hand_(at_hand),
      light_(light),
      flow_(waters.flow_pairs(request.sites)) {
  const std::size_t count = request.sites.size();
  way_m_.assign(count * count, 0);
  for (std::size_t a = 0; a < count; ++a)
    for (std::size_t b = a + 1; b < count; ++b)
      way_m_[a * count + b] = way_m_[b * count + a] =
          geodesic_m(snapshot.sites.position[request.sites[a].value()],
                     snapshot.sites.position[request.sites[b].value()]);
  for (const SiteIndex site : request.sites) {
    if (request.start) start_m_.push_back(geodesic_m(*request.start, snapshot.sites.position[site.value()]));
    rank_.push_back(rank_of(waters, site, request.day));
    above_place_.push_back(waters.place_in_risk(site, request.day).place == RiskPlace::kAbove);
  }
}

PlanRequest VisitRound::request_for(std::span<const std::uint32_t> stops) const {
  PlanRequest request = request_;
  request.sites.clear();
  for (const std::uint32_t i : stops) request.sites.push_back(request_.sites[i]);
  return request;
}

OrderProblem VisitRound::problem(std::span<const std::uint32_t> stops, bool shared, bool whole_waters) const {
  const auto body = [&](std::size_t i) { return waters_.of(request_.sites[i]); };
  OrderProblem problem(stops.size());
  for (std::size_t a = 0; a < stops.size(); ++a) {
    const std::size_t i = stops[a];
    problem.set_group(a, static_cast<std::uint32_t>(body(i).value()));
    for (std::size_t b = 0; b < stops.size(); ++b) {
      const std::size_t j = stops[b];
      if (b > a) problem.set_way(a, b, way_m(i, j));
      // Between waters as a whole, so that each can be finished before the next; within one by the place of the risk.
      if (rank_[i] < rank_[j] || (body(i) == body(j) && above_place_[i] && !above_place_[j]))
        problem.must_precede(a, b);
    }
  }
  if (request_.start) {
    std::vector<double> from_start;
    for (const std::uint32_t i : stops) from_start.push_back(start_m_[i]);
    problem.set_start(std::move(from_start), request_.and_back);
  }
  std::vector<std::size_t> at(request_.sites.size(), stops.size());
  for (std::size_t a = 0; a < stops.size(); ++a) at[stops[a]] = a;
  if (shared)
    for (const auto& [first, later] : flow_)
      if (at[first] < stops.size() && at[later] < stops.size() && body(first) == body(later))
        problem.must_precede(at[first], at[later]);
  if (whole_waters) problem.keep_groups_whole();
  return problem;
}

VisitRound::Made VisitRound::made(const PlanRequest& request, VisitKit& kit,
                                  std::span<const std::uint32_t> order, bool exact) const {
  Made made;
  made.order.assign(order.begin(), order.end());
  made.shared = kit.is_shared();
  VisitPlan& plan = made.plan;
  plan.exact = exact;
  for (const std::uint32_t i : order) {
    PlanStop stop;
    stop.site = request_.sites[i];
    stop.body = waters_.of(stop.site);
    plan.stops.push_back(std::move(stop));
  }
  made.cleaning_min = kit.assign(plan).cleaning_min;
  const double per_metre = 60 / (request.speed_kmh * 1000);
  double now =
      request.leave_min ? *request.leave_min : std::max(540.0, std::ceil(light_.sunrise_min.value_or(0)));
  for (std::size_t i = 0; i < plan.stops.size(); ++i) {
    PlanStop& stop = plan.stops[i];
    stop.way_m = i > 0 ? way_m(order[i - 1], order[i]) : first_m(order[i]);
    now += stop.way_m * per_metre + made.cleaning_min[i];
    stop.arrive_min = now;
    now += request.stop_min;
    stop.leave_min = now;
    plan.way_m += stop.way_m;
  }
  const double back_m = request.and_back && !order.empty() ? first_m(order.back()) : 0;
  plan.way_m += back_m;
  plan.home_min = now + back_m * per_metre;
  return made;
}

VisitRound::Made VisitRound::best(std::span<const std::uint32_t> stops) const {
  const PlanRequest request = request_for(stops);
  VisitKit kit(snapshot_, waters_, request, at_hand_);
  const OrderProblem ordering = problem(stops, kit.is_shared(), kit.needs_whole_waters());
  auto order = shortest_order(ordering);
  // Ranks are whole waters', within a water flow and place agree, and flow has no circles once those are left out: some order is always
  // allowed.
  if (!order) throw Error(ErrorCode::kBadInput, "no order of these sites keeps upstream before downstream");
  std::vector<std::size_t> at(request_.sites.size(), stops.size());
  for (std::size_t a = 0; a < stops.size(); ++a) at[stops[a]] = a;
  std::vector<std::pair<std::size_t, std::size_t>> down;
  for (const auto& [first, later] : flow_)
    if (at[first] < stops.size() && at[later] < stops.size() && rank_[first] <= rank_[later])
      down.emplace_back(at[first], at[later]);
  prefer_down(ordering, down, *order);
  std::vector<std::uint32_t> sites;
  for (const std::uint32_t a : order->stops) sites.push_back(stops[a]);
  return made(request, kit, sites, order->exact);
}

VisitRound::Made VisitRound::in_order(std::span<const std::uint32_t> order) const {
  const PlanRequest request = request_for(order);
  VisitKit kit(snapshot_, waters_, request, at_hand_);
  return made(request, kit, order, false);
}

}  // namespace brookmark::core
