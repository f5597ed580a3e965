// Why: "cleaned" says nothing: was it enough against these organisms, and why. Decided by the published rules alone;
// what nobody noted (strength, warmth, time) proves nothing, and a method that failed in a trial counts as no cleaning.
// Use: for (const CleaningVerdict& v : judge_cleaning(cleaning, targets)) if (v.effect != CleaningEffect::kEnough) v.why
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "core/hygiene/cleaning_rules.hpp"
#include "core/survey/types.hpp"

namespace brookmark::core {

enum class CleaningEffect : std::uint8_t {
  kEnough,  // a rule that proves (CleaningRule::proves) is met in full
  kNotShown,  // none is met: too weak, too cool, too short, not noted, only recalled, or nothing is published here
  kFails,  // tried by a source, and failed
};
const char* cleaning_effect_name(CleaningEffect effect);  // "enough", "not shown", "fails"

struct CleaningVerdict {
  TargetIndex target;
  CleaningEffect effect = CleaningEffect::kNotShown;
  const CleaningRule* rule =
      nullptr;        // the one that decided or came nearest; nothing where none speaks of it
  std::string why;    // a sentence without its point, with the rule and its source
  std::string brief;  // the same without them, for warnings; empty where it is enough
};

CleaningVerdict judge_cleaning(const Cleaning& cleaning, TargetIndex target);
std::vector<CleaningVerdict> judge_cleaning(const Cleaning& cleaning, std::span<const TargetIndex> targets);
// The same without the words, for histories of any length.
bool is_enough(const Cleaning& cleaning, TargetIndex target);

// "Virkon S 1 %, 10 min": what was noted of a cleaning.
std::string cleaning_words(const Cleaning& cleaning);
// What is missing in a cleaning before any rule can be met: its time, its strength, its warmth. Empty: nothing.
std::string missing_in(const Cleaning& cleaning);

}  // namespace brookmark::core
