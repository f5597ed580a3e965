// Why: where is the picture of the waters thinnest? A visit there adds the most.
// Use: Suggestions s = suggest_gap(source, options, assessment, reaches);
//
// Every metre of channel has a doubt (common practice, no source):
// * 1 where nothing is known, also where the last sample is too old to speak (kSpeaksForDays);
// * kInferredDoubt where it is only inferred between neighbours of one class;
// * where it was measured, 1 minus the chance of its class, so far as that is known; else 0.
// It is weighted by how doubtful its sub-catchment is as a whole: the doubt of that catchment's channel by its length (1 outside all). A
// spot would speak for its stretch up to kMeasuredReachM up and down, to the next confluence and the next outfall in use, as a sample
// does (reach_assessment.hpp). Spots are chosen one by one, each where it takes away the most doubt that is left: at least 63 % of
// what the best choice of as many could (Nemhauser, Wolsey & Fisher 1978, Math. Program. 14:265-294; memory).
#pragma once

#include "core/analysis/reach_assessment.hpp"
#include "core/design/clearance.hpp"
#include "core/design/suggestion.hpp"

namespace brookmark::core {

inline constexpr double kInferredDoubt = 0.25;

// No spot stands too near an outfall or a confluence (clearance.hpp); what lies there is spoken for from beside.
// `reaches` is that of `assessment`; add_confidence first, or what was measured counts as sure. Stretches on which nobody may stand
// are in doubt as well and can be spoken for from beside. options.spots.on is not looked at: these are channels. Nothing is suggested,
// and a note says so, where no doubt is left. Throws as find_spots does.
Suggestions suggest_gap(const DesignSource& source, const DesignOptions& options,
                        const Assessment& assessment, const ReachAssessment& reaches,
                        const ClearOptions& clear = {});

}  // namespace brookmark::core
