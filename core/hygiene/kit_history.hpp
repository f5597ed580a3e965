// Why: where an item of kit has been since it was last truly clean. A vessel (kit as well) belongs to its water until
// then. What nobody noted proves nothing: a cleaning without a time of day on the day of a use may have come before
// it, and does not count for that use.
// Use: const KitHistory history(snapshot, waters);
//      for (const KitState& state : history.states(at)) for (const OpenWater& open : state.open) open.why
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/index.hpp"
#include "core/hygiene/cleaning_decision.hpp"
#include "core/hygiene/survey_waters.hpp"

namespace brookmark::core {

using KitIndex = Index<struct KitTag>;  // in snapshot.kit

// Minutes from 1970-01-01T00:00Z. Where no time of day was noted, the whole day; without an offset, taken as UTC.
struct TimeSpan {
  std::int64_t from_min = 0, to_min = 0;
};
TimeSpan span_of(const Moment& moment);
// From when it must have begun, by its contact time, to when it was finished. Without a time of day a cleaning shorter than
// a day lay on that day.
TimeSpan work_span_of(const Cleaning& cleaning);
// As why_not_yet of a moment, for a cleaning: one that lasts may end later than `now`, but it has begun.
std::string why_not_yet(const Cleaning& cleaning, const Moment& now);
// Certainly before: not the same day, unless both have a time.
inline bool surely_before(const TimeSpan& a, const TimeSpan& b) {
  return a.to_min < b.from_min;
}

// That an item was in a water: used there, or holding a live sample from there.
struct KitStay {
  SiteIndex site;
  std::optional<std::size_t> use, holding;  // one of them: in snapshot.kit_uses or snapshot.holdings
  TimeSpan when;                            // it went in; of a live sample the day on which it was taken
  // No cleaning that begins by then takes away what it has from there: of a live sample until the vessel was emptied,
  // the greatest value while it is held.
  std::int64_t until_min = 0;
};

// A water that the item still belongs to: used there, and not since cleaned of everything it must be cleaned of.
struct OpenWater {
  BodyIndex body;
  KitStay last;                      // the last one there
  std::vector<SiteIndex> sites;      // of it, where the item was and has not been cleaned since
  std::vector<TargetIndex> missing;  // targets that no cleaning since then is enough against
  std::vector<std::string> unknown;  // organisms of the water that no rule speaks of
  std::string why;                   // "used in Heron Pond on 3 May 2025 at 09:00; not cleaned since"
};

// A cleaning since the last use, and what it was enough against, as far as none before it was.
struct CleaningDone {
  std::size_t cleaning = 0;  // in snapshot.cleanings
  std::vector<TargetIndex> against;
};

struct KitState {
  KitIndex kit;
  std::optional<std::size_t> last_use;       // in snapshot.kit_uses
  std::optional<std::size_t> last_cleaning;  // in snapshot.cleanings, the last finished by then
  std::vector<CleaningDone> done;  // oldest first; those that were enough against nothing are left out
  std::vector<OpenWater> open;     // in order of their last use, newest first
  // Of an item that was never used: the routine targets that no cleaning of it is enough against, for nobody knows where
  // it was before.
  std::vector<TargetIndex> unmet;
  std::vector<std::size_t> holds;        // live samples in it, in snapshot.holdings
  std::optional<std::size_t> under_way;  // a cleaning (drying above all) begun and not finished by then
  bool has_history() const { return last_use || last_cleaning || !open.empty() || !holds.empty(); }
  bool is_clean() const { return has_history() && open.empty() && unmet.empty() && holds.empty(); }
  std::string words;  // one line: what state it is in
};

class KitHistory {
 public:
  KitHistory(const Snapshot& snapshot, const SurveyWaters& waters);  // which outlive this

  std::optional<KitIndex> find(std::string_view code_or_key) const;
  // Rows of one item, oldest first; those without a time of day before the others of their day.
  std::span<const std::size_t> uses(KitIndex kit) const { return uses_[kit.value()]; }
  std::span<const std::size_t> cleanings(KitIndex kit) const { return cleanings_[kit.value()]; }
  // Of a row of kit_uses. A row whose site or kit is not in the survey has none and counts nowhere.
  std::optional<SiteIndex> site_of_use(std::size_t use) const;
  // Uses and live samples of one item, by when it went in.
  std::span<const KitStay> stays(KitIndex kit) const { return stays_[kit.value()]; }

  // At a moment; later rows do not count.
  KitState state(KitIndex kit, const Moment& at) const;
  std::vector<KitState> states(const Moment& at) const;  // of all kit that is not retired

 private:
  const Snapshot& snapshot_;
  const SurveyWaters& waters_;
  std::vector<SiteIndex> use_site_;
  std::vector<std::vector<std::size_t>> uses_, cleanings_;
  std::vector<std::vector<KitStay>> stays_;
};

// What to say before an item of kit goes into a water. Nothing is refused.
struct EntryWarning {
  KitIndex kit;
  enum class Kind : std::uint8_t {
    kOtherWater,  // last used in another water, without an effective cleaning since
    kUpstream,    // last used further down the same water, without one
    kNoHistory,   // nobody knows where it has been
    kHoldsLive,   // a live sample of another water is in it
    kDrying,      // its cleaning is not finished
    kRetired,
  } kind = Kind::kOtherWater;
  std::string text;  // a sentence
};
std::vector<EntryWarning> warnings_before_entry(const Snapshot& snapshot, const SurveyWaters& waters,
                                                const KitHistory& history, std::span<const KitIndex> kit,
                                                SiteIndex site, const Moment& at);

}  // namespace brookmark::core
