// Why: a spot may lie in a water with a disease, below one, or below a sewage outfall: whoever is sent there is told so with it.
// Use: add_cautions(suggestions, source);  suggestion.caution, suggestion.reminder
#pragma once

#include "core/design/suggestion.hpp"

namespace brookmark::core {

// Fills caution and reminder of each, and adds the caution to its reason. Risks are those known on source.day, of the water on which the
// spot lies and of all from which water runs to it (SurveyWaters); outfalls those in use on it, at any distance along the flow.
// Places, codes and distances must be there.
void add_cautions(Suggestions& suggestions, const DesignSource& source);

}  // namespace brookmark::core
