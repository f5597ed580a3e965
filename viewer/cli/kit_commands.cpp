// `kit`, `kit-add`, `kit-use`, `kit-clean`, `cleaning-rules`: what kit there is, where it was, and whether it is clean.
#include <algorithm>
#include <memory>
#include <ostream>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/hygiene/kit_sets.hpp"
#include "core/hygiene/plain_words.hpp"
#include "core/store/survey_file.hpp"
#include "viewer/cli/kit_words.hpp"
#include "viewer/cli/verbs.hpp"

namespace brookmark::viewer {

namespace {

constexpr const char* kDisinfectants =
    "disinfectants are hazardous: follow the label, local codes and licensed practice, which go before "
    "anything here; "
    "keep them away from water\n";

struct KitCommand {
  std::string code, at;
};

Rows history_of(const core::Snapshot& snapshot, const core::SurveyWaters& waters,
                const core::KitHistory& history, core::KitIndex kit, const core::Moment& at) {
  struct Line {
    core::TimeSpan when;
    std::vector<Cell> cells;
  };
  std::vector<Line> lines;
  const std::int64_t latest_min = core::span_of(at).to_min;
  for (const std::size_t u : history.uses(kit)) {
    const core::KitUse& use = snapshot.kit_uses[u];
    if (core::span_of(use.when).from_min > latest_min) continue;
    const core::SiteIndex site = *history.site_of_use(u);
    lines.push_back({core::span_of(use.when),
                     {text(core::format_moment(use.when)),
                      text("used"),
                      text(snapshot.sites.code[site.value()]),
                      text(waters.name(waters.of(site))),
                      {},
                      {},
                      text_or_empty(use.override_reason),
                      text_or_empty(use.note)}});
  }
  for (const std::size_t c : history.cleanings(kit)) {
    const core::Cleaning& cleaning = snapshot.cleanings[c];
    if (core::span_of(cleaning.finished).from_min > latest_min) continue;
    std::string left;
    // The routine ones, and those of the waters that it had been in by then.
    std::vector<core::TargetIndex> asked(core::routine_targets().begin(), core::routine_targets().end());
    for (const core::KitStay& stay : history.stays(kit)) {
      if (stay.when.from_min > core::span_of(cleaning.finished).to_min) continue;
      const core::Date used =
          stay.use ? snapshot.kit_uses[*stay.use].when.date : snapshot.holdings[*stay.holding].since;
      for (const core::TargetIndex target : waters.targets(waters.of(stay.site), at.date, used).known)
        if (std::find(asked.begin(), asked.end(), target) == asked.end()) asked.push_back(target);
    }
    for (const core::CleaningVerdict& verdict : core::judge_cleaning(cleaning, asked))
      if (verdict.effect != core::CleaningEffect::kEnough)
        left += (left.empty() ? "" : ", ") + core::target_at(verdict.target).name;
    lines.push_back({core::span_of(cleaning.finished),
                     {text(core::format_moment(cleaning.finished)),
                      text("cleaned"),
                      {},
                      {},
                      text(core::cleaning_words(cleaning)),
                      text(left.empty() ? "none" : left),
                      {},
                      text_or_empty(cleaning.note)}});
  }
  for (const core::KitStay& stay : history.stays(kit)) {
    if (!stay.holding || stay.when.from_min > latest_min) continue;
    const core::Holding& held = snapshot.holdings[*stay.holding];
    const std::string& origin = waters.name(waters.of(stay.site));
    lines.push_back({stay.when,
                     {text(core::format_date(held.since)),
                      text("live sample taken"),
                      text(snapshot.sites.code[stay.site.value()]),
                      text(origin),
                      {},
                      {},
                      {},
                      text_or_empty(held.what)}});
    if (!held.until || core::span_of({*held.until, {}, {}}).from_min > latest_min) continue;
    // Into which water stands in the use of that day.
    lines.push_back({core::span_of({*held.until, {}, {}}),
                     {text(core::format_date(*held.until)),
                      text(held.outcome == core::HoldingOutcome::kDisposed
                               ? "live sample of " + origin + " disposed of"
                               : "live sample of " + origin + " put into a water"),
                      {},
                      {},
                      {},
                      {},
                      {},
                      text_or_empty(held.note)}});
  }
  std::stable_sort(lines.begin(), lines.end(), [](const Line& a, const Line& b) {
    return std::pair(a.when.from_min, a.when.to_min) < std::pair(b.when.from_min, b.when.to_min);
  });
  Rows rows{{"when", "what", "site", "water", "cleaning", "not_shown_against", "override", "note"}, {}};
  for (Line& line : lines) rows.add(std::move(line.cells));
  return rows;
}

int run_kit(const std::filesystem::path& survey, const KitCommand& command, const Console& console) {
  const Session session = open_for(survey, console);
  const core::Snapshot& snapshot = session.snapshot;
  const core::SurveyWaters waters(snapshot, &session.channels);
  const core::KitHistory history(snapshot, waters);
  const core::Moment at = choose_moment(command.at, today_here(snapshot));
  if (!command.code.empty()) {
    const core::KitIndex kit = choose_kit(snapshot, history, command.code);
    const Rows rows = history_of(snapshot, waters, history, kit, at);
    console.rows(rows);
    console.err << command.code << ": " << history.state(kit, at).words << '\n';
    return rows.rows.empty() ? kAnswerIsNo : kDone;
  }
  Rows rows{{"kit", "name", "kind", "set", "clean", "last_use", "last_water", "last_cleaning", "belongs_to",
             "state"},
            {}};
  for (const core::KitState& state : history.states(at)) {
    const core::Kit& kit = snapshot.kit[state.kit.value()];
    std::string open;
    for (const core::OpenWater& water : state.open)
      open += (open.empty() ? "" : ", ") + waters.name(water.body);
    Cell last_use, last_water, last_cleaning;
    if (state.last_use) {
      last_use = text(core::format_moment(snapshot.kit_uses[*state.last_use].when));
      last_water = text(waters.name(waters.of(*history.site_of_use(*state.last_use))));
    }
    if (state.last_cleaning)
      last_cleaning = text(core::format_moment(snapshot.cleanings[*state.last_cleaning].finished));
    Cell clean;
    if (state.has_history()) clean = state.is_clean();
    rows.add({text(kit.code), text_or_empty(kit.name), text(core::kit_kind_name(kit.kind)),
              text_or_empty(kit.set), clean, last_use, last_water, last_cleaning, text_or_empty(open),
              text(state.words)});
  }
  console.rows(rows);
  if (rows.rows.empty())
    console.err << "no kit is listed in this survey; `brookmark kit-add` adds an item, `brookmark import "
                   "SURVEY kit FILE` a log\n";
  else
    console.err << "clean: against " << core::target_names(core::routine_targets())
                << " (common practice, no source) and what is told of the waters it was in; "
                << kDisinfectants;
  return rows.rows.empty() ? kAnswerIsNo : kDone;
}

struct KitAddCommand {
  std::string code, kind, set, name, note;
  bool retire = false;
};

int run_kit_add(const std::filesystem::path& survey, const KitAddCommand& command, const Console& console) {
  core::SurveyFile file = core::SurveyFile::open(survey, core::Access::kEdit);
  const core::Snapshot snapshot = file.read();
  for (core::Kit kit : snapshot.kit) {
    if (kit.code != command.code) continue;
    if (!command.retire)
      throw Error(ErrorCode::kBadUse,
                  "there is an item \"" + command.code + "\" already; give this one another code",
                  survey.string());
    kit.retired = true;
    for (const core::Holding& held : snapshot.holdings)
      if (held.kit_key == kit.key && held.outcome == core::HoldingOutcome::kHeld)
        console.err << "warning: a live sample is in " << kit.code << " since " << core::plain_day(held.since)
                    << "; it goes back to its own water or is disposed of, told with `brookmark release`\n";
    file.apply({"retire kit", "kit " + kit.code + " is used no more", {core::Replace<core::Kit>{kit}}});
    console.err << "kit " << kit.code << " is retired; its history stays\n";
    return kDone;
  }
  if (command.retire)
    throw Error(ErrorCode::kNotFound, "there is no item of kit \"" + command.code + "\" in this survey",
                survey.string());
  const auto kind = core::parse_kit_kind(command.kind);
  if (!kind)
    throw Error(ErrorCode::kBadInput,
                "\"" + command.kind +
                    "\" is no kind of kit; write net, footwear, tray, vessel, rope, boat, probe or other");
  core::Kit kit;
  kit.key = file.new_key();
  kit.code = command.code;
  kit.kind = *kind;
  kit.set = command.set;
  kit.name = command.name;
  kit.note = command.note;
  file.apply({"add kit", "kit " + kit.code, {core::AddKit{kit}}});
  console.err
      << "kit " << kit.code
      << " was added. It has no history: clean it, and tell with `brookmark kit-clean`, before it is used\n";
  return kDone;
}

struct KitUseCommand {
  std::string site, at, override_reason, note;
  std::vector<std::string> kit;
  bool dry_run = false;
};

int run_kit_use(const std::filesystem::path& survey, const KitUseCommand& command, const Console& console) {
  core::SurveyFile file =
      core::SurveyFile::open(survey, command.dry_run ? core::Access::kRead : core::Access::kEdit);
  const core::Snapshot snapshot = file.read();
  const KitBook book(snapshot);
  const core::SiteIndex site = choose_site(snapshot, command.site);
  const core::Moment at = choose_moment(command.at, now_here(snapshot));
  const std::vector<core::KitIndex> items = choose_items(snapshot, book.history, command.kit);
  core::Recorded recorded =
      core::record_use(book.source(), items, site, at, command.override_reason, command.note);
  if (command.dry_run) {
    for (const std::string& warning : recorded.warnings) console.err << "warning: " << warning << '\n';
    for (const std::string& note : recorded.notes) console.err << "note: " << note << '\n';
    console.err << "nothing was written (--dry-run)\n";
    return recorded.warnings.empty() ? kDone : kAnswerIsNo;
  }
  store_record(file, recorded, console.err);
  if (!recorded.warnings.empty())
    console.err << "the warnings were recorded with it"
                << (command.override_reason.empty() ? "; --override REASON says why you went on" : "")
                << '\n';
  return kDone;
}

struct KitCleanCommand {
  std::string with, finished, note;
  std::vector<std::string> kit, against;
  std::optional<double> strength, temperature, minutes;
};

int run_kit_clean(const std::filesystem::path& survey, const KitCleanCommand& command,
                  const Console& console) {
  core::SurveyFile file = core::SurveyFile::open(survey, core::Access::kEdit);
  const core::Snapshot snapshot = file.read();
  const KitBook book(snapshot);
  const std::vector<core::KitIndex> items = choose_items(snapshot, book.history, command.kit);
  core::Cleaning cleaning;
  cleaning.finished = choose_moment(command.finished, now_here(snapshot));
  const core::CleaningAgent* agent = core::find_agent(command.with);
  cleaning.agent = agent != nullptr ? agent->name : command.with;
  cleaning.concentration_pct = command.strength;
  cleaning.temperature_c = command.temperature;
  cleaning.contact_min = command.minutes;
  cleaning.note = command.note;
  const auto targets = targets_of(book, items, cleaning.finished, command.against);
  const core::Recorded recorded = core::record_cleaning(book.source(), items, cleaning);
  store_record(file, recorded, console.err);
  Rows rows{{"target", "answer", "why", "rule"}, {}};
  bool all = recorded.counts;
  for (const core::CleaningVerdict& verdict : core::judge_cleaning(cleaning, targets)) {
    all = all && verdict.effect == core::CleaningEffect::kEnough;
    Cell rule;
    if (verdict.rule != nullptr) rule = static_cast<std::int64_t>(verdict.rule->number);
    rows.add({text(core::target_at(verdict.target).name), text(core::cleaning_effect_name(verdict.effect)),
              text(verdict.why), rule});
  }
  console.rows(rows);
  console.err << kDisinfectants;
  return all ? kDone : kAnswerIsNo;
}

struct RulesCommand {
  std::string against, with;
};

int run_rules(const RulesCommand& command, const Console& console) {
  std::optional<core::TargetIndex> target;
  if (!command.against.empty()) target = choose_target(command.against);
  const core::CleaningAgent* agent = nullptr;
  if (!command.with.empty()) {
    agent = core::find_agent(command.with);
    if (agent == nullptr)
      throw Error(ErrorCode::kNotFound,
                  "\"" + command.with + "\" is in none of the rules; they know " + agents_known());
  }
  Rows rows{{"rule", "organism", "effect", "agent", "concentration", "temperature", "time", "result",
             "counts_as", "why", "source", "confirmed", "note"},
            {}};
  for (const core::CleaningRule& rule : core::cleaning_rules()) {
    if (target && !rule.against(*target)) continue;
    if (agent != nullptr && !rule.with(*agent)) continue;
    std::string why = rule.why;
    if (rule.effect == core::RuleEffect::kKills && !rule.proves())
      core::append_note(why, "only recalled, no document confirms it: it proves nothing");
    rows.add({static_cast<std::int64_t>(rule.number), text(core::target_names(rule.targets)),
              text(core::rule_effect_name(rule.effect)), text(rule.source_agent),
              text_or_empty(rule.concentration), text_or_empty(rule.temperature),
              text_or_empty(rule.time.empty() ? "" : rule.time + " " + rule.time_unit), text(rule.result),
              text(core::joined(rule.agents, "; ")), text_or_empty(why),
              text(core::citation(rule.source_key)), text(core::confirmed_name(rule.confirmed)),
              text_or_empty(rule.note)});
  }
  console.rows(rows);
  console.err << "kills: at these limits and above; fails: counts as not cleaned; open: decides nothing. "
                 "What is only recalled "
                 "(confirmed: memory) proves nothing. "
              << kDisinfectants;
  return rows.rows.empty() ? kAnswerIsNo : kDone;
}

}  // namespace

void add_kit_verbs(Verbs& verbs) {
  const auto kit = std::make_shared<KitCommand>();
  verbs
      .add_for_survey("kit", "nets, boots, vessels: which are clean, and which water the others belong to",
                      [kit](const auto& survey, const Console& c) { return run_kit(survey, *kit, c); })
      .word("CODE", kit->code, "one item: its history, and its state in words")
      .option("--at", kit->at, "as it was then, YYYY-MM-DD or YYYY-MM-DDThh:mm; default: today")
      .with_format();

  const auto add = std::make_shared<KitAddCommand>();
  add->kind = "net";
  verbs
      .add_for_survey("kit-add", "list an item of kit, or retire one",
                      [add](const auto& survey, const Console& c) { return run_kit_add(survey, *add, c); })
      .word("CODE", add->code, "what stands on it")
      .required()
      .option("--kind", add->kind, "net (default), footwear, tray, vessel, rope, boat, probe or other")
      .option("--set", add->set, "what goes out together has one word")
      .option("--name", add->name, "what it is")
      .option("--note", add->note, "a note")
      .flag("--retire", add->retire, "it is used no more");

  const auto use = std::make_shared<KitUseCommand>();
  verbs
      .add_for_survey("kit-use", "record that kit goes into a water; warns first, and refuses nothing",
                      [use](const auto& survey, const Console& c) { return run_kit_use(survey, *use, c); })
      .word("SITE", use->site, "where")
      .required()
      .word("KIT", use->kit, "codes, or set:WORD for a whole set")
      .required()
      .option("--at", use->at, "when, YYYY-MM-DDThh:mm; default: now")
      .option("--override", use->override_reason, "why you go on in spite of a warning; kept with it")
      .option("--note", use->note, "a note")
      .flag("--dry-run", use->dry_run, "warn only, write nothing; exit code 1 where there is a warning");

  const auto clean = std::make_shared<KitCleanCommand>();
  verbs
      .add_for_survey(
          "kit-clean", "record a cleaning, and say against what it was enough",
          [clean](const auto& survey, const Console& c) { return run_kit_clean(survey, *clean, c); })
      .word("KIT", clean->kit, "codes, or set:WORD for a whole set")
      .required()
      .option("--with", clean->with,
              "agent: hot water, drying, bleach, Virkon S ... (`brookmark cleaning-rules`)")
      .required()
      .number("--strength", clean->strength, 1e-9, 100, "per cent")
      .number("--temperature", clean->temperature, -50, 200, "degrees Celsius")
      .number("--minutes", clean->minutes, 1e-6, 5256000, "contact time, or how long it dried")
      .option("--finished", clean->finished, "when, YYYY-MM-DDThh:mm; default: now")
      .option("--against", clean->against,
              "organisms; default: the routine ones and those of the waters it was in")
      .option("--note", clean->note, "a note")
      .with_format();

  const auto rules = std::make_shared<RulesCommand>();
  verbs
      .add("cleaning-rules", "what kills what: published figures, each with its source",
           [rules](const Console& c) { return run_rules(*rules, c); })
      .option("--against", rules->against, "an organism")
      .option("--with", rules->with, "an agent")
      .with_format();
}

}  // namespace brookmark::viewer
