// `risk`, `trace`, `hold`, `release`: what is suspected where, which waters were entered after it with the same kit, and
// live samples that are away from their water.
#include <algorithm>
#include <memory>
#include <ostream>

#include "core/base/no_answer.hpp"
#include "core/base/text.hpp"
#include "core/hygiene/live_samples.hpp"
#include "core/hygiene/plain_words.hpp"
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
  const core::Date day = choose_date(until, today_here(snapshot).date);
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
    console.err << "nothing is told of any water by " << core::plain_day(day)
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
  const KitBook book(snapshot);
  store_record(
      file,
      core::record_risk(book.source(), site, command.target, *status,
                        choose_date(command.since, now_here(snapshot).date), command.by, command.note),
      console.err);
  if (*status != core::RiskStatus::kCleared)
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
  // Without a word the first organism that the water is still at risk of; the others are named beside it.
  std::string asked = command.target;
  const auto risks = waters.risks(*body, today_here(snapshot).date);
  if (asked.empty())
    for (const core::BodyRisk& risk : risks)
      if (asked.empty() && risk.status != core::RiskStatus::kCleared) asked = snapshot.risks[risk.row].target;
  const auto told = core::told_of(snapshot, waters, *body, asked);
  const std::string organism = told ? told->organism : asked;
  if (organism.empty())
    throw AnswerIsNo("nothing is told of " + waters.name(*body) +
                     ", so there is nothing to trace; say what with --target ORGANISM, or record it with "
                     "`brookmark risk`");
  if (told)
    query = told->query;
  else
    query = {*body, {}, core::find_target(organism)};
  // A site that is named stands for where it was found.
  if (query.places.empty())
    if (const auto site = snapshot.find_site(command.water)) query.places.push_back(*site);
  if (!command.since.empty()) {
    query.since = choose_date(command.since, {});
    if (const std::string why = core::why_not_yet({*query.since, {}, {}}, now_here(snapshot)); !why.empty())
      throw Error(ErrorCode::kBadUse, why);
  }
  console.err << "tracing " << organism << " from " << waters.name(*body)
              << (query.since ? ", entered on " + core::plain_day(*query.since) + " or later"
                              : std::string(", from its first use of kit on"))
              << "; it may have been there before it was noticed: --since DATE looks further back\n";
  for (const core::BodyRisk& risk : risks) {
    const core::WaterRisk& row = snapshot.risks[risk.row];
    if (core::fold_name(row.target) == core::fold_name(organism)) {
      if (risk.status == core::RiskStatus::kCleared)
        console.err << organism << " is told cleared there since " << core::plain_day(row.since) << '\n';
    } else if (risk.status != core::RiskStatus::kCleared) {
      console.err << "not traced here: " << row.target << ", " << core::risk_status_name(risk.status)
                  << " there since " << core::plain_day(row.since) << "; trace it with --target "
                  << core::in_quotes(row.target) << '\n';
    }
  }
  if (!query.target)
    console.err << "warning: \"" << organism
                << "\" is in none of the cleaning rules, so no cleaning counts against it\n";
  return query;
}

int run_trace(const std::filesystem::path& survey, const TraceCommand& command, const Console& console) {
  const Session session = open_for(survey, console);
  const core::Snapshot& snapshot = session.snapshot;
  const core::SurveyWaters waters(snapshot, &session.channels);
  const core::KitHistory history(snapshot, waters);
  const core::TraceQuery query = query_of(snapshot, waters, command, console);
  Rows rows{{"water", "contact", "steps", "first_entry", "sites", "kit", "way", "order_sure"}, {}};
  const auto codes_of = [&](const auto& list) {
    std::string codes;
    for (const core::SiteIndex site : list)
      codes += (codes.empty() ? "" : " ") + std::string(snapshot.sites.code[site.value()]);
    return codes;
  };
  const auto kit_of = [&](const core::TracedWater& traced) {
    std::string codes;
    for (const core::KitIndex item : traced.kit)
      codes += (codes.empty() ? "" : " ") + snapshot.kit[item.value()].code;
    return codes;
  };
  const auto entry_of = [&](const core::KitStay& stay) {
    return stay.use ? core::format_moment(snapshot.kit_uses[*stay.use].when)
                    : core::format_date(snapshot.holdings[*stay.holding].since);
  };
  const core::Contacts found = core::trace(snapshot, waters, history, query);
  for (const core::TracedWater& traced : found.entered) {
    const core::TraceStep& last = traced.chain.back();
    rows.add({text(waters.name(traced.body)),
              text(traced.direct     ? "direct"
                   : traced.by_water ? "through water below"
                                     : "through other waters"),
              whole(traced.chain.size()), text(entry_of(last.in)), text(codes_of(traced.sites)),
              text(kit_of(traced)), text(traced.words), !traced.order_unsure});
  }
  for (const core::UpstreamMove& move : found.upstream)
    rows.add({text(waters.name(query.origin)), text("further up the same water"), whole(1),
              text(entry_of(move.step.in)), text(snapshot.sites.code[move.step.in.site.value()]),
              text(snapshot.kit[move.step.kit.value()].code), text(move.words), !move.order_unsure});
  for (const core::WaterAtRisk& lower : found.below)
    rows.add({text(waters.name(lower.below.body)),
              text("downstream"),
              {},
              {},
              text(codes_of(lower.below.reached())),
              {},
              text(lower.words),
              {}});
  console.rows(rows);
  console.err
      << (found.entered.empty() && found.upstream.empty()
              ? "no other water was entered afterwards with kit from this water, or from below it, that "
                "was not cleaned; what nobody recorded is not in it\n"
              : "these waters may hold it too; a list of contacts, no proof. What nobody recorded is "
                "not in it\n");
  if (!found.below.empty())
    console.err
        << "downstream: the water itself may bring it; kit that was used there is followed from the day "
           "on which the water above is taken as a source\n";
  return rows.rows.empty() ? kAnswerIsNo : kDone;
}

struct HoldCommand {
  std::string vessel, site, what, since, note;
  std::int64_t limit = core::kHoldDays;
};

int list_held(const std::filesystem::path& survey, const HoldCommand& command, const Console& console) {
  const Session session = open_for(survey, console);
  const core::SurveyWaters waters(session.snapshot, &session.channels);
  Rows rows{{"vessel", "what", "water", "site", "since", "days", "overdue", "note"}, {}};
  bool overdue = false;
  for (const core::HeldSample& held : core::held_samples(
           session.snapshot, waters, choose_date(command.since, today_here(session.snapshot).date),
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
  const KitBook book(snapshot);
  if (command.site.empty())
    throw Error(ErrorCode::kBadUse, "name the site that the sample is from: hold SURVEY VESSEL SITE");
  const core::KitIndex vessel = choose_kit(snapshot, book.history, command.vessel);
  store_record(file,
               core::record_hold(book.source(), vessel, choose_site(snapshot, command.site), command.what,
                                 choose_date(command.since, now_here(snapshot).date), command.note),
               console.err);
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
  const KitBook book(snapshot);
  const core::KitIndex vessel = choose_kit(snapshot, book.history, command.vessel);
  std::optional<core::SiteIndex> to;
  if (!command.disposed) to = choose_site(snapshot, command.to);
  store_record(file,
               core::record_release(book.source(), vessel, to, choose_moment(command.on, now_here(snapshot)),
                                    command.override_reason),
               console.err);
  return kDone;
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
      .option("--on", release->on, "when, YYYY-MM-DD or YYYY-MM-DDThh:mm; default: now")
      .option("--override", release->override_reason, "why it went elsewhere; kept with it");
}

}  // namespace brookmark::viewer
