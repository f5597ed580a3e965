#include "core/analysis/catchments.hpp"

#include <algorithm>
#include <numeric>
#include <optional>

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
  std::vector<std::optional<BoundingBox>> boxes;
  for (const Catchment& catchment : catchments) {
    nesting.area_m2.push_back(area_m2(catchment.shape));
    boxes.push_back(bounds_of(catchment.shape));
  }
  // Smallest first, so the first that holds a point is the smallest that does. Of equals the one listed
  // first.
  std::vector<std::size_t> by_area(catchments.size());
  std::iota(by_area.begin(), by_area.end(), std::size_t{0});
  std::stable_sort(by_area.begin(), by_area.end(),
                   [&](std::size_t a, std::size_t b) { return nesting.area_m2[a] < nesting.area_m2[b]; });
  const auto first_holding = [&](LonLat point, auto begin) {
    const auto found = std::find_if(begin, by_area.cend(), [&](std::size_t c) {
      return inside(boxes[c], point) && contains(catchments[c].shape, point);
    });
    return found == by_area.cend() ? CatchmentIndex::none() : CatchmentIndex(*found);
  };

  for (std::size_t c = 0; c < catchments.size(); ++c) {
    const std::optional<LonLat> inner = inner_point(catchments[c].shape);
    const auto larger =
        std::upper_bound(by_area.cbegin(), by_area.cend(), nesting.area_m2[c],
                         [&](double area, std::size_t other) { return area < nesting.area_m2[other]; });
    nesting.parent.push_back(inner ? first_holding(*inner, larger) : CatchmentIndex::none());
  }
  for (const LonLat position : snapshot.sites.position) {
    nesting.site_smallest.push_back(is_placed(position) ? first_holding(position, by_area.cbegin())
                                                        : CatchmentIndex::none());
  }
  return nesting;
}

}  // namespace brookmark::core
