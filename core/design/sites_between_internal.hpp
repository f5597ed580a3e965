// Why: a site between the two ends of a fall has been visited already: its samples say which part of the stretch is left.
// Private to core/design.
#pragma once

#include "core/design/narrow.hpp"

namespace brookmark::core {

// The task with what its sites between (those of its steps) leave of the stretch, and in words why.
FallToNarrow by_sites_between(const FallSource& source, FallToNarrow task);

}  // namespace brookmark::core
