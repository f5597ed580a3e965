#include "core/hygiene/cleaning_decision.hpp"

#include "core/base/text.hpp"
#include "core/hygiene/plain_words.hpp"

namespace brookmark::core {

namespace {

constexpr double kSlack = 1e-9;  // of a share: 20 s noted as 0.3333333333 min is 20 s

std::optional<double> contact_s(const Cleaning& cleaning) {
  if (!cleaning.contact_min) return std::nullopt;
  return *cleaning.contact_min * 60;
}

bool at_least(double value, double least) {
  return value >= least - kSlack * (1 + (least < 0 ? -least : least));
}
bool at_most(double value, double most) {
  return at_least(most, value);
}

// Ten seconds in minutes have no end, so that what is noted to three places still counts.
bool long_enough(double noted_s, double least_s) {
  return noted_s >= least_s - 0.1;
}

void want(std::string& lacks, const std::optional<double>& noted, bool met, const char* what,
          const std::string& noted_words, const std::string& needed) {
  if (met) return;
  append_note(lacks, noted
                         ? noted_words + ", and the rule asks for " + needed
                         : std::string("its ") + what + " was not noted (the rule asks for " + needed + ")");
}

// What of the rule is not met; empty where all is. Of a rule that kills.
std::string shortfall(const Cleaning& cleaning, const CleaningAgent& agent, const CleaningRule& rule) {
  std::string lacks;
  const auto& pct = cleaning.concentration_pct;
  if (rule.strength_on_label) {
    const auto label = label_pct(agent);
    want(lacks, pct, pct && label && at_least(*pct, *label), "strength",
         pct ? "it was " + plain_number(*pct, 4) + " %" : "",
         label ? "that of the label, for which the strongest of the rules stands: " + format_number(*label) +
                     " %"
               : "that of the label, which is not known here");
  }
  if (rule.min_pct)
    want(lacks, pct, pct && at_least(*pct, *rule.min_pct), "strength",
         pct ? "it was " + plain_number(*pct, 4) + " %" : "", format_number(*rule.min_pct) + " %");
  if (rule.max_pct && (!rule.min_pct || (pct && at_least(*pct, *rule.min_pct))))
    want(lacks, pct, pct && at_most(*pct, *rule.max_pct), "strength",
         pct ? "it was " + plain_number(*pct, 4) + " %" : "",
         format_number(*rule.max_pct) + " %, stronger was not tried");
  const auto& warm = cleaning.temperature_c;
  if (rule.min_c)
    want(lacks, warm, warm && at_least(*warm, *rule.min_c), "temperature",
         warm ? "it was " + plain_number(*warm, 1) + " °C" : "", format_number(*rule.min_c) + " °C or more");
  if (rule.max_c)
    want(lacks, warm, warm && at_most(*warm, *rule.max_c), "temperature",
         warm ? "it was " + plain_number(*warm, 1) + " °C" : "", format_number(*rule.max_c) + " °C or less");
  const auto time = contact_s(cleaning);
  if (rule.min_s)
    want(lacks, time, time && long_enough(*time, *rule.min_s), "time",
         time ? "it took " + plain_duration(*time) : "", plain_duration(*rule.min_s));
  return lacks;
}

bool meets(const Cleaning& cleaning, const CleaningAgent& agent, const CleaningRule& rule) {
  const auto& pct = cleaning.concentration_pct;
  const auto& warm = cleaning.temperature_c;
  const auto time = contact_s(cleaning);
  if (rule.strength_on_label) {
    const auto label = label_pct(agent);
    if (!pct || !label || !at_least(*pct, *label)) return false;
  }
  return !(rule.min_pct && !(pct && at_least(*pct, *rule.min_pct))) &&
         !(rule.max_pct && !(pct && at_most(*pct, *rule.max_pct))) &&
         !(rule.min_c && !(warm && at_least(*warm, *rule.min_c))) &&
         !(rule.max_c && !(warm && at_most(*warm, *rule.max_c))) &&
         !(rule.min_s && !(time && long_enough(*time, *rule.min_s)));
}

// Of a rule that fails: whether the cleaning lies within what was tried in vain.
bool fails_by(const Cleaning& cleaning, const CleaningRule& rule) {
  const auto within = [](const std::optional<double>& noted, const std::optional<double>& most) {
    return !most || (noted && at_most(*noted, *most));
  };
  return within(cleaning.concentration_pct, rule.max_pct) && within(cleaning.temperature_c, rule.max_c) &&
         within(contact_s(cleaning), rule.max_s);
}

std::size_t parts_of(const std::string& lacks) {
  std::size_t parts = 1;
  for (const char c : lacks) parts += c == ';' ? 1U : 0U;
  return parts;
}

// Named organisms that rules of this agent speak of, and that this cleaning is not enough against.
std::vector<TargetIndex> exceptions(const Cleaning& cleaning, const CleaningAgent& agent) {
  std::vector<TargetIndex> others;
  for (std::size_t t = 0; t < hygiene_targets().size(); ++t) {
    const TargetIndex target(t);
    if (hygiene_targets()[t].what == "any" || is_enough(cleaning, target)) continue;
    for (const CleaningRule& rule : cleaning_rules())
      if (rule.effect != RuleEffect::kOpen && rule.with(agent) && rule.against(target)) {
        others.push_back(target);
        break;
      }
  }
  return others;
}

CleaningVerdict met_verdict(const Cleaning& cleaning, TargetIndex target, const CleaningAgent& agent,
                            const CleaningRule& rule) {
  CleaningVerdict verdict{target, CleaningEffect::kEnough, &rule, "", ""};
  verdict.why = "enough against " + target_at(target).name + ": " + rule_words(rule);
  if (rule.strength_on_label)
    append_note(verdict.why,
                "the strength is that of the label, which is not known here: compare it yourself");
  append_note(verdict.why, agent.note);
  append_note(verdict.why, rule.note);
  if (target_at(target).what == "any")
    if (const auto others = exceptions(cleaning, agent); !others.empty())
      append_note(verdict.why, "not shown against " + target_names(others) +
                                   ", for which the table has rules of their own");
  return verdict;
}

CleaningVerdict failed_verdict(TargetIndex target, const CleaningAgent& agent, const CleaningRule& rule) {
  const std::string brief =
      "counts as not cleaned against " + target_at(target).name + ": " + agent.name + ", " + rule.why;
  return {
      target, CleaningEffect::kFails, &rule,
      brief + " (" + citation(rule.source_key) +
          (rule.confirmed == Confirmed::kDocument ? ")"
                                                  : std::string("; ") + confirmed_name(rule.confirmed) + ")"),
      brief};
}

// `more`: the rule that came nearest; empty: none does.
CleaningVerdict not_shown(TargetIndex target, const CleaningRule* rule, const std::string& what,
                          const std::string& more = "") {
  const std::string brief = "not shown against " + target_at(target).name + ": " + what;
  return {target, CleaningEffect::kNotShown, rule, more.empty() ? brief : brief + "; " + more, brief};
}

}  // namespace

const char* cleaning_effect_name(CleaningEffect effect) {
  switch (effect) {
    case CleaningEffect::kEnough:
      return "enough";
    case CleaningEffect::kFails:
      return "fails";
    case CleaningEffect::kNotShown:
      break;
  }
  return "not shown";
}

bool is_enough(const Cleaning& cleaning, TargetIndex target) {
  const CleaningAgent* agent = find_agent(cleaning.agent);
  if (agent == nullptr) return false;
  for (const CleaningRule& rule : cleaning_rules())
    if (rule.proves() && rule.against(target) && rule.with(*agent) && meets(cleaning, *agent, rule))
      return true;
  return false;
}

CleaningVerdict judge_cleaning(const Cleaning& cleaning, TargetIndex target) {
  const CleaningAgent* agent = find_agent(cleaning.agent);
  if (agent == nullptr)
    return not_shown(target, nullptr, "\"" + cleaning.agent + "\" is in none of the rules");
  const CleaningRule* nearest = nullptr;
  const CleaningRule* open = nullptr;
  const CleaningRule* failed = nullptr;
  const CleaningRule* recalled = nullptr;
  std::string lacks;
  for (const CleaningRule& rule : cleaning_rules()) {
    if (!rule.against(target) || !rule.with(*agent)) continue;
    if (rule.effect == RuleEffect::kOpen && open == nullptr) open = &rule;
    if (rule.effect == RuleEffect::kFails && failed == nullptr && fails_by(cleaning, rule)) failed = &rule;
    if (rule.effect == RuleEffect::kKills && !rule.proves() && recalled == nullptr) recalled = &rule;
    if (!rule.proves()) continue;
    if (meets(cleaning, *agent, rule)) return met_verdict(cleaning, target, *agent, rule);
    const std::string here = shortfall(cleaning, *agent, rule);
    if (nearest != nullptr && parts_of(lacks) <= parts_of(here)) continue;
    nearest = &rule;
    lacks = here;
  }
  if (failed != nullptr) return failed_verdict(target, *agent, *failed);
  if (nearest != nullptr) return not_shown(target, nearest, lacks, "nearest rule: " + rule_words(*nearest));
  if (recalled != nullptr)
    return not_shown(target, recalled,
                     "what " + agent->name + " does to it is only recalled here, and no document confirms it",
                     rule_words(*recalled));
  if (open != nullptr) return not_shown(target, open, open->why, rule_words(*open));
  return not_shown(target, nullptr, "no rule here says what " + agent->name + " does to it");
}

std::vector<CleaningVerdict> judge_cleaning(const Cleaning& cleaning, std::span<const TargetIndex> targets) {
  std::vector<CleaningVerdict> verdicts;
  verdicts.reserve(targets.size());
  for (const TargetIndex target : targets) verdicts.push_back(judge_cleaning(cleaning, target));
  return verdicts;
}

std::string cleaning_words(const Cleaning& cleaning) {
  std::string words = cleaning.agent;
  if (cleaning.concentration_pct) words += " " + plain_number(*cleaning.concentration_pct, 4) + " %";
  if (cleaning.temperature_c) words += ", " + plain_number(*cleaning.temperature_c, 1) + " °C";
  if (const auto time = contact_s(cleaning)) words += ", " + plain_duration(*time);
  return words;
}

std::string missing_in(const Cleaning& cleaning) {
  std::string missing;
  const CleaningAgent* agent = find_agent(cleaning.agent);
  if (agent == nullptr)
    return "\"" + cleaning.agent +
           "\" is in none of the rules, so no time and strength of it is known to be enough";
  if (!cleaning.contact_min)
    append_note(missing, agent->kind == AgentKind::kDrying || agent->kind == AgentKind::kFreezing
                             ? "how long it lasted was not noted"
                             : "the contact time was not noted");
  if (agent->kind == AgentKind::kChemical && !cleaning.concentration_pct)
    append_note(missing, "the strength was not noted");
  if ((agent->kind == AgentKind::kHeat || agent->kind == AgentKind::kFreezing) && !cleaning.temperature_c &&
      agent->name != "hot pressure spray")
    append_note(missing, "the temperature was not noted");
  return missing;
}

}  // namespace brookmark::core
