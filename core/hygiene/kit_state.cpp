#include <algorithm>
#include <limits>
#include <map>
#include <unordered_map>

#include "core/base/text.hpp"
#include "core/hygiene/kit_history.hpp"
#include "core/hygiene/plain_words.hpp"

namespace brookmark::core {

namespace {

constexpr std::int64_t kNever = std::numeric_limits<std::int64_t>::max();

Date day_of(const Snapshot& snapshot, const KitStay& stay) {
  return stay.use ? snapshot.kit_uses[*stay.use].when.date : snapshot.holdings[*stay.holding].since;
}

// Whether the cleaning surely began after the stay, and was finished by `now`.
bool counts_after(const KitStay& stay, const Cleaning& cleaning, const TimeSpan& now) {
  return stay.until_min < work_span_of(cleaning).from_min && span_of(cleaning.finished).to_min <= now.to_min;
}

// Why a water is still open: what was done since the last stay there, and why it was not enough.
std::string why_open(const Snapshot& snapshot, const std::string& water,
                     const std::vector<std::size_t>& after, const std::vector<std::size_t>& unsure,
                     const OpenWater& open) {
  std::string why;
  std::optional<int> minute;
  if (open.last.use) {
    const KitUse& use = snapshot.kit_uses[*open.last.use];
    why = "used in " + water + " on " + plain_moment(use.when);
    minute = use.when.minute_of_day;
  } else {
    const Holding& held = snapshot.holdings[*open.last.holding];
    why = "held a live sample of " + water + " from " + plain_day(held.since) +
          (held.until ? " to " + plain_day(*held.until) : std::string(" on"));
  }
  if (after.empty() && unsure.empty()) {
    append_note(why, "not cleaned since");
  } else if (after.empty()) {
    const Cleaning& nearest = snapshot.cleanings[unsure.back()];
    append_note(why, "the cleaning after it (" + cleaning_words(nearest) + ", finished on " +
                         plain_moment(nearest.finished) +
                         (open.last.holding ? ") came while the live sample was in it, so it does not count"
                          : minute && nearest.finished.minute_of_day
                              ? ") would have begun before it, so it does not count; look at the times"
                              : ") may have come before it, for a time of day is missing; note the times"));
  } else {
    const Cleaning& newest = snapshot.cleanings[after.back()];
    std::string cleaned = "cleaned on " + plain_moment(newest.finished) + " (" + cleaning_words(newest) + ")";
    // One that was tried and failed says more than one that nobody tried.
    std::vector<TargetIndex> others = open.missing;
    if (!others.empty()) {
      CleaningVerdict told = judge_cleaning(newest, others.front());
      for (const TargetIndex target : others)
        if (told.effect != CleaningEffect::kFails) {
          CleaningVerdict verdict = judge_cleaning(newest, target);
          if (verdict.effect == CleaningEffect::kFails) told = std::move(verdict);
        }
      std::erase(others, told.target);
      cleaned += ", " + told.brief;
    }
    append_note(why, cleaned);
    if (!others.empty())
      append_note(why, "nor is any cleaning shown to be enough against " + target_names(others));
  }
  for (const std::string& organism : open.unknown)
    append_note(
        why, "\"" + organism +
                 "\" of this water is in none of the cleaning rules, so no cleaning here counts against it");
  return why;
}

// Asked for every water that an item was in; each cleaning is judged once.
class Judge {
 public:
  explicit Judge(const Snapshot& snapshot) : snapshot_(snapshot) {}
  bool operator()(std::size_t cleaning, TargetIndex target) {
    const auto [known, fresh] = known_.emplace(std::pair(cleaning, target.value()), false);
    if (fresh) known->second = is_enough(snapshot_.cleanings[cleaning], target);
    return known->second;
  }

 private:
  const Snapshot& snapshot_;
  std::map<std::pair<std::size_t, std::size_t>, bool> known_;
};

// Which of the cleanings were enough against which of the targets, each target by the first; what is left over stays in
// `targets`.
std::vector<CleaningDone> done_against(Judge& judge, const std::vector<std::size_t>& cleanings,
                                       std::vector<TargetIndex>& targets) {
  std::vector<CleaningDone> done;
  for (const std::size_t c : cleanings) {
    if (targets.empty()) break;
    CleaningDone here{c, {}};
    std::erase_if(targets, [&](TargetIndex target) {
      if (!judge(c, target)) return false;
      here.against.push_back(target);
      return true;
    });
    if (!here.against.empty()) done.push_back(std::move(here));
  }
  return done;
}

std::string done_words(const Snapshot& snapshot, const std::vector<CleaningDone>& done) {
  std::vector<std::string> words;
  for (const CleaningDone& one : done) {
    const Cleaning& cleaning = snapshot.cleanings[one.cleaning];
    words.push_back(cleaning_words(cleaning) + " on " + plain_moment(cleaning.finished) + " against " +
                    target_names(one.against));
  }
  return joined(words, "; ");
}

// What an item is, in one line. Each case says what may be done with it first, and why after that.
std::string state_words(const Snapshot& snapshot, const SurveyWaters& waters, const KitState& state) {
  const bool vessel = snapshot.kit[state.kit.value()].kind == KitKind::kVessel;
  std::string words;
  for (const std::size_t row : state.holds) {
    const Holding& held = snapshot.holdings[row];
    const auto site = site_of_key(snapshot, held.site_key);
    append_note(words, "holds a live sample" +
                           (site ? " of " + waters.name(waters.of(*site)) : std::string()) + " since " +
                           plain_day(held.since) + "; not free until that is put back there or disposed of");
  }
  // What the sample itself leaves open was told with it.
  std::vector<const OpenWater*> open;
  for (const OpenWater& water : state.open)
    if (!water.last.holding ||
        std::find(state.holds.begin(), state.holds.end(), *water.last.holding) == state.holds.end())
      open.push_back(&water);
  if (!state.has_history()) {
    words = "no history: nobody knows where it has been; clean it before it is used";
  } else if (!state.unmet.empty()) {
    append_note(
        words,
        "not clean: nobody knows where it was before, and no cleaning of it is shown to be enough against " +
            target_names(state.unmet));
    if (!state.done.empty()) append_note(words, "done so far: " + done_words(snapshot, state.done));
  } else if (state.is_clean()) {
    append_note(words, "clean: " + done_words(snapshot, state.done) +
                           (state.last_use ? ", since it was used on " +
                                                 plain_moment(snapshot.kit_uses[*state.last_use].when)
                                           : std::string("; not used since it was listed")));
  } else if (open.size() == 1) {
    append_note(words, (vessel ? "belongs to " : "goes into no water but ") + waters.name(open[0]->body) +
                           " until cleaned: " + open[0]->why);
  } else if (!open.empty()) {
    std::vector<std::string> why;
    for (const OpenWater* water : open) why.push_back(water->why);
    append_note(words, "goes into no water until cleaned: it carries what " + std::to_string(open.size()) +
                           " waters may hold; " + joined(why, "; "));
  }
  if (state.under_way)
    append_note(words, "being cleaned until " + plain_moment(snapshot.cleanings[*state.under_way].finished));
  return words;
}

}  // namespace

KitState KitHistory::state(KitIndex kit, const Moment& at) const {
  KitState state;
  state.kit = kit;
  const TimeSpan now = span_of(at);
  const auto& cleanings = cleanings_[kit.value()];
  std::vector<std::size_t> finished_by_now;
  for (const std::size_t c : cleanings) {
    const TimeSpan finished = span_of(snapshot_.cleanings[c].finished);
    if (finished.to_min <= now.to_min) {
      state.last_cleaning = c;
      finished_by_now.push_back(c);
    } else if (work_span_of(snapshot_.cleanings[c]).from_min <= now.to_min) {
      state.under_way = c;
    }
  }
  for (const std::size_t u : uses_[kit.value()])
    if (span_of(snapshot_.kit_uses[u].when).from_min <= now.to_min) state.last_use = u;

  // Of each site the stay that lasted longest; of each water those of its sites, the newest water first.
  Judge judge(snapshot_);
  // A risk that was cleared, or brought by kit, since one stay and not since another keeps the two apart.
  std::map<std::pair<std::size_t, std::pair<std::size_t, std::size_t>>, std::size_t> of_site;
  std::vector<KitStay> lasting;
  const auto& stays = stays_[kit.value()];
  for (std::size_t i = stays.size(); i-- > 0;) {
    KitStay stay = stays[i];
    if (stay.when.from_min > now.to_min) continue;
    if (stay.holding) {
      const Holding& held = snapshot_.holdings[*stay.holding];
      if (!held.until || *held.until > at.date) {
        state.holds.push_back(*stay.holding);
        stay.until_min = kNever;
      }
    }
    const auto spell = waters_.spell(waters_.of(stay.site), at.date, day_of(snapshot_, stay));
    const auto [known, fresh] = of_site.emplace(std::pair(stay.site.value(), spell), lasting.size());
    if (fresh)
      lasting.push_back(stay);
    else if (stay.until_min > lasting[known->second].until_min)
      lasting[known->second] = stay;
  }
  std::unordered_map<std::size_t, std::vector<std::size_t>> of_body;
  std::vector<BodyIndex> bodies;
  for (std::size_t i = 0; i < lasting.size(); ++i) {
    const BodyIndex body = waters_.of(lasting[i].site);
    auto& here = of_body[body.value()];
    if (here.empty()) bodies.push_back(body);
    here.push_back(i);
  }
  for (std::size_t b = 0; b < bodies.size(); ++b) {
    OpenWater open{bodies[b], {}, {}, {}, {}, ""};
    std::vector<std::size_t> last_after, last_unsure;
    for (const std::size_t i : of_body[bodies[b].value()]) {
      const KitStay& stay = lasting[i];
      const BodyTargets targets = waters_.targets(bodies[b], at.date, day_of(snapshot_, stay));
      std::vector<std::size_t> after, unsure;
      for (const std::size_t c : cleanings) {
        const TimeSpan finished = span_of(snapshot_.cleanings[c].finished);
        if (counts_after(stay, snapshot_.cleanings[c], now))
          after.push_back(c);
        else if (finished.to_min >= stay.when.from_min && finished.from_min <= now.to_min)
          unsure.push_back(c);
      }
      std::vector<TargetIndex> missing = targets.known;
      auto done = done_against(judge, after, missing);
      if (i == 0) state.done = std::move(done);
      if (missing.empty() && targets.unknown.empty()) continue;
      if (open.sites.empty()) {
        open.last = stay;
        last_after = std::move(after);
        last_unsure = std::move(unsure);
      }
      if (std::find(open.sites.begin(), open.sites.end(), stay.site) == open.sites.end())
        open.sites.push_back(stay.site);
      for (const std::string& organism : targets.unknown)
        if (std::find(open.unknown.begin(), open.unknown.end(), organism) == open.unknown.end())
          open.unknown.push_back(organism);
      for (const TargetIndex target : missing)
        if (std::find(open.missing.begin(), open.missing.end(), target) == open.missing.end())
          open.missing.push_back(target);
    }
    if (open.sites.empty()) continue;
    open.why = why_open(snapshot_, waters_.name(open.body), last_after, last_unsure, open);
    state.open.push_back(std::move(open));
  }
  if (bodies.empty() && state.last_cleaning) {
    state.unmet.assign(routine_targets().begin(), routine_targets().end());
    state.done = done_against(judge, finished_by_now, state.unmet);
  }
  state.words = state_words(snapshot_, waters_, state);
  return state;
}

}  // namespace brookmark::core
