#include "core/hygiene/cleaning_rules.hpp"

#include <algorithm>
#include <map>

#include "core/base/csv.hpp"
#include "core/hygiene/reference_rows_internal.hpp"

namespace brookmark::core {

namespace {

constexpr const char* kRulesFile = "hygiene/cleaning_rules.csv";
constexpr const char* kAgentsFile = "hygiene/agents.csv";

std::vector<CleaningAgent> read_agents() {
  const Table table = read_csv(reference_file(kAgentsFile), kAgentsFile);
  std::vector<CleaningAgent> agents;
  for (const TableRow& row : table.rows) {
    const ReferenceRow cells{table, row};
    CleaningAgent agent{cells.text("agent"), cells.list("also"), AgentKind::kChemical, cells.text("note")};
    const std::string& kind = cells.text("kind");
    if (kind == "heat")
      agent.kind = AgentKind::kHeat;
    else if (kind == "drying")
      agent.kind = AgentKind::kDrying;
    else if (kind == "freezing")
      agent.kind = AgentKind::kFreezing;
    else if (kind != "chemical")
      cells.fail("write chemical, heat, drying or freezing, not \"" + kind + "\"");
    agents.push_back(std::move(agent));
  }
  return agents;
}

RuleEffect read_effect(const ReferenceRow& cells) {
  for (const RuleEffect effect : {RuleEffect::kKills, RuleEffect::kFails, RuleEffect::kOpen})
    if (cells.text("effect") == rule_effect_name(effect)) return effect;
  cells.fail("write kills, fails or open, not \"" + cells.text("effect") + "\"");
}

CleaningRule read_rule(const ReferenceRow& cells) {
  CleaningRule rule;
  rule.number = static_cast<int>(cells.number("rule").value_or(0));
  for (const std::string& id : cells.list("targets")) {
    const auto target = find_target(id);
    if (!target) cells.fail("there is no target \"" + id + "\" in hygiene/targets.csv");
    rule.targets.push_back(*target);
  }
  for (const std::string& name : cells.list("agents")) {
    const CleaningAgent* agent = find_agent(name);
    if (agent == nullptr || agent->name != name)
      cells.fail("there is no agent \"" + name + "\" in hygiene/agents.csv");
    rule.agents.push_back(name);
  }
  rule.effect = read_effect(cells);
  rule.strength_on_label = cells.text("min_pct") == "label";
  if (!rule.strength_on_label) rule.min_pct = cells.number("min_pct");
  rule.max_pct = cells.number("max_pct");
  rule.min_c = cells.number("min_c");
  rule.max_c = cells.number("max_c");
  rule.min_s = cells.number("min_s");
  rule.max_s = cells.number("max_s");
  rule.why = cells.text("why");
  rule.organism = cells.text("organism");
  rule.source_agent = cells.text("source_agent");
  rule.concentration = cells.text("concentration");
  rule.temperature = cells.text("temperature");
  rule.time = cells.text("time");
  rule.time_unit = cells.text("time_unit");
  rule.result = cells.text("result");
  rule.source_key = cells.text("source_key");
  rule.note = cells.text("note");
  rule.confirmed = cells.confirmed();
  return rule;
}

std::vector<CleaningRule> read_rules() {
  const Table table = read_csv(reference_file(kRulesFile), kRulesFile);
  std::vector<CleaningRule> rules;
  for (const TableRow& row : table.rows) rules.push_back(read_rule({table, row}));
  return rules;
}

std::map<std::string, std::size_t> names_of_agents() {
  std::map<std::string, std::size_t> names;
  const auto agents = cleaning_agents();
  for (std::size_t i = 0; i < agents.size(); ++i) {
    names.emplace(fold_name(agents[i].name), i);
    for (const std::string& other : agents[i].also) names.emplace(fold_name(other), i);
  }
  return names;
}

}  // namespace

const char* rule_effect_name(RuleEffect effect) {
  switch (effect) {
    case RuleEffect::kKills:
      return "kills";
    case RuleEffect::kFails:
      return "fails";
    case RuleEffect::kOpen:
      break;
  }
  return "open";
}

std::span<const CleaningAgent> cleaning_agents() {
  static const std::vector<CleaningAgent> agents = read_agents();
  return agents;
}

const CleaningAgent* find_agent(std::string_view written) {
  static const std::map<std::string, std::size_t> names = names_of_agents();
  const auto found = names.find(fold_name(written));
  return found == names.end() ? nullptr : &cleaning_agents()[found->second];
}

bool CleaningRule::against(TargetIndex target) const {
  return std::find(targets.begin(), targets.end(), target) != targets.end();
}

bool CleaningRule::with(const CleaningAgent& agent) const {
  return std::find(agents.begin(), agents.end(), agent.name) != agents.end();
}

std::span<const CleaningRule> cleaning_rules() {
  static const std::vector<CleaningRule> rules = read_rules();
  return rules;
}

std::optional<double> label_pct(const CleaningAgent& agent) {
  std::optional<double> most;
  for (const CleaningRule& rule : cleaning_rules())
    if (rule.effect == RuleEffect::kKills && rule.min_pct && rule.with(agent))
      most = std::max(most.value_or(0), *rule.min_pct);
  return most;
}

std::string rule_words(const CleaningRule& rule) {
  std::string words = rule.source_agent;
  if (!rule.concentration.empty()) words += " " + rule.concentration;
  if (!rule.temperature.empty()) words += ", " + rule.temperature;
  if (!rule.time.empty()) words += ", " + rule.time + " " + rule.time_unit;
  words += " (" + citation(rule.source_key);
  if (rule.confirmed == Confirmed::kMemory) words += "; recalled, from memory";
  if (rule.confirmed == Confirmed::kSecondary) words += "; read in a text quoting it";
  return words + ")";
}

}  // namespace brookmark::core
