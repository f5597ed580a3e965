// Why: a river stonefly in a pond is a wrong name, a wrong jar or an animal washed in. `check` asks about it, and a reading of
// a pond must not lean on it: both ask here.
// Use: if (const KindOfWater* kind = kind_of_water(snapshot.taxa, taxon); kind && lives_elsewhere(*kind, water)) ...
#pragma once

#include "core/reference/reference.hpp"
#include "core/survey/snapshot.hpp"

namespace brookmark::core {

// The row of kinds_of_water.csv for the taxon or the nearest listed name above it; none where there is none.
const KindOfWater* kind_of_water(const TaxonColumns& taxa, TaxonIndex taxon);

// Whether a taxon of that kind is a stranger to this water. False for lake margins, where waves let animals of streams
// live, for ditches and canals, which do either, and for unknown water.
bool lives_elsewhere(const KindOfWater& kind, WaterKind water);

}  // namespace brookmark::core
