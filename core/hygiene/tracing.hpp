// Why: once something is found in a water, the question is where the kit went next, without having been cleaned of it:
// directly, and on through the waters that it may have been carried to; also up the same water, where the water itself
// carries nothing, and with live samples that were put elsewhere. And what lies below, where the water carries it: kit that
// was used at a site which water from there reaches is followed from that day on as well.
// Careful on the side of the waters: what nobody noted (a time of day, how a cleaning was done) counts as the worse case,
// and is told.
// Use: const Contacts found = trace(snapshot, waters, history, {origin, since, target});
//      for (const TracedWater& w : found.entered) w.words
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/hygiene/kit_history.hpp"

namespace brookmark::core {

struct TraceQuery {
  BodyIndex origin;
  // The first day from which the water is taken as a source; nothing: from the first use of any kit there.
  std::optional<Date> since = {};
  // Against which a cleaning must have been enough; nothing: an organism without a rule, so that no cleaning counts.
  std::optional<TargetIndex> target = {};
  // Sites of the origin at which it was found; empty: it may be anywhere in it.
  std::vector<SiteIndex> places = {};
  // Later stays do not exist for it.
  std::optional<Date> until = {};
};

// What is told of a water on one organism (nothing: on any): the oldest word on it, and the sites of these words.
// Nothing where nobody told of any.
struct ToldOrganism {
  std::string organism;
  TraceQuery query;
};
std::optional<ToldOrganism> told_of(const Snapshot& snapshot, const SurveyWaters& waters, BodyIndex body,
                                    std::string_view organism);

// A water that the organism may have come down from to a site of another.
struct CarriedDown {
  BodyIndex source;
  double distance_m = 0;  // along the channel, from there to the site
};

// One step: an item of kit went from one water into the next without being cleaned in between, or with a live sample.
struct TraceStep {
  KitIndex kit;
  KitStay out, in;  // in the water before, and in the next
  std::optional<CarriedDown>
      carried;  // where the site of `out` only lies below the origin or a water entered before
};

struct TracedWater {
  BodyIndex body;
  bool direct = false;           // entered with kit that had been in the origin itself
  bool by_water = false;         // a step of the chain begins in a water that only lies below
  TimeSpan when;                 // the earliest entry after which it may hold the organism
  bool order_unsure = false;     // of a step: on one day, and a time of day is missing
  std::vector<TraceStep> chain;  // of that entry, from the origin on; one step where it is a direct one
  std::vector<KitIndex> kit;     // every item that went in after a source, uncleaned, by its earliest entry
  std::vector<SiteIndex> sites;  // at which they did, by the earliest entry
  std::string
      words;  // "N1: Heron Pond on 3 May 2025, then Kiln Pond on 4 May 2025; also N2: K8 on 6 May 2025"
};

// By the earliest entry. The origin itself is not among them. Waters below, as `waters` knows the channels, are sources from
// the day on which the origin is, or the water above them was entered: those of their sites that are reached. A site that
// water from the origin reaches counts as entered only with kit from the origin itself; a site of the same water that is
// not reached counts as entered when kit goes there from one that is. About n log n in the number of uses and cleanings,
// besides what the waters below each water are.
std::vector<TracedWater> trace_contacts(const Snapshot& snapshot, const SurveyWaters& waters,
                                        const KitHistory& history, const TraceQuery& query);

// Kit that went up the origin itself: from where the organism may have been to a site above that.
struct UpstreamMove {
  TraceStep step;
  double distance_m = 0;  // along the channel, from the higher site down to the lower
  bool order_unsure = false;
  std::string words;
};
// The earliest to each site, by time. Empty where no channel tells what lies above what.
std::vector<UpstreamMove> upstream_moves(const Snapshot& snapshot, const SurveyWaters& waters,
                                         const KitHistory& history, const TraceQuery& query);

// A water below the origin, or below one that was entered after it: the water itself may bring the organism to those of
// its sites that are reached.
struct WaterAtRisk {
  WaterBelow below;
  BodyIndex source;
  std::string words;  // "840 m below Kiln Pond along the channel"
};

struct Contacts {
  std::vector<TracedWater> entered;
  std::vector<UpstreamMove> upstream;
  std::vector<WaterAtRisk> below;  // that are not among those entered; nearest first
};
Contacts trace(const Snapshot& snapshot, const SurveyWaters& waters, const KitHistory& history,
               const TraceQuery& query);

// "N1: Heron Pond on 3 May 2025 at 09:00, then Kiln Pond on 4 May 2025 at 09:00"; where the water brought it first
// "1150 m below Kiln Pond, N1: Brook on 3 May 2025 at 09:00, then Moat on 4 May 2025 at 09:00".
std::string step_words(const Snapshot& snapshot, const SurveyWaters& waters, const TraceStep& step);

}  // namespace brookmark::core
