// Why: seen as areas, the sub-catchments that do badly stand out at once; each in the colour of the class in the middle of
// its sites, the smaller ones before those that hold them.
// Use: CatchmentAreas areas = catchment_areas(model);  auto fills = catchment_fills(areas, *assessment);
#pragma once

#include <cstdint>
#include <vector>

#include "core/scoring/assessment.hpp"
#include "viewer/map/segments.hpp"
#include "viewer/state/model.hpp"

namespace brookmark::viewer {

struct CatchmentAreas {
  std::vector<Point2f> corners;         // triangles, three corners each
  std::vector<SegmentRange> triangles;  // of each catchment: a range of corners
  std::vector<std::uint32_t> depth;     // of each catchment: how many others hold it
};
// Takes a millisecond for a thousand points or so: made when it is first asked for.
CatchmentAreas catchment_areas(const Model& model);

// Ranges of corners of one colour, drawn with one call.
struct FillGroup {
  std::uint8_t colour = 0;  // index into MarkColours
  std::vector<std::int32_t> first, count;
};
// The innermost catchments first: what is drawn first stays. Catchments without an assessed site are left out.
std::vector<FillGroup> catchment_fills(const CatchmentAreas& areas, const core::Assessment& assessment);

}  // namespace brookmark::viewer
