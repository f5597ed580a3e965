// Why: kit is cleaned against something. Which organisms the cleaning rules speak of, under which names, and which
// of them every cleaning has to meet because nobody can see whether a water holds them.
// Use: if (auto target = find_target("crayfish plague")) hygiene_targets()[target->value()].name
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/index.hpp"
#include "core/reference/reference.hpp"

namespace brookmark::core {

using TargetIndex = Index<struct TargetTag>;

// A row of reference/hygiene/targets.csv. Common names are recalled.
struct HygieneTarget {
  std::string id, name, what;     // what: "fungus", "snail", ...
  std::vector<std::string> also;  // other names
  bool routine = false;  // met by every cleaning, whatever is known of the water; common practice, no source
  Confirmed confirmed = Confirmed::kDocument;  // how the name was established
  std::string note;
};

std::span<const HygieneTarget> hygiene_targets();
// By id, name or other name, whatever the case. Nothing for an organism without a rule.
std::optional<TargetIndex> find_target(std::string_view written);
const HygieneTarget& target_at(TargetIndex target);
// Those that every cleaning has to meet.
std::span<const TargetIndex> routine_targets();
// "Ranavirus and crayfish plague": for sentences.
std::string target_names(std::span<const TargetIndex> targets);

}  // namespace brookmark::core
