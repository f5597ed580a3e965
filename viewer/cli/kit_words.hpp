// Why: what the verbs on kit, risks and rounds of visits read from the command line in the same way.
// Use: const auto items = choose_items(snapshot, history, {"N1", "set:red"});
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/hygiene/kit_history.hpp"

namespace brookmark::viewer {

// All throw Error(kNotFound) or Error(kBadInput) with what is known instead.
core::SiteIndex choose_site(const core::Snapshot& snapshot, const std::string& code);
core::KitIndex choose_kit(const core::Snapshot& snapshot, const core::KitHistory& history,
                          const std::string& code);
// Codes, and "set:WORD" for all of a set that is not retired; each once.
std::vector<core::KitIndex> choose_items(const core::Snapshot& snapshot, const core::KitHistory& history,
                                         const std::vector<std::string>& words);
core::TargetIndex choose_target(const std::string& name);
// The text as a moment; `otherwise` for an empty one.
core::Moment choose_moment(const std::string& text, const core::Moment& otherwise);

// This machine's clock, with the offset of the newest visit that has one; else UTC.
core::Moment now_here(const core::Snapshot& snapshot);
// Those named; else the routine ones, and those of the waters that the items belong to at that time.
std::vector<core::TargetIndex> targets_of(const core::SurveyWaters& waters, const core::KitHistory& history,
                                          const std::vector<core::KitIndex>& items, const core::Moment& at,
                                          const std::vector<std::string>& named);
std::string agents_known();  // "bleach, Virkon S, ..."

}  // namespace brookmark::viewer
