#include "core/hygiene/visit_plan.hpp"

#include <algorithm>
#include <cmath>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/design/keep_out.hpp"
#include "core/hygiene/daylight.hpp"
#include "core/hygiene/live_samples.hpp"
#include "core/hygiene/plain_words.hpp"
#include "core/hygiene/visit_kit_internal.hpp"

namespace brookmark::core {

std::string clock_words(double local_min) {
  auto minutes = static_cast<long long>(std::lround(local_min));
  const long long days = minutes >= 0 ? minutes / 1440 : 0;
  minutes -= days * 1440;
  const auto two = [](long long value) { return (value < 10 ? "0" : "") + std::to_string(value); };
  return two(minutes / 60) + ":" + two(minutes % 60) + (days > 0 ? " the next day" : "");
}

namespace {

void check(const Snapshot& snapshot, const PlanRequest& request) {
  if (request.sites.empty()) throw Error(ErrorCode::kBadUse, "no site is named; name at least one");
  for (std::size_t i = 0; i < request.sites.size(); ++i) {
    const SiteIndex site = request.sites[i];
    const std::string code(snapshot.sites.code[site.value()]);
    if (!is_placed(snapshot.sites.position[site.value()]))
      throw Error(
          ErrorCode::kBadInput,
          "site " + code + " has no position, so no way to it is known; note its position, or leave it out");
    if (std::find(request.sites.begin(), request.sites.begin() + static_cast<std::ptrdiff_t>(i), site) !=
        request.sites.begin() + static_cast<std::ptrdiff_t>(i))
      throw Error(ErrorCode::kBadUse, "site " + code + " is named twice; name it once");
  }
}

LonLat place(const Snapshot& snapshot, SiteIndex site) {
  return snapshot.sites.position[site.value()];
}

// Far from every site a start is doubtful; where the numbers exchanged lie close by, it is certainly wrong.
void check_start(const Snapshot& snapshot, const PlanRequest& request, VisitPlan& plan) {
  constexpr double kFarM = 200'000;  // farther than a day's round: common practice, no source
  if (!request.start) return;
  const auto nearest_m = [&](LonLat start) {
    double nearest = HUGE_VAL;
    for (const SiteIndex site : request.sites)
      nearest = std::min(nearest, geodesic_m(start, place(snapshot, site)));
    return nearest;
  };
  const double as_said = nearest_m(*request.start);
  if (as_said < kFarM) return;
  const std::string far = "the start lies " + plain_distance(as_said) + " from the nearest site";
  const LonLat exchanged{request.start->lat, request.start->lon};
  if (is_valid(exchanged) && nearest_m(exchanged) < kFarM)
    throw Error(ErrorCode::kBadInput, far + ", and " + plain_distance(nearest_m(exchanged)) +
                                          " with its numbers exchanged; write the longitude first");
  plan.late.push_back(plain_sentence(far + "; look at its longitude and latitude"));
}

int offset_of(const Snapshot& snapshot, const PlanRequest& request, LonLat middle, std::string& words) {
  if (request.utc_offset_min) return *request.utc_offset_min;
  std::optional<std::size_t> newest;
  for (std::size_t v = 0; v < snapshot.visits.size(); ++v)
    if (snapshot.visits.start[v].utc_offset_min &&
        (!newest || snapshot.visits.start[*newest].date < snapshot.visits.start[v].date))
      newest = v;
  if (newest) {
    words = "Local time as at the visit of " + plain_day(snapshot.visits.start[*newest].date) +
            "; if the clocks were changed since, all times shift with them.";
    return *snapshot.visits.start[*newest].utc_offset_min;
  }
  words = "Local time is taken from the longitude, since no visit notes its offset from UTC.";
  return static_cast<int>(std::lround(middle.lon / 15)) * 60;
}

int rank_of(const SurveyWaters& waters, SiteIndex site, Date day) {
  const BodyIndex body = waters.of(site);
  if (const auto risk = waters.worst(body, day)) return *risk == RiskStatus::kConfirmed ? 3 : 2;
  return waters.risks_above(body, day).empty() && waters.contacts(body, day).empty() ? 0 : 1;
}

void set_light(const PlanRequest& request, LonLat middle, VisitPlan& plan) {
  const Daylight light = daylight(middle, request.day);
  if (!light.rise_utc_min) {
    if (!light.always_up) plan.late.push_back("The sun does not rise there that day.");
    return;
  }
  const auto local = [&](double utc) { return std::fmod(utc + plan.utc_offset_min + 2880, 1440); };
  plan.sunrise_min = local(*light.rise_utc_min);
  plan.sunset_min = local(*light.set_utc_min);
}

void tell_rules(const PlanRequest& request, bool shared, const std::string& offset_words, VisitPlan& plan) {
  auto& rules = plan.rules;
  rules.push_back(
      "Waters of which nothing is known come first, then those below a suspected one or entered with its "
      "kit, "
      "then suspected ones, then confirmed ones.");
  if (shared) {
    rules.push_back(
        "Kit is shared within a water and goes down it, never up: what it carries down, the water carries "
        "too.");
    rules.push_back(
        "At each site itself work upstream, so that what is stirred up does not drift into the next sample; "
        "before a site below the last one, wait until the water has cleared.");
  }
  if (!plan.lacking.empty())
    rules.push_back(
        "THIS ORDER IS NOT CLEAN: what is lacking stands above. Do not go before that is mended.");
  else
    rules.push_back("Each water has a set of kit of its own, or one that was cleaned enough before it.");
  rules.push_back(
      plan.exact
          ? "Of all orders that keep to this it is the shortest."
          : "Above " + std::to_string(kExactStops) +
                " stops the order is found by iterated local search: not proved to be the shortest. In eight "
                "trial rounds of 60 stops nothing shorter was found in ten times as long a search.");
  rules.push_back("Ways are straight lines at " + plain_number(request.speed_kmh, 1) + " km/h, " +
                  plain_number(request.stop_min, 0) +
                  " minutes at each site (common practice, no source): real paths are longer.");
  if (plan.sunrise_min)
    rules.push_back(
        "Sunrise and sunset after the Almanac for Computers 1990, to a few minutes, without hills and "
        "trees.");
  if (!offset_words.empty()) rules.push_back(offset_words);
}

void schedule(const PlanRequest& request, const OrderProblem& problem, std::span<const std::uint32_t> order,
              const KitPlan& kit, VisitPlan& plan) {
  const double per_metre = 60 / (request.speed_kmh * 1000);
  double now =
      request.leave_min ? *request.leave_min : std::max(540.0, std::ceil(plan.sunrise_min.value_or(0)));
  for (std::size_t i = 0; i < order.size(); ++i) {
    PlanStop& stop = plan.stops[i];
    stop.way_m = i == 0 ? problem.first_m(order[0]) : problem.way_m(order[i - 1], order[i]);
    now += stop.way_m * per_metre + kit.cleaning_min[i];
    stop.arrive_min = now;
    now += request.stop_min;
    stop.leave_min = now;
    plan.way_m += stop.way_m;
  }
  const double back_m = order.empty() ? 0 : problem.last_m(order.back());
  plan.way_m += back_m;
  plan.home_min = now + back_m * per_metre;
}

void tell_late(const Snapshot& snapshot, VisitPlan& plan) {
  if (!plan.sunset_min) return;
  if (!plan.stops.empty() && plan.sunrise_min && plan.stops.front().arrive_min < *plan.sunrise_min)
    plan.late.push_back("The first stop begins before sunrise (" + clock_words(*plan.sunrise_min) + ").");
  std::vector<std::string> codes;
  for (const PlanStop& stop : plan.stops)
    if (stop.leave_min > *plan.sunset_min) codes.emplace_back(snapshot.sites.code[stop.site.value()]);
  if (!codes.empty())
    plan.late.push_back("After sunset (" + clock_words(*plan.sunset_min) + ") ends the work at " +
                        joined(codes, ", ") + ": leave them for another day, or begin earlier.");
  else if (plan.home_min > *plan.sunset_min)
    plan.late.push_back("The way back ends after sunset (" + clock_words(*plan.sunset_min) + ").");
}

// Nothing is lost by going down where that is as short. Of an order found by search only its way back is tried.
void prefer_down(const OrderProblem& problem, const std::vector<std::pair<std::size_t, std::size_t>>& pairs,
                 const std::vector<int>& rank, VisitOrder& order) {
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
    for (const auto& [first, later] : pairs)
      if (rank[first] <= rank[later]) downward.must_precede(first, later);
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

// What the survey itself holds against going to a stop.
void tell_ground(const Snapshot& snapshot, LonLat middle, VisitPlan& plan) {
  const LocalFrame frame(middle);
  KeepOutOptions options;
  options.road_m = 0;  // a site that exists beside a road is meant to be there
  const KeepOut keep_out(snapshot, options, frame);
  for (PlanStop& stop : plan.stops) {
    const LonLat at = place(snapshot, stop.site);
    const Barrier barrier = keep_out.at(at, frame.to_plane(at));
    const std::string recorded =
        ", as the survey has it (or within " + plain_distance(options.around_m) + " of such a place)";
    if (barrier == Barrier::kPrivate)
      append_note(stop.note, "ON PRIVATE GROUND" + recorded + ": not without the owner's permission");
    else if (barrier == Barrier::kUnsafe)
      append_note(stop.note, "UNSAFE GROUND" + recorded + ": leave it out, or find another way to it");
    else if (barrier == Barrier::kRefused)
      append_note(stop.note, "REFUSED before" + recorded + ": ask why before going");
    if (snapshot.sites.status[stop.site.value()] == SiteStatus::kProposed)
      append_note(stop.note, "a proposed site: the owner's permission is not recorded");
  }
}

// Live samples go back to the site that they are from, and to no other of its water.
void tell_held(const Snapshot& snapshot, const SurveyWaters& waters, Date day, VisitPlan& plan) {
  for (const HeldSample& held : held_samples(snapshot, waters, day)) {
    if (!held.origin) continue;
    const auto from = site_of_key(snapshot, snapshot.holdings[held.row].site_key);
    const std::string sample = held.what + " in " + held.vessel + ", held " + std::to_string(held.days) +
                               (held.days == 1 ? " day" : " days");
    bool on_the_round = false, same_water = false;
    for (PlanStop& stop : plan.stops) {
      same_water = same_water || stop.body == *held.origin;
      if (stop.site != from) continue;
      append_note(stop.note, "put back here: " + sample);
      on_the_round = true;
    }
    if (same_water && !on_the_round)
      plan.rules.push_back("A live sample goes back to its own site: " + sample + ", was taken at " +
                           held.site + ", which is not on this round.");
  }
}

}  // namespace

VisitPlan plan_visits(const Snapshot& snapshot, const SurveyWaters& waters, const KitHistory& history,
                      const PlanRequest& request) {
  check(snapshot, request);
  const auto& sites = request.sites;
  VisitPlan plan;
  check_start(snapshot, request, plan);
  LonLat middle{0, 0};
  for (const SiteIndex site : sites) {
    middle.lon += place(snapshot, site).lon / static_cast<double>(sites.size());
    middle.lat += place(snapshot, site).lat / static_cast<double>(sites.size());
  }
  std::string offset_words;
  plan.utc_offset_min = offset_of(snapshot, request, middle, offset_words);
  set_light(request, middle, plan);

  const Moment morning{request.day, request.leave_min.value_or(540), plan.utc_offset_min};
  VisitKit kit(snapshot, waters, history, request, morning);

  std::vector<int> rank;
  for (const SiteIndex site : sites) rank.push_back(rank_of(waters, site, request.day));
  const auto flow = waters.flow_pairs(sites);
  OrderProblem problem(sites.size());
  for (std::size_t a = 0; a < sites.size(); ++a) {
    problem.set_group(a, static_cast<std::uint32_t>(waters.of(sites[a]).value()));
    for (std::size_t b = a + 1; b < sites.size(); ++b)
      problem.set_way(a, b, geodesic_m(place(snapshot, sites[a]), place(snapshot, sites[b])));
    for (std::size_t b = 0; b < sites.size(); ++b)
      if (rank[a] < rank[b]) problem.must_precede(a, b);
  }
  if (request.start) {
    std::vector<double> from_start;
    for (const SiteIndex site : sites)
      from_start.push_back(geodesic_m(*request.start, place(snapshot, site)));
    problem.set_start(std::move(from_start), request.and_back);
  }
  if (kit.is_shared())
    for (const auto& [first, later] : flow)
      if (waters.of(sites[first]) == waters.of(sites[later])) problem.must_precede(first, later);
  if (kit.needs_whole_waters()) problem.keep_groups_whole();

  auto order = shortest_order(problem);
  if (order) prefer_down(problem, flow, rank, *order);
  // Ranks are whole waters' and flow has no circles once those are left out, so some order is always allowed.
  if (!order) throw Error(ErrorCode::kBadInput, "no order of these sites keeps upstream before downstream");
  plan.exact = order->exact;
  for (const std::uint32_t at : order->stops) {
    PlanStop stop;
    stop.site = sites[at];
    stop.body = waters.of(sites[at]);
    stop.risk = waters.worst(stop.body, request.day);
    stop.by_contact = !waters.contacts(stop.body, request.day).empty();
    stop.below_risk = waters.is_below_risk(stop.site, request.day);
    stop.note = joined(waters.risk_sentences(stop.site, request.day), "; ");
    if (snapshot.sites.status[stop.site.value()] == SiteStatus::kRetired)
      append_note(stop.note, "the site is retired");
    plan.stops.push_back(std::move(stop));
  }
  const KitPlan assigned = kit.assign(plan);
  schedule(request, problem, order->stops, assigned, plan);
  tell_late(snapshot, plan);
  tell_ground(snapshot, middle, plan);
  tell_held(snapshot, waters, request.day, plan);
  tell_rules(request, kit.is_shared(), offset_words, plan);
  return plan;
}

}  // namespace brookmark::core
