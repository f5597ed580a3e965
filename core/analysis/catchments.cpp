#include "core/analysis/catchments.hpp"

#include <algorithm>
#include <numeric>

#include "core/analysis/catchment_outline_internal.hpp"

namespace brookmark::core {

namespace {

bool inside(const std::optional<BoundingBox>& box, LonLat point) {
  return box && point.lon >= box->min_lon && point.lon <= box->max_lon && point.lat >= box->min_lat &&
         point.lat <= box->max_lat;
}

}  // namespace

CatchmentNesting nest_catchments(const Snapshot& snapshot) {
  const std::vector<Catchment>& catchments = snapshot.catchments;
  CatchmentNesting nesting;
  std::vector<CatchmentOutline> outlines;
  outlines.reserve(catchments.size());
  for (const Catchment& catchment : catchments) {
    nesting.area_m2.push_back(area_m2(catchment.shape));
    outlines.emplace_back(catchment.shape);
  }
  // Smallest first, so the first that holds a point is the smallest that does. Of equals the one listed
  // first.
  std::vector<std::size_t> by_area(catchments.size());
  std::iota(by_area.begin(), by_area.end(), std::size_t{0});
  std::stable_sort(by_area.begin(), by_area.end(),
                   [&](std::size_t a, std::size_t b) { return nesting.area_m2[a] < nesting.area_m2[b]; });

  nesting.parent.assign(catchments.size(), CatchmentIndex::none());
  for (std::size_t i = 0; i < by_area.size(); ++i) {
    const std::size_t small = by_area[i];
    for (std::size_t j = i + 1; j < by_area.size(); ++j) {
      const std::size_t large = by_area[j];
      const CatchmentLie lie = lie_of(outlines[small], outlines[large]);
      if (lie == CatchmentLie::kApart) continue;
      if (lie == CatchmentLie::kInPart || nesting.area_m2[small] == nesting.area_m2[large]) {
        nesting.overlaps.emplace_back(std::min(small, large), std::max(small, large));
      } else if (!nesting.parent[small].has_value()) {
        nesting.parent[small] = CatchmentIndex(large);
      }
    }
  }
  std::sort(nesting.overlaps.begin(), nesting.overlaps.end());

  for (const LonLat position : snapshot.sites.position) {
    const auto holding = std::find_if(by_area.cbegin(), by_area.cend(), [&](std::size_t c) {
      return is_placed(position) && inside(outlines[c].bounds(), position) &&
             contains(catchments[c].shape, position);
    });
    nesting.site_smallest.push_back(holding == by_area.cend() ? CatchmentIndex::none()
                                                              : CatchmentIndex(*holding));
  }
  return nesting;
}

}  // namespace brookmark::core
