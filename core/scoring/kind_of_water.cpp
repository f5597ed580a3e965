#include "core/scoring/kind_of_water.hpp"

#include "core/scoring/method.hpp"

namespace brookmark::core {

const KindOfWater* kind_of_water(const TaxonColumns& taxa, TaxonIndex taxon) {
  for (TaxonIndex at = taxon; at.has_value(); at = taxa.parent[at.value()]) {
    if (!taxa.listed[at.value()]) continue;
    for (const KindOfWater& kind : kinds_of_water())
      if (taxa.name[at.value()] == kind.taxon) return &kind;
  }
  return nullptr;
}

bool lives_elsewhere(const KindOfWater& kind, WaterKind water) {
  if (flow_of(water) == Flow::kRunning) return !kind.running;
  return kind.running && (water == WaterKind::kPond || water == WaterKind::kPool);
}

}  // namespace brookmark::core
