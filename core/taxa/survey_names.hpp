// Why: what a survey names already is likelier meant than what it never had.
// Use: const Checklist known = checklist().known_in(names_in_use(snapshot));  known.propose("bae");
#pragma once

#include <vector>

#include "core/survey/snapshot.hpp"
#include "core/taxa/checklist.hpp"

namespace brookmark::core {

// The taxa that records of the survey name, each with the number of its records, in the order of the taxa.
std::vector<NameUse> names_in_use(const Snapshot& snapshot);

}  // namespace brookmark::core
