#include "core/hygiene/kit_records.hpp"

#include <algorithm>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/hygiene/plain_words.hpp"

namespace brookmark::core {

namespace {

void refuse(const std::string& why) {
  if (!why.empty()) throw Error(ErrorCode::kBadInput, why);
}

std::string codes_of(const Snapshot& snapshot, std::span<const KitIndex> kit) {
  if (kit.empty()) throw Error(ErrorCode::kBadUse, "no kit is named; name at least one item");
  std::vector<std::string> codes;
  for (const KitIndex item : kit) codes.push_back(snapshot.kit[item.value()].code);
  return joined(codes, ", ");
}

// What is told of the water, and what is to be done about it afterwards.
void tell_risks(const RecordSource& source, SiteIndex site, Date day, Recorded& recorded) {
  const std::string& water = source.waters.name(source.waters.of(site));
  const auto told = source.waters.risk_sentences(site, day);
  for (const std::string& sentence : told) recorded.notes.push_back(water + ": " + sentence + ".");
  if (told.empty()) return;
  recorded.notes.push_back("Clean everything after " + water + ", before any other water.");
}

void tell_below(const RecordSource& source, BodyIndex body, Recorded& recorded) {
  std::vector<std::string> below;
  for (const WaterBelow& lower : source.waters.below(body))
    below.push_back(source.waters.name(lower.body) + " (" + plain_distance(lower.distance_m()) + " below)");
  if (!below.empty()) recorded.notes.push_back("Its water runs on into " + plain_list(below) + ".");
}

// A newer word counts, so that a clearing before it would change nothing and be taken for one that does.
void check_clearing(const RecordSource& source, BodyIndex body, const WaterRisk& cleared,
                    Recorded& recorded) {
  const auto at_risk = [&](Date day) -> const WaterRisk* {
    for (const BodyRisk& risk : source.waters.risks(body, day)) {
      const WaterRisk& row = source.snapshot.risks[risk.row];
      if (row.status != RiskStatus::kCleared && fold_name(row.target) == fold_name(cleared.target))
        return &row;
      if (row.status != RiskStatus::kCleared && risk.target && risk.target == find_target(cleared.target))
        return &row;
    }
    return nullptr;
  };
  const std::string& water = source.waters.name(body);
  if (at_risk(cleared.since) != nullptr) {
    recorded.notes.push_back("Kit that was used in " + water + " before " + plain_day(cleared.since) +
                             " still has to be cleaned of " + cleared.target + ".");
    return;
  }
  if (const WaterRisk* later = at_risk(source.now.date))
    refuse(cleared.target + " is " + risk_status_name(later->status) + " in " + water + " since " +
           plain_day(later->since) + ", so it cannot be cleared from " + plain_day(cleared.since) +
           " on; write a day from then on");
  recorded.warnings.push_back(cleared.target + " is not told of " + water +
                              " on that day: there was nothing to clear.");
}

// The newest stay that the cleaning did not surely begin after, though it ended no earlier.
void tell_not_counted(const RecordSource& source, KitIndex item, const Cleaning& cleaning,
                      Recorded& recorded) {
  const TimeSpan work = work_span_of(cleaning);
  const KitStay* newest = nullptr;
  for (const KitStay& stay : source.history.stays(item))
    if (stay.when.from_min <= span_of(cleaning.finished).to_min && stay.until_min >= work.from_min)
      newest = &stay;
  if (newest == nullptr) return;
  const Snapshot& snapshot = source.snapshot;
  const std::string& water = source.waters.name(source.waters.of(newest->site));
  std::string why;
  if (newest->holding) {
    why = "the live sample of " + water + ", which is or was in it";
  } else {
    const Moment& used = snapshot.kit_uses[*newest->use].when;
    why = "its use in " + water + " on " + plain_moment(used) +
          (used.minute_of_day && cleaning.finished.minute_of_day
               ? ": with that contact time it would have begun before it; look at the times"
               : ", for a time of day is missing; note the times");
  }
  recorded.warnings.push_back("For " + snapshot.kit[item.value()].code +
                              " this cleaning does not count after " + why + ".");
  recorded.counts = false;
}

}  // namespace

Moment local_moment(const Snapshot& snapshot, const Moment& utc) {
  std::optional<std::size_t> newest;
  for (std::size_t v = 0; v < snapshot.visits.size(); ++v)
    if (snapshot.visits.start[v].utc_offset_min &&
        (!newest || snapshot.visits.start[*newest].date < snapshot.visits.start[v].date))
      newest = v;
  if (!newest) return utc;
  Moment local = utc;
  const int offset = *snapshot.visits.start[*newest].utc_offset_min;
  const int minute = utc.minute_of_day.value_or(0) + offset;
  local.date.days += minute < 0 ? -1 : minute >= 1440 ? 1 : 0;
  local.minute_of_day = (minute + 1440) % 1440;
  local.utc_offset_min = offset;
  return local;
}

Recorded record_use(const RecordSource& source, std::span<const KitIndex> kit, SiteIndex site,
                    const Moment& when, const std::string& override_reason, const std::string& note) {
  const Snapshot& snapshot = source.snapshot;
  Recorded recorded{{"use kit", codes_of(snapshot, kit), {}}, {}, {}};
  refuse(why_not_yet(when, source.now));
  const auto warnings = warnings_before_entry(snapshot, source.waters, source.history, kit, site, when);
  for (const EntryWarning& warning : warnings) recorded.warnings.push_back(warning.text);
  const BodyIndex body = source.waters.of(site);
  tell_risks(source, site, when.date, recorded);
  if (!recorded.notes.empty()) tell_below(source, body, recorded);
  for (const KitIndex item : kit) {
    KitUse use;
    use.kit_key = snapshot.kit[item.value()].key;
    use.site_key = std::string(snapshot.sites.key[site.value()]);
    use.when = when;
    use.note = note;
    if (std::any_of(warnings.begin(), warnings.end(), [&](const EntryWarning& w) { return w.kit == item; }))
      use.override_reason =
          override_reason.empty() ? "went on in spite of a warning; no reason given" : override_reason;
    recorded.batch.edits.push_back(AddKitUse{use});
  }
  recorded.batch.summary +=
      " in " + std::string(snapshot.sites.code[site.value()]) + ", " + plain_moment(when);
  return recorded;
}

Recorded record_cleaning(const RecordSource& source, std::span<const KitIndex> kit, Cleaning cleaning) {
  Recorded recorded{{"clean kit", codes_of(source.snapshot, kit), {}}, {}, {}};
  refuse(why_not_yet(cleaning, source.now));
  for (const KitIndex item : kit) {
    cleaning.kit_key = source.snapshot.kit[item.value()].key;
    recorded.batch.edits.push_back(AddCleaning{cleaning});
  }
  recorded.batch.summary += ": " + cleaning_words(cleaning);
  if (const std::string missing = missing_in(cleaning); !missing.empty())
    recorded.warnings.push_back(plain_sentence(missing));
  for (const KitIndex item : kit) tell_not_counted(source, item, cleaning, recorded);
  if (!cleaning.finished.minute_of_day)
    recorded.warnings.emplace_back("Without a time of day it does not count for uses of the same day.");
  return recorded;
}

Recorded record_risk(const RecordSource& source, SiteIndex site, const std::string& organism,
                     RiskStatus status, Date since, const std::string& told_by, const std::string& note) {
  if (trim(organism).empty())
    throw Error(ErrorCode::kBadInput, "no organism is named; write what is suspected");
  refuse(why_not_yet({since, {}, {}}, source.now));
  WaterRisk risk;
  risk.site_key = std::string(source.snapshot.sites.key[site.value()]);
  const auto target = find_target(organism);
  risk.target = target ? target_at(*target).name : std::string(trim(organism));
  risk.status = status;
  risk.since = since;
  risk.told_by = told_by;
  risk.note = note;
  const BodyIndex body = source.waters.of(site);
  Recorded recorded{{"risk of a water",
                     risk.target + " " + risk_status_name(status) + " in " + source.waters.name(body) +
                         " since " + plain_day(since),
                     {AddWaterRisk{risk}}},
                    {},
                    {}};
  if (!target)
    recorded.warnings.push_back(
        "\"" + organism +
        "\" is in none of the cleaning rules, so no cleaning counts against it; kit from "
        "that water stays with it.");
  if (status != RiskStatus::kCleared) {
    tell_below(source, body, recorded);
    return recorded;
  }
  check_clearing(source, body, risk, recorded);
  return recorded;
}

Recorded record_hold(const RecordSource& source, KitIndex vessel, SiteIndex site, const std::string& what,
                     Date since, const std::string& note) {
  const Snapshot& snapshot = source.snapshot;
  const Moment then{since, {}, {}};
  refuse(why_not_yet(then, source.now));
  Holding holding;
  holding.kit_key = snapshot.kit[vessel.value()].key;
  holding.site_key = std::string(snapshot.sites.key[site.value()]);
  holding.what = what;
  holding.note = note;
  holding.since = since;
  KitUse use;
  use.kit_key = holding.kit_key;
  use.site_key = holding.site_key;
  use.when = then;
  const std::string& water = source.waters.name(source.waters.of(site));
  Recorded recorded{
      {"hold live sample", "live sample of " + water + " in " + snapshot.kit[vessel.value()].code, {}},
      {},
      {}};
  for (const EntryWarning& warning :
       warnings_before_entry(snapshot, source.waters, source.history, {&vessel, 1}, site, then))
    recorded.warnings.push_back(warning.text);
  const Kit& kit = snapshot.kit[vessel.value()];
  if (kit.kind != KitKind::kVessel && kit.kind != KitKind::kTray)
    recorded.warnings.push_back(kit.code + " is listed as " + kit_kind_name(kit.kind) +
                                ", and a live sample is kept in a vessel.");
  for (const Holding& other : snapshot.holdings) {
    if (other.kit_key != kit.key || other.outcome != HoldingOutcome::kHeld) continue;
    const auto from = site_of_key(snapshot, other.site_key);
    recorded.warnings.push_back(
        kit.code + " already holds a live sample" +
        (from ? " of " + source.waters.name(source.waters.of(*from)) : std::string()) + " since " +
        plain_day(other.since) + "; `release` ends that first.");
  }
  if (!recorded.warnings.empty()) use.override_reason = "held in spite of a warning; no reason given";
  recorded.notes.push_back("It goes back to " + water +
                           " only, or is disposed of. Protected animals are noted and left in their water.");
  recorded.batch.edits = {AddKitUse{use}, AddHolding{holding}};
  return recorded;
}

Recorded record_release(const RecordSource& source, KitIndex vessel, std::optional<SiteIndex> to,
                        const Moment& when, const std::string& override_reason) {
  const Kit& kit = source.snapshot.kit[vessel.value()];
  refuse(why_not_yet(when, source.now));
  for (const Holding& holding : source.snapshot.holdings) {
    if (holding.kit_key != kit.key || holding.outcome != HoldingOutcome::kHeld) continue;
    LiveSampleEnd end = end_live_sample(source.snapshot, source.waters, holding, to, when, override_reason);
    Recorded recorded{{"end of a live sample", end.summary, {Replace<Holding>{end.holding}}}, {}, {}};
    if (end.use) recorded.batch.edits.push_back(AddKitUse{*end.use});
    if (!end.warning.empty()) recorded.warnings.push_back(plain_sentence(end.warning));
    recorded.notes.push_back(plain_sentence(end.afterwards));
    return recorded;
  }
  throw Error(ErrorCode::kNotFound, "nothing is held in " + kit.code);
}

std::vector<TargetIndex> targets_to_meet(const RecordSource& source, std::span<const KitIndex> kit,
                                         const Moment& at) {
  std::vector<TargetIndex> targets(routine_targets().begin(), routine_targets().end());
  for (const KitIndex item : kit)
    for (const OpenWater& open : source.history.state(item, at).open) {
      std::vector<TargetIndex> asked = source.waters.targets(open.body, at.date).known;
      asked.insert(asked.end(), open.missing.begin(), open.missing.end());
      for (const TargetIndex target : asked)
        if (std::find(targets.begin(), targets.end(), target) == targets.end()) targets.push_back(target);
    }
  return targets;
}

}  // namespace brookmark::core
