// Why: kit goes out in sets (a net, boots, a tray). Which sets and vessels are at hand on a day, which of them still
// belong to a water, and what one cleaning would have to be to free them.
// Use: for (const KitSet& set : kit_sets(snapshot, history, morning)) if (set.ready()) ...
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/hygiene/kit_history.hpp"

namespace brookmark::core {

struct KitSet {
  std::string name;  // the word in Kit::set; "kit" for kit without one, where nothing has one
  std::vector<KitIndex> items;
  std::vector<BodyIndex> open;       // waters that some item still belongs to
  std::vector<SiteIndex> was_at;     // sites of them, where some item was and was not cleaned since
  std::vector<TargetIndex> missing;  // of these items, what no cleaning since was enough against
  bool no_rule = false;              // some of these waters hold what no rule speaks of
  bool unknown_history = false;      // of some item
  std::string not_yet;  // why it cannot go out: a cleaning under way, a live sample in it; empty: it can
  bool ready() const { return open.empty() && !unknown_history && not_yet.empty(); }
};

// Kit that is not retired and no vessel, by set. Where some kit has a set and some has none, the latter is left out and
// stands in `outside`, if given: nobody knows what it goes out with.
std::vector<KitSet> kit_sets(const Snapshot& snapshot, const KitHistory& history, const Moment& at,
                             std::vector<KitIndex>* outside = nullptr);

struct VesselState {
  KitIndex kit;
  std::optional<BodyIndex> only_for;  // the one water that it belongs to
  std::vector<SiteIndex> was_at;      // sites of it
  bool free = false;                  // clean and empty
  std::string words;                  // why it is not free; empty where it is
};
std::vector<VesselState> vessels(const Snapshot& snapshot, const SurveyWaters& waters,
                                 const KitHistory& history, const Moment& at);

// Whether what was at these sites may go to that one without a cleaning: none of them lies further down.
bool goes_down(const SurveyWaters& waters, std::span<const SiteIndex> was_at, SiteIndex site);

// Whether a cleaning is enough for kit that was in all of these waters.
bool frees(const Cleaning& cleaning, const SurveyWaters& waters, std::span<const BodyIndex> from, Date day);
// Cleanings with one agent that are enough against all of the targets at once, the quickest first; without a row that
// names no time. Empty: no single agent of the rules does.
std::vector<Cleaning> cleanings_against(std::span<const TargetIndex> targets);

}  // namespace brookmark::core
