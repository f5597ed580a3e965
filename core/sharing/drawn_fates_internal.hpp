// Why: a pond or a catchment that is drawn around a hidden site tells the place as well as its position would.
//
// Left out are: waters named after a hidden site, and still ones of the name of its water; waters that touch its cell, but
// not still ones for a site on running water or the other way round, and not a river on which an open site lies as well as
// a blurred one; catchments named after a hidden site and, where there is one, all that reach into that site's cell. It
// depends on the cell only, never on the place within it.
#pragma once

#include "core/sharing/fates_internal.hpp"

namespace brookmark::core {

// Whether they have a point in common, by every edge of the shape; a shared border is enough.
bool shape_meets(const MultiPolygon& shape, const BoundingBox& box);

// Sets fates.waters and fates.catchments, and tells each that is left out. The sites' cells and fates.hidden_sites must
// be there already.
void judge_drawn(const Snapshot& snapshot, Fates& fates);

}  // namespace brookmark::core
