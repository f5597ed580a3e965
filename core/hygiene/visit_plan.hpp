// Why: a round of visits must not carry anything from water to water, must end before dark, and should not be longer
// than it has to be. The order, what each stop needs, and what is lacking where no order is clean.
//
// What the order keeps to: waters of which nothing is known before those below a suspected one and those that its kit
// entered without being cleaned, these before suspected ones, those before confirmed ones; within one stream at risk the
// sites above the place where it was found before that place and all others; kit that is shared goes down a water, never up it, since what it carries down the
// water carries too, while up it would cross what the water cannot (while sampling at one site you work upstream, so that
// what is stirred up does not drift into the next sample: that holds within a site, this between sites); every water has
// kit of its own, or kit that was cleaned enough before it; then the shortest way; and of ways that are as short one that
// goes down along all channels, whether kit is shared or not.
// By daylight: where not all stops can be finished before sunset, as few as can be are left for another day and the others
// ordered anew: a local search looks for them, and of up to kLeaveExactly stops every choice is tried besides (see visit_choice.cpp). What is
// left is told, and whether an earlier start would do.
// Use: const VisitPlan plan = plan_visits(snapshot, waters, history, request);
//      for (const std::string& sentence : plan.lacking) ...
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/hygiene/kit_sets.hpp"
#include "core/hygiene/visit_order.hpp"

namespace brookmark::core {

struct PlanRequest {
  std::vector<SiteIndex> sites;  // each once, all with a position
  Date day;
  std::optional<LonLat> start = {};  // where the day begins; nothing: at the first stop
  bool and_back = false;             // the way back to the start counts too
  // Of local time; nothing: of the newest visit that has one, else of the longitude.
  std::optional<int> utc_offset_min = {};
  std::optional<int> leave_min =
      {};                // local minute of the day; nothing: nine o'clock, or sunrise where that is later
  double speed_kmh = 4;  // on foot: common practice, no source
  double stop_min = 45;  // at each site: common practice, no source
  // So many clean sets, whatever the survey knows of its kit. Nothing: the survey's kit; one clean set where it has none.
  std::optional<std::size_t> clean_sets = {};
  std::optional<Cleaning> on_the_way = {};  // what can be done between waters; nothing: no cleaning
  double handling_min = 10;  // beside the contact time of each such cleaning: common practice, no source
  std::size_t vessels_per_stop = 1;
  bool after_dark = false;  // no stop is left for another day
};
inline constexpr std::size_t kLeaveExactly = 10;

struct PlanStop {
  SiteIndex site;
  BodyIndex body;
  std::optional<RiskStatus> risk;        // of its water
  RiskPlace place = RiskPlace::kNone;    // in it
  bool below_risk = false;               // water with a risk runs past it
  bool by_contact = false;               // kit from a water with a risk entered its water
  bool below_contact = false;            // its water lies below one of which that is so
  double way_m = 0;                      // to it, in a straight line
  double arrive_min = 0, leave_min = 0;  // local minutes from midnight; above 1440 is the next day
  std::string kit_set;                   // empty: none is clean
  std::string cleaning_before;           // of that set, in words; empty: none is needed
  std::vector<KitIndex> vessels;
  std::string note;
};

struct VisitPlan {
  std::vector<PlanStop> stops;
  std::vector<SiteIndex> another_day;  // whose work would have ended after sunset
  double way_m = 0;                    // all of it
  double home_min = 0;                 // when it ends
  bool exact = true;                   // the shortest of all allowed orders; else found by search
  // Local minutes; nothing where it neither rises nor sets, or gets no darker than twilight. Sunset and dusk lie after the sunrise.
  std::optional<double> sunrise_min, sunset_min, dusk_min;
  int utc_offset_min = 0;
  std::vector<std::string>
      lacking;                     // sentences: which kit, vessel or cleaning is lacking; empty: it is clean
  std::vector<std::string> late;   // sentences on what ends after dark; empty: all by daylight
  std::vector<std::string> rules;  // sentences: what the order keeps to, and what is assumed
};

// What lies upstream of what is known as far as `waters` knows the channels. Throws Error(kBadInput) for a site without a
// position and for a start whose longitude and latitude were exchanged, Error(kBadUse) for no site or one named twice.
VisitPlan plan_visits(const Snapshot& snapshot, const SurveyWaters& waters, const KitHistory& history,
                      const PlanRequest& request);

// "suspected, above the place", "confirmed", "contact with a risk", "downstream of a risk", "downstream of a contact"; empty.
std::string risk_words(const PlanStop& stop);
std::string clock_words(double local_min);  // "09:30", "00:20 the next day"

}  // namespace brookmark::core
