// Why: once something is found in a water, the question is where the kit went next, without having been cleaned of it:
// directly, and on through the waters that it may have been carried to. Careful on the side of the waters: what nobody
// noted (a time of day, how a cleaning was done) counts as the worse case, and is told.
// Use: for (const TracedWater& w : trace_contacts(snapshot, waters, history, {origin, since, target})) w.words
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
  std::optional<Date> since;
  // Against which a cleaning must have been enough; nothing: an organism without a rule, so that no cleaning counts.
  std::optional<TargetIndex> target;
};

// One step: an item of kit went from one water into the next without being cleaned in between.
struct TraceStep {
  std::size_t out_use = 0, in_use = 0;  // in snapshot.kit_uses: in the water before, and in the next
};

struct TracedWater {
  BodyIndex body;
  bool direct = false;           // entered with kit that had been in the origin itself
  TimeSpan when;                 // the earliest entry after which it may hold the organism
  bool order_unsure = false;     // of a step: on one day, and a time of day is missing
  std::vector<TraceStep> chain;  // of that entry, from the origin on; one step where it is a direct one
  std::string words;             // "net N1: Heron Pond 2025-05-03, then Kiln Pond 2025-05-04"
};

// By the earliest entry. The origin itself is not among them. Rows later than the last use do not exist for it.
// About n log n in the number of uses and cleanings.
std::vector<TracedWater> trace_contacts(const Snapshot& snapshot, const SurveyWaters& waters,
                                        const KitHistory& history, const TraceQuery& query);

}  // namespace brookmark::core
