// Why: the animals that turn up in every tray need one tap each. Which ones these are the survey itself says.
// Use: for (const CommonTaxon& taxon : common_taxa(snapshot, 20)) button(taxon.name.shown);
#pragma once

#include <cstddef>
#include <string_view>
#include <vector>

#include "core/survey/snapshot.hpp"
#include "viewer/state/entry_sheet.hpp"

namespace brookmark::viewer {

inline constexpr std::size_t kCommonTaxa = 20;

// The taxa in most samples of the survey (blanks and absences aside), then, where it has fewer, those of a list of
// common practice that it lacks. Ordered by order, then by name, so that relatives stand side by side.
std::vector<CommonTaxon> common_taxa(const core::Snapshot& snapshot, std::size_t most = kCommonTaxa);

// Lines for what was typed: first the name itself where the checklist or the survey has it, then what is proposed, then
// the words as they are. Nothing below two letters. `names`: Model::names().
std::vector<NameChoice> name_choices(std::string_view typed, const core::Snapshot& snapshot,
                                     const core::Checklist& names, std::size_t most = 6);

}  // namespace brookmark::viewer
