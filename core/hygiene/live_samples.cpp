#include "core/hygiene/live_samples.hpp"

#include <algorithm>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/hygiene/plain_words.hpp"

namespace brookmark::core {

std::vector<HeldSample> held_samples(const Snapshot& snapshot, const SurveyWaters& waters, Date day,
                                     int limit_days) {
  std::vector<HeldSample> held;
  for (std::size_t r = 0; r < snapshot.holdings.size(); ++r) {
    const Holding& holding = snapshot.holdings[r];
    if (holding.since > day || (holding.until && *holding.until <= day)) continue;
    HeldSample sample;
    sample.row = r;
    if (const auto site = site_of_key(snapshot, holding.site_key)) {
      sample.origin = waters.of(*site);
      sample.site = std::string(snapshot.sites.code[site->value()]);
    }
    sample.what = holding.what.empty() ? std::string("live sample") : holding.what;
    for (const Kit& kit : snapshot.kit)
      if (kit.key == holding.kit_key) sample.vessel = kit.code;
    sample.days = day.days - holding.since.days;
    sample.overdue = sample.days > limit_days;
    const std::string origin = sample.origin ? waters.name(*sample.origin) : std::string("an unknown water");
    sample.words =
        sample.what + " of " + origin + " in " +
        (sample.vessel.empty() ? std::string("an unknown vessel") : sample.vessel) + " since " +
        plain_day(holding.since) + ", " + std::to_string(sample.days) +
        (sample.days == 1 ? " day" : " days") +
        (sample.overdue ? ": overdue; return it to " + origin + " and nowhere else, or dispose of it"
                        : ": goes back to " + origin + " only, or is disposed of");
    held.push_back(std::move(sample));
  }
  std::stable_sort(held.begin(), held.end(),
                   [](const HeldSample& a, const HeldSample& b) { return a.days > b.days; });
  return held;
}

std::string why_not_return(const Snapshot& snapshot, const SurveyWaters& waters, const Holding& holding,
                           SiteIndex site) {
  const auto origin = site_of_key(snapshot, holding.site_key);
  if (!origin) return "its origin is not in this survey";
  const auto code = [&](SiteIndex at) { return std::string(snapshot.sites.code[at.value()]); };
  if (waters.of(*origin) == waters.of(site)) {
    const auto metres = waters.down_m(site, *origin);
    if (!metres || *metres <= 0) return "";
    return "it was taken at " + code(*origin) + ", and " + code(site) + " lies " + plain_distance(*metres) +
           " further up; a live sample goes down its water or back to its own site, never up, or is disposed "
           "of";
  }
  return "it is from " + waters.name(waters.of(*origin)) + ", and " +
         std::string(snapshot.sites.code[site.value()]) + " lies on " + waters.name(waters.of(site)) +
         "; a live sample goes back to its own water or is disposed of";
}

LiveSampleEnd end_live_sample(const Snapshot& snapshot, const SurveyWaters& waters, const Holding& holding,
                              std::optional<SiteIndex> to, const Moment& when, const std::string& reason) {
  if (when.date < holding.since)
    throw Error(ErrorCode::kBadInput, "it is held since " + plain_day(holding.since) +
                                          " and cannot have ended on " + plain_day(when.date));
  LiveSampleEnd end{holding, {}, "", "", ""};
  end.holding.until = when.date;
  end.holding.outcome = to ? HoldingOutcome::kReturned : HoldingOutcome::kDisposed;
  std::string vessel = "an unknown vessel";
  for (const Kit& kit : snapshot.kit)
    if (kit.key == holding.kit_key) vessel = kit.code;
  const auto origin = site_of_key(snapshot, holding.site_key);
  const std::string from = origin ? waters.name(waters.of(*origin)) : std::string("an unknown water");
  if (!to) {
    end.summary = "the live sample in " + vessel + " was disposed of";
    end.afterwards = vessel + " belongs to " + from + " until it is cleaned";
    return end;
  }
  const std::string& into = waters.name(waters.of(*to));
  KitUse use;
  use.kit_key = holding.kit_key;
  use.site_key = std::string(snapshot.sites.key[to->value()]);
  use.when = when;
  use.note = "a live sample of " + from + " was put in";
  end.warning = why_not_return(snapshot, waters, holding, *to);
  if (!end.warning.empty() && origin && waters.of(*origin) == waters.of(*to)) {
    const std::string why = reason.empty() ? "no reason given" : reason;
    const std::string lower(snapshot.sites.code[origin->value()]), higher(snapshot.sites.code[to->value()]);
    append_note(end.holding.note,
                "put in at " + higher + ", further up than " + lower + ", where it was taken: " + why);
    use.override_reason = "a live sample of " + lower + " was put in further up, at " + higher + ": " + why;
    end.summary = "the live sample in " + vessel + " was put in at " + higher + ", further up than " + lower +
                  ", where it was taken";
    end.afterwards = vessel + " belongs to " + into + " until it is cleaned. A contact trace of " + from +
                     " follows it up to " + higher;
    end.use = use;
    return end;
  }
  if (end.warning.empty()) {
    end.summary = "the live sample in " + vessel + " was put back into " + into;
    end.afterwards = vessel + " belongs to " + into + " until it is cleaned";
  } else {
    const std::string why = reason.empty() ? "no reason given" : reason;
    append_note(end.holding.note, "put into " + into + ", which is not its own water: " + why);
    use.override_reason = "a live sample of " + from + " was put into " + into + ": " + why;
    end.summary = "the live sample in " + vessel + " was put into " + into + ", which is not its own water";
    end.afterwards = vessel + " was in " + from + " and in " + into +
                     ": into neither before it is cleaned. A contact trace of " + from + " follows it to " +
                     into;
  }
  end.use = use;
  return end;
}

}  // namespace brookmark::core
