// `risk`, `trace`, `hold`, `release`: what is suspected where, which waters were entered after it with the same kit, and
// live samples that are away from their water.
#include <algorithm>
#include <memory>
#include <ostream>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/hygiene/live_samples.hpp"
#include "core/hygiene/tracing.hpp"
#include "core/store/survey_file.hpp"
#include "viewer/cli/kit_words.hpp"
#include "viewer/cli/verbs.hpp"

namespace brookmark::viewer {

namespace {

struct RiskCommand {
  std::string site, target, status, since, by, note;
};

int list_risks(const std::filesystem::path& survey, const std::string& until, const Console& console) {
  const Session session = open_for(survey, console);
  const core::Snapshot& snapshot = session.snapshot;
  const core::SurveyWaters waters(snapshot);
  const core::Date day = choose_date(until, core::today_utc());
  Rows rows{{"water", "target", "status", "since", "told_by", "site", "rule_known", "note"}, {}};
  for (std::size_t b = 0; b < waters.size(); ++b)
    for (const core::BodyRisk& risk : waters.risks(core::BodyIndex(b), day)) {
      const core::WaterRisk& row = snapshot.risks[risk.row];
      const auto site = core::site_of_key(snapshot, row.site_key);
      Cell code;
      if (site) code = text(snapshot.sites.code[site->value()]);
      rows.add({text(waters.name(core::BodyIndex(b))), text(row.target),
                text(core::risk_status_name(row.status)), text(core::format_date(row.since)),
                text_or_empty(row.told_by), code, risk.target.has_value(), text_or_empty(row.note)});
    }
  console.rows(rows);
  if (rows.rows.empty())
    console.err << "nothing is told of any water by " << core::format_date(day)
                << "; that is no proof that it is clean\n";
  return rows.rows.empty() ? kAnswerIsNo : kDone;
}

int run_risk(const std::filesystem::path& survey, const RiskCommand& command, const Console& console) {
  if (command.site.empty()) return list_risks(survey, command.since, console);
  if (command.target.empty() || command.status.empty())
    throw Error(ErrorCode::kBadUse,
                "to record a risk write SITE ORGANISM STATUS, as in: risk SURVEY N02 ranavirus suspected");
  core::SurveyFile file = core::SurveyFile::open(survey, core::Access::kEdit);
  const core::Snapshot snapshot = file.read();
  const core::SiteIndex site = choose_site(snapshot, command.site);
  const auto status = core::parse_risk_status(command.status);
  if (!status)
    throw Error(ErrorCode::kBadInput,
                "\"" + command.status + "\" is no status of a risk; write suspected, confirmed or cleared");
  core::WaterRisk risk;
  risk.key = file.new_key();
  risk.site_key = std::string(snapshot.sites.key[site.value()]);
  const auto target = core::find_target(command.target);
  risk.target = target ? core::target_at(*target).name : command.target;
  risk.status = *status;
  risk.since = choose_date(command.since, now_here(snapshot).date);
  risk.told_by = command.by;
  risk.note = command.note;
  const core::SurveyWaters waters(snapshot);
  const std::string summary = risk.target + " " + core::risk_status_name(risk.status) + " in " +
                              waters.name(waters.of(site)) + " since " + core::format_date(risk.since);
  file.apply({"risk of a water", summary, {core::AddWaterRisk{risk}}});
  console.err << "recorded: " << summary << '\n';
  if (!target)
    console.err << "warning: \"" << command.target
                << "\" is in none of the cleaning rules, so no cleaning counts against it; kit from that "
                   "water stays with it\n";
  if (risk.status != core::RiskStatus::kCleared)
    console.err << "tell the competent authority where the law asks for it; `brookmark trace` lists the "
                   "waters that were entered afterwards with the same kit\n";
  return kDone;
}

struct TraceCommand {
  std::string water, target, since;
};

core::TraceQuery query_of(const core::Snapshot& snapshot, const core::SurveyWaters& waters,
                          const TraceCommand& command, const Console& console) {
  core::TraceQuery query;
  const auto body = waters.find(command.water);
  if (!body)
    throw Error(ErrorCode::kNotFound,
                "there is no water and no site \"" + command.water + "\" in this survey");
  query.origin = *body;
  // The oldest word on the organism, or on any where none is named.
  std::string organism = command.target;
  std::optional<core::Date> since;
  for (const core::WaterRisk& risk : snapshot.risks) {
    const auto site = core::site_of_key(snapshot, risk.site_key);
    if (!site || waters.of(*site) != *body || risk.status == core::RiskStatus::kCleared) continue;
    if (organism.empty()) organism = risk.target;
    const auto asked = core::find_target(organism), told = core::find_target(risk.target);
    if (asked ? asked != told : core::fold_name(organism) != core::fold_name(risk.target)) continue;
    if (!since || risk.since < *since) since = risk.since;
  }
  if (organism.empty())
    throw Error(ErrorCode::kBadUse, "nothing is told of " + waters.name(*body) +
                                        ", so there is nothing to trace; say what with --target ORGANISM, or "
                                        "record it with `brookmark risk`");
  query.target = core::find_target(organism);
  query.since = command.since.empty() ? since : std::optional(choose_date(command.since, {}));
  console.err << "tracing " << organism << " from " << waters.name(*body)
              << (query.since ? ", entered on " + core::format_date(*query.since) + " or later"
                              : std::string(", from its first use of kit on"))
              << "; it may have been there before it was noticed: --since DATE looks further back\n";
  if (!query.target)
    console.err << "warning: \"" << organism
                << "\" is in none of the cleaning rules, so no cleaning counts against it\n";
  return query;
}

int run_trace(const std::filesystem::path& survey, const TraceCommand& command, const Console& console) {
  const Session session = open_for(survey, console);
  const core::Snapshot& snapshot = session.snapshot;
  const core::SurveyWaters waters(snapshot);
  const core::KitHistory history(snapshot, waters);
  const core::TraceQuery query = query_of(snapshot, waters, command, console);
  Rows rows{{"water", "contact", "steps", "first_entry", "sites", "kit", "way", "order_sure"}, {}};
  for (const core::TracedWater& traced : core::trace_contacts(snapshot, waters, history, query)) {
    std::string sites, kit;
    for (const core::SiteIndex site : waters.sites(traced.body))
      sites += (sites.empty() ? "" : " ") + std::string(snapshot.sites.code[site.value()]);
    const core::KitUse& entry = snapshot.kit_uses[traced.chain.back().in_use];
    for (const core::Kit& item : snapshot.kit)
      if (item.key == entry.kit_key) kit = item.code;
    rows.add({text(waters.name(traced.body)), text(traced.direct ? "direct" : "through other waters"),
              whole(traced.chain.size()), text(core::format_moment(entry.when)), text(sites), text(kit),
              text(traced.words), !traced.order_unsure});
  }
  console.rows(rows);
  console.err << (rows.rows.empty() ? "no water was entered afterwards with kit that was not cleaned; what "
                                      "nobody recorded is not in it\n"
                                    : "these waters may hold it too; a list of contacts, no proof. What "
                                      "nobody recorded is not in it\n");
  return rows.rows.empty() ? kAnswerIsNo : kDone;
}

struct HoldCommand {
  std::string vessel, site, what, since, note;
  std::int64_t limit = core::kHoldDays;
};

int list_held(const std::filesystem::path& survey, const HoldCommand& command, const Console& console) {
  const Session session = open_for(survey, console);
  const core::SurveyWaters waters(session.snapshot);
  Rows rows{{"vessel", "what", "water", "site", "since", "days", "overdue", "note"}, {}};
  bool overdue = false;
  for (const core::HeldSample& held :
       core::held_samples(session.snapshot, waters, choose_date(command.since, core::today_utc()),
                          static_cast<int>(command.limit))) {
    const core::Holding& row = session.snapshot.holdings[held.row];
    const auto site = core::site_of_key(session.snapshot, row.site_key);
    overdue = overdue || held.overdue;
    Cell water, code;
    if (held.origin) water = text(waters.name(*held.origin));
    if (site) code = text(session.snapshot.sites.code[site->value()]);
    rows.add({text_or_empty(held.vessel), text_or_empty(row.what), water, code,
              text(core::format_date(row.since)), whole(static_cast<std::size_t>(held.days)), held.overdue,
              text(held.words)});
  }
  console.rows(rows);
  console.err << "overdue: more than " << command.limit
              << " days (common practice, no source; --limit changes it). A live sample goes back to "
                 "its own water or is disposed of as local rules say\n";
  return overdue ? kAnswerIsNo : kDone;
}

int run_hold(const std::filesystem::path& survey, const HoldCommand& command, const Console& console) {
  if (command.vessel.empty()) return list_held(survey, command, console);
  core::SurveyFile file = core::SurveyFile::open(survey, core::Access::kEdit);
  const core::Snapshot snapshot = file.read();
  const core::SurveyWaters waters(snapshot);
  const core::KitHistory history(snapshot, waters);
  if (command.site.empty())
    throw Error(ErrorCode::kBadUse, "name the site that the sample is from: hold SURVEY VESSEL SITE");
  const core::KitIndex vessel = choose_kit(snapshot, history, command.vessel);
  const core::SiteIndex site = choose_site(snapshot, command.site);
  core::Holding holding;
  holding.key = file.new_key();
  holding.kit_key = snapshot.kit[vessel.value()].key;
  holding.site_key = std::string(snapshot.sites.key[site.value()]);
  holding.what = command.what;
  holding.note = command.note;
  holding.since = choose_date(command.since, now_here(snapshot).date);
  const core::Moment then{holding.since, {}, {}};
  const auto warnings = core::warnings_before_entry(snapshot, waters, history, {&vessel, 1}, site, then);
  for (const core::EntryWarning& warning : warnings) console.err << "warning: " << warning.text << '\n';
  // The vessel was in that water: from now on it belongs to it.
  core::KitUse use;
  use.key = file.new_key();
  use.kit_key = holding.kit_key;
  use.site_key = holding.site_key;
  use.when = then;
  if (!warnings.empty()) use.override_reason = "held in spite of a warning; no reason given";
  const std::string summary = "live sample of " + waters.name(waters.of(site)) + " in " + command.vessel;
  file.apply({"hold live sample", summary, {core::AddKitUse{use}, core::AddHolding{holding}}});
  console.err << "recorded: " << summary
              << "; it goes back there only, or is disposed of. Protected animals are noted and left in "
                 "their water\n";
  return kDone;
}

struct ReleaseCommand {
  std::string vessel, to, on, override_reason;
  bool disposed = false;
};

int run_release(const std::filesystem::path& survey, const ReleaseCommand& command, const Console& console) {
  if (command.disposed != command.to.empty())
    throw Error(ErrorCode::kBadUse, "say either --to SITE, where it was put back, or --disposed");
  core::SurveyFile file = core::SurveyFile::open(survey, core::Access::kEdit);
  const core::Snapshot snapshot = file.read();
  const core::SurveyWaters waters(snapshot);
  const core::KitHistory history(snapshot, waters);
  const core::KitIndex vessel = choose_kit(snapshot, history, command.vessel);
  for (core::Holding holding : snapshot.holdings) {
    if (holding.kit_key != snapshot.kit[vessel.value()].key || holding.outcome != core::HoldingOutcome::kHeld)
      continue;
    holding.until = choose_date(command.on, now_here(snapshot).date);
    holding.outcome = command.disposed ? core::HoldingOutcome::kDisposed : core::HoldingOutcome::kReturned;
    if (*holding.until < holding.since)
      throw Error(ErrorCode::kBadInput, "it is held since " + core::format_date(holding.since) +
                                            " and cannot have ended on " + core::format_date(*holding.until));
    if (!command.disposed) {
      const core::SiteIndex site = choose_site(snapshot, command.to);
      if (const std::string why = core::why_not_return(snapshot, waters, holding, site); !why.empty()) {
        console.err << "warning: " << why << '\n';
        core::append_note(
            holding.note,
            "put into " + waters.name(waters.of(site)) + ", which is not its own water: " +
                (command.override_reason.empty() ? "no reason given" : command.override_reason));
      }
    }
    const std::string summary =
        "the live sample in " + command.vessel + " was " + core::holding_outcome_name(holding.outcome);
    file.apply({"end of a live sample", summary, {core::Replace<core::Holding>{holding}}});
    console.err << "recorded: " << summary << "; the vessel belongs to its water until it is cleaned\n";
    return kDone;
  }
  throw Error(ErrorCode::kNotFound, "nothing is held in " + command.vessel);
}

}  // namespace

void add_risk_verbs(Verbs& verbs) {
  const auto risk = std::make_shared<RiskCommand>();
  verbs
      .add_for_survey("risk", "pathogens and invasive species of waters: list them, or record one",
                      [risk](const auto& survey, const Console& c) { return run_risk(survey, *risk, c); })
      .word("SITE", risk->site, "a site on the water; without it the risks are listed")
      .word("ORGANISM", risk->target, "what is suspected")
      .word("STATUS", risk->status, "suspected, confirmed or cleared")
      .option("--since", risk->since,
              "from when on, YYYY-MM-DD; default: today. Of a list: as it was on that day")
      .option("--by", risk->by, "who says so")
      .option("--note", risk->note, "a note")
      .with_format();

  const auto trace = std::make_shared<TraceCommand>();
  verbs
      .add_for_survey(
          "trace", "which waters were entered after one, with the same kit and no cleaning that was enough",
          [trace](const auto& survey, const Console& c) { return run_trace(survey, *trace, c); })
      .word("WATER", trace->water, "a water, or a site on it")
      .required()
      .option("--target", trace->target, "the organism; default: what is told of the water")
      .option("--since", trace->since, "from when on, YYYY-MM-DD; default: as it is told")
      .with_format();

  const auto hold = std::make_shared<HoldCommand>();
  verbs
      .add_for_survey("hold", "live samples away from their water: list them, or record one",
                      [hold](const auto& survey, const Console& c) { return run_hold(survey, *hold, c); })
      .word("VESSEL", hold->vessel, "its code; without it what is held is listed")
      .word("SITE", hold->site, "where it is from")
      .option("--what", hold->what, "what it is")
      .option("--since", hold->since,
              "from when on, YYYY-MM-DD; default: today. Of a list: as it was on that day")
      .option("--note", hold->note, "a note")
      .whole("--limit", hold->limit, 0, 3650, "of a list: days after which it is overdue; default 2")
      .with_format();

  const auto release = std::make_shared<ReleaseCommand>();
  verbs
      .add_for_survey(
          "release", "a live sample went back to its own water, or was disposed of",
          [release](const auto& survey, const Console& c) { return run_release(survey, *release, c); })
      .word("VESSEL", release->vessel, "its code")
      .required()
      .option("--to", release->to, "the site where it was put back")
      .flag("--disposed", release->disposed, "it was disposed of, as local rules say")
      .option("--on", release->on, "when, YYYY-MM-DD; default: today")
      .option("--override", release->override_reason, "why it went elsewhere; kept with it");
}

}  // namespace brookmark::viewer
