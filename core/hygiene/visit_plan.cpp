#include "core/hygiene/visit_plan.hpp"

#include <algorithm>
#include <cmath>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/design/keep_out.hpp"
#include "core/hygiene/daylight.hpp"
#include "core/hygiene/live_samples.hpp"
#include "core/hygiene/plain_words.hpp"
#include "core/hygiene/visit_round_internal.hpp"

namespace brookmark::core {

std::string clock_words(double local_min) {
  auto minutes = static_cast<long long>(std::lround(local_min));
  const long long days = minutes >= 0 ? minutes / 1440 : 0;
  minutes -= days * 1440;
  const auto two = [](long long value) { return (value < 10 ? "0" : "") + std::to_string(value); };
  const std::string day = days == 0   ? ""
                          : days == 1 ? " the next day"
                                      : " " + std::to_string(days) + " days later";
  return two(minutes / 60) + ":" + two(minutes % 60) + day;
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

void set_light(const PlanRequest& request, LonLat middle, VisitPlan& plan) {
  const Daylight light = daylight(middle, request.day);
  if (!light.rise_utc_min) {
    if (!light.always_up) plan.late.push_back("The sun does not rise there that day.");
    return;
  }
  const auto local = [&](double utc) { return std::fmod(utc + plan.utc_offset_min + 2880, 1440); };
  plan.sunrise_min = local(*light.rise_utc_min);
  // After the sunrise, so that an evening that reaches into the next UTC day is late and not early.
  const auto after_rise = [&](double utc) {
    const double minute = local(utc);
    return minute < *plan.sunrise_min ? minute + 1440 : minute;
  };
  plan.sunset_min = after_rise(*light.set_utc_min);
  if (light.dusk_utc_min) plan.dusk_min = after_rise(*light.dusk_utc_min);
}

void tell_rules(const PlanRequest& request, const std::string& retired, bool shared,
                const std::string& offset_words, VisitPlan& plan) {
  auto& rules = plan.rules;
  if (!retired.empty())
    rules.push_back(
        retired + (retired.find(' ') == std::string::npos ? " is" : " are") +
        " marked as retired, so given up as a place to sample: leave it out, or make it active again "
        "where it is meant.");
  rules.push_back(
      "Waters of which nothing is known come first, then those below a suspected one or entered with its "
      "kit, "
      "then suspected ones, then confirmed ones; within one stream at risk the sites above the place where "
      "it was "
      "found come first.");
  rules.push_back(
      "Kit that was used where water from a water at risk arrives is followed from there as from the water "
      "at "
      "risk itself: the waters that it entered without being cleaned count as entered with its kit.");
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
  if (!plan.another_day.empty())
    rules.push_back(
        plan.stops.size() + plan.another_day.size() <= kLeaveExactly
            ? std::string("By daylight no choice of these stops") +
                  (request.and_back || request.on_the_way ? ", each in its shortest order," : "") +
                  " holds more of them."
            : "What is left for another day was found by a local search: another choice may hold one more. "
              "In 100 trial "
              "rounds of 12 stops it kept as many as the best choice in 96, and one fewer in 4.");
  if (plan.sunrise_min)
    rules.push_back(
        "Sunrise and sunset after the Almanac for Computers 1990, to a few minutes, without hills and "
        "trees.");
  if (!offset_words.empty()) rules.push_back(offset_words);
}

// The sites in words, in the order of the plan.
std::string codes_of(const Snapshot& snapshot, std::span<const SiteIndex> sites) {
  std::vector<std::string> codes;
  for (const SiteIndex site : sites) codes.emplace_back(snapshot.sites.code[site.value()]);
  return plain_list(codes);
}

void tell_late(const Snapshot& snapshot, bool wanted, VisitPlan& plan) {
  if (!plan.sunset_min) return;
  auto& told = wanted ? plan.rules : plan.late;
  if (!plan.stops.empty() && plan.sunrise_min && plan.stops.front().arrive_min < *plan.sunrise_min)
    told.push_back("The first stop begins before sunrise (" + clock_words(*plan.sunrise_min) + ").");
  std::vector<SiteIndex> after;
  for (const PlanStop& stop : plan.stops)
    if (stop.leave_min > *plan.sunset_min) after.push_back(stop.site);
  const std::string dark = plan.dusk_min ? ", dark from " + clock_words(*plan.dusk_min) : "";
  if (!after.empty())
    told.push_back("After sunset (" + clock_words(*plan.sunset_min) + dark + ") ends the work at " +
                   codes_of(snapshot, after) +
                   (wanted ? ", as asked: go with somebody, carry lights, and keep to banks that you know."
                           : ": leave them for another day, or begin earlier."));
  else if (plan.dusk_min ? plan.home_min > *plan.dusk_min : plan.home_min > *plan.sunset_min)
    told.push_back("The way back ends " +
                   std::string(plan.dusk_min ? "in the dark (from " : "after sunset (") +
                   clock_words(plan.dusk_min ? *plan.dusk_min : *plan.sunset_min) + ").");
}

// Which stops are left for another day, and what would have to change for them.
void tell_another_day(const Snapshot& snapshot, const VisitRound::Made& all, VisitPlan& plan) {
  for (const PlanStop& stop : all.plan.stops)
    if (std::none_of(plan.stops.begin(), plan.stops.end(),
                     [&](const PlanStop& s) { return s.site == stop.site; }))
      plan.another_day.push_back(stop.site);
  const double end_min = all.work_end_min();
  std::string words = "All " + std::to_string(all.plan.stops.size()) + " stops would end at " +
                      clock_words(end_min) + ", and the sun sets at " + clock_words(*plan.sunset_min);
  if (plan.dusk_min) words += " (dark from " + clock_words(*plan.dusk_min) + ")";
  plan.late.push_back(words + ": left for another day " + (plan.another_day.size() == 1 ? "is " : "are ") +
                      codes_of(snapshot, plan.another_day) + ".");
  const double earlier_min = end_min - *plan.sunset_min, begin_min = all.plan.stops.front().arrive_min;
  if (plan.sunrise_min && begin_min - earlier_min >= *plan.sunrise_min)
    plan.late.push_back("Begun " + plain_duration(std::ceil(earlier_min) * 60) +
                        " earlier, all of them would end before sunset.");
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

// What is known of a stop and its water, before the words on its kit.
void tell_stop(const Snapshot& snapshot, const SurveyWaters& waters, Date day, PlanStop& stop) {
  stop.risk = waters.worst(stop.body, day);
  stop.place = waters.place_in_risk(stop.site, day).place;
  for (const RiskByContact& contact : waters.contacts(stop.body, day))
    (contact.way == nullptr ? stop.by_contact : stop.below_contact) = true;
  stop.below_risk = waters.is_below_risk(stop.site, day);
  std::string note = joined(waters.risk_sentences(stop.site, day), "; ");
  if (snapshot.sites.status[stop.site.value()] == SiteStatus::kRetired)
    append_note(note, "the site is retired");
  append_note(note, stop.note);
  stop.note = std::move(note);
}

}  // namespace

std::string risk_words(const PlanStop& stop) {
  if (!stop.risk)
    return stop.by_contact      ? "contact with a risk"
           : stop.below_risk    ? "downstream of a risk"
           : stop.below_contact ? "downstream of a contact"
                                : "";
  const std::string status = risk_status_name(*stop.risk);
  if (stop.place == RiskPlace::kAbove) return status + ", above the place";
  if (stop.place == RiskPlace::kBelow) return status + ", below the place";
  return status;
}

void tell_without_set(const Snapshot& snapshot, const std::vector<KitIndex>& kit, VisitPlan& plan) {
  std::string codes;
  for (const KitIndex item : kit) codes += (codes.empty() ? "" : ", ") + snapshot.kit[item.value()].code;
  if (!codes.empty())
    plan.rules.push_back("Kit that belongs to no set is not planned with: " + codes +
                         ". Give it the word of a set where it goes out too.");
}

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
  std::vector<KitIndex> without_set;
  const KitAtHand at_hand{kit_sets(snapshot, history, morning, &without_set),
                          vessels(snapshot, waters, history, morning)};
  const VisitRound round(snapshot, waters, request, at_hand, plan);
  std::vector<std::uint32_t> every(sites.size());
  for (std::size_t i = 0; i < every.size(); ++i) every[i] = static_cast<std::uint32_t>(i);
  VisitRound::Made all = round.best(every);
  std::optional<VisitRound::Made> by_light;
  if (plan.sunset_min && !request.after_dark && all.work_end_min() > *plan.sunset_min)
    by_light = round.by(*plan.sunset_min, all);
  const VisitRound::Made& made = by_light ? *by_light : all;
  plan.stops = made.plan.stops;
  plan.way_m = made.plan.way_m;
  plan.home_min = made.plan.home_min;
  plan.exact = made.plan.exact;
  plan.lacking = made.plan.lacking;
  plan.rules = made.plan.rules;
  for (PlanStop& stop : plan.stops) tell_stop(snapshot, waters, request.day, stop);
  if (by_light) tell_another_day(snapshot, all, plan);
  tell_late(snapshot, request.after_dark, plan);
  tell_ground(snapshot, middle, plan);
  tell_held(snapshot, waters, request.day, plan);
  std::vector<SiteIndex> retired;
  for (const PlanStop& stop : plan.stops)
    if (snapshot.sites.status[stop.site.value()] == SiteStatus::kRetired) retired.push_back(stop.site);
  tell_rules(request, retired.empty() ? "" : codes_of(snapshot, retired), made.shared, offset_words, plan);
  tell_without_set(snapshot, without_set, plan);
  return plan;
}

}  // namespace brookmark::core
