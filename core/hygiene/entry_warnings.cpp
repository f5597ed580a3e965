#include <algorithm>

#include "core/hygiene/kit_history.hpp"
#include "core/hygiene/plain_words.hpp"

namespace brookmark::core {

std::vector<EntryWarning> warnings_before_entry(const Snapshot& snapshot, const SurveyWaters& waters,
                                                const KitHistory& history, std::span<const KitIndex> kit,
                                                SiteIndex site, const Moment& at) {
  using Kind = EntryWarning::Kind;
  std::vector<EntryWarning> warnings;
  const BodyIndex body = waters.of(site);
  for (const KitIndex item : kit) {
    const Kit& row = snapshot.kit[item.value()];
    const KitState state = history.state(item, at);
    const auto warn = [&](Kind kind, const std::string& text) {
      warnings.push_back({item, kind, row.code + " before " + waters.name(body) + ": " + text});
    };
    if (!state.has_history())
      warn(Kind::kNoHistory, "nobody knows which water it was in last. Clean it first.");
    if (!state.unmet.empty())
      warn(Kind::kNoHistory,
           "nobody knows where it was before, and no cleaning of it is shown to be enough against " +
               target_names(state.unmet) + ". Clean it first.");
    for (const OpenWater& open : state.open) {
      if (open.last.holding &&
          std::find(state.holds.begin(), state.holds.end(), *open.last.holding) != state.holds.end())
        continue;  // told below
      if (open.body != body) {
        warn(Kind::kOtherWater, open.why + ". Clean it first.");
        continue;
      }
      for (const SiteIndex lower : open.sites)
        if (const auto metres = waters.down_m(site, lower)) {
          warn(Kind::kUpstream, "it was at " + std::string(snapshot.sites.code[lower.value()]) + ", " +
                                    plain_distance(*metres) + " further down this water; " + open.why +
                                    ". Kit goes down a water, never up. Clean it first.");
          break;
        }
    }
    if (state.under_way)
      warn(Kind::kDrying, "its cleaning is finished only on " +
                              plain_moment(snapshot.cleanings[*state.under_way].finished) + ".");
    for (const std::size_t h : state.holds) {
      const auto origin = site_of_key(snapshot, snapshot.holdings[h].site_key);
      if (origin && waters.of(*origin) != body)
        warn(Kind::kHoldsLive, "a live sample of " + waters.name(waters.of(*origin)) +
                                   " is in it. That goes back there or is disposed of.");
    }
    if (row.retired) warn(Kind::kRetired, "it is marked as retired.");
  }
  return warnings;
}

}  // namespace brookmark::core
