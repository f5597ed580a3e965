// Why: a score is read with what is to be said of it: why it is missing or out of scope, and that it rests on little.
// Use: score_note(score, method, snapshot.sites.kind[site.value()])  // "note: few animals or kinds: 1 scoring taxon"
#pragma once

#include <string>

#include "core/scoring/score.hpp"

namespace brookmark::core {

// A value from fewer scoring kinds than this is told to rest on few where the method asks for no number of animals; it
// stays in scope. Common practice, no source.
inline constexpr std::uint16_t kFewScoringTaxa = 3;

// reasons_text and, of a method with a score table and no minimum count, how many kinds scored where they are fewer than
// kFewScoringTaxa. Empty where nothing is to be said.
std::string score_note(const SampleScore& score, const Method& method, WaterKind kind);

}  // namespace brookmark::core
