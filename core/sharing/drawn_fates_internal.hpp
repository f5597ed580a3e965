// Why: a pond or a catchment that is drawn around a hidden site tells the place as well as its position would.
#pragma once

#include "core/sharing/fates_internal.hpp"

namespace brookmark::core {

// Whether they have a point in common, by every edge of the shape; a shared border is enough.
bool shape_meets(const MultiPolygon& shape, const BoundingBox& box);

// Sets fates.waters and fates.catchments, and tells each that is left out. The sites' cells and fates.hidden_sites must
// be there already.
void judge_drawn(const Snapshot& snapshot, Fates& fates);

}  // namespace brookmark::core
