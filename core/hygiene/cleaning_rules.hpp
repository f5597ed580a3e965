// Why: what kills one organism leaves another alive. The published figures, row by row: with what, how strong, how
// warm, how long, against what, and what was seen; also what was tried and failed. Disinfectants are hazardous: the
// label, local codes and licensed practice go before any row here.
// Use: for (const CleaningRule& rule : cleaning_rules()) if (rule.against(target)) ...
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/hygiene/targets.hpp"

namespace brookmark::core {

enum class RuleEffect : std::uint8_t {
  kKills,  // at the limits of the rule and above them
  kFails,  // at the limits of the rule and below them
  kOpen,   // the source names no time or no strength, or speaks of something else: it decides nothing
};
const char* rule_effect_name(RuleEffect effect);  // "kills", "fails", "open"

enum class AgentKind : std::uint8_t { kChemical, kHeat, kDrying, kFreezing };

struct CleaningAgent {
  std::string name;
  std::vector<std::string> also;
  AgentKind kind = AgentKind::kChemical;
  std::string note;  // a sentence on what its figures mean
};

// The agents of the rules (reference/hygiene/agents.csv).
std::span<const CleaningAgent> cleaning_agents();
// By name or other name, whatever the case. A source's other name of one product counts as that product; nothing else
// does, however alike.
const CleaningAgent* find_agent(std::string_view written);

// A row of reference/hygiene/cleaning_rules.csv. Limits are those of the source in one unit; the source's own wording
// stands beside them.
struct CleaningRule {
  int number = 0;  // 1, 2, ... in the table
  std::vector<TargetIndex> targets;
  std::vector<std::string> agents;  // names of CleaningAgent
  RuleEffect effect = RuleEffect::kKills;
  bool strength_on_label = false;          // "per label": how much is not known here; see label_pct
  std::optional<double> min_pct, max_pct;  // per cent; 1 mg/mL, 10 g/L and 10 mL/L count as 0.1, 1 and 1
  std::optional<double> min_c, max_c;      // degrees Celsius
  std::optional<double> min_s, max_s;      // contact time in seconds
  std::string why;                         // of kFails and kOpen
  // As the source has it.
  std::string organism, source_agent, concentration, temperature, time, time_unit, result, source_key, note;
  Confirmed confirmed = Confirmed::kDocument;

  // Whether a cleaning that meets it counts. What is only recalled proves nothing: a cleaning that is wrongly called enough does
  // more harm than one that is done again.
  bool proves() const { return effect == RuleEffect::kKills && confirmed != Confirmed::kMemory; }
  bool against(TargetIndex target) const;
  bool with(const CleaningAgent& agent) const;
};
std::span<const CleaningRule> cleaning_rules();
// What stands for "per label": the most that any row which kills asks of this agent, in per cent. Nothing where none
// names a strength: such a row then decides nothing. Common practice, no source; it errs to the strong side.
std::optional<double> label_pct(const CleaningAgent& agent);

// "Virkon S 1.0 %, 1 min (Bryan et al. 2009, Dis. Aquat. Org. 84:89-94)": the source's own wording, with "recalled" or
// "quoted" where it was not read itself.
std::string rule_words(const CleaningRule& rule);

}  // namespace brookmark::core
