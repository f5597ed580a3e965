// Why: beside a table of many suggestions nobody reads the same warning a hundred times. What is to be heeded, each thing once.
// Use: for (const std::string& line : warning_lines(found.list)) ...
#pragma once

#include <span>
#include <string>
#include <vector>

#include "core/design/suggestion.hpp"

namespace brookmark::core {

// Without kSpotReminder, which holds for all. A line for each spot with a caution (risks of its water), kMostCautions at most and then
// how many more there are; then a line for each outfall that lets in sewage above: "NEW-02: OUT-2 lets in sewage 120 m above: ..." or
// "OUT-2 lets in sewage above 96 of these spots, 22 m (NEW-172) to 2.4 km (NEW-267) up: ...". Takes suggestions after add_facts.
std::vector<std::string> warning_lines(std::span<const Suggestion> list);
inline constexpr std::size_t kMostCautions = 10;

}  // namespace brookmark::core
