// Why: sub-catchments nest, and each site lies in a chain of them. Worked out from the shapes, once per
// snapshot.
#pragma once

#include <vector>

#include "core/survey/snapshot.hpp"

namespace brookmark::core {

struct CatchmentNesting {
  std::vector<CatchmentIndex> parent;  // per catchment: the smallest larger one around it; none() at the top
  std::vector<double> area_m2;         // per catchment
  std::vector<CatchmentIndex>
      site_smallest;  // per site: the smallest catchment it lies in; none() outside all
};

CatchmentNesting nest_catchments(const Snapshot& snapshot);

}  // namespace brookmark::core
