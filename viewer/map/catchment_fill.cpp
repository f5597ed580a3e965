#include "viewer/map/catchment_fill.hpp"

#include <algorithm>
#include <map>

#include "viewer/map/marks.hpp"
#include "viewer/map/scene.hpp"
#include "viewer/map/triangulate.hpp"

namespace brookmark::viewer {

CatchmentAreas catchment_areas(const Model& model) {
  CatchmentAreas areas;
  const auto& catchments = model.snapshot().catchments;
  const auto& parents = model.session().nesting.parent;
  for (std::size_t c = 0; c < catchments.size(); ++c) {
    const auto begin = static_cast<std::uint32_t>(areas.corners.size());
    for (const core::Polygon& polygon : catchments[c].shape) {
      std::vector<std::vector<core::PlanePoint>> rings;
      for (const core::Line& ring : polygon.rings) rings.push_back(to_plane(model.frame(), ring));
      for (const core::PlanePoint p : triangulate(rings)) areas.corners.push_back(as_float(p));
    }
    areas.triangles.push_back({begin, static_cast<std::uint32_t>(areas.corners.size())});
    std::uint32_t depth = 0;
    for (auto up = parents[c]; up.has_value() && depth < catchments.size(); up = parents[up.value()]) ++depth;
    areas.depth.push_back(depth);
  }
  return areas;
}

std::vector<FillGroup> catchment_fills(const CatchmentAreas& areas, const core::Assessment& assessment) {
  // By depth, the deepest first, then by colour.
  std::map<std::pair<std::int64_t, std::uint8_t>, FillGroup> groups;
  const std::size_t count = std::min(areas.triangles.size(), assessment.catchments.size());
  for (std::size_t c = 0; c < count; ++c) {
    const core::CatchmentAssessment& known = assessment.catchments[c];
    const SegmentRange range = areas.triangles[c];
    if (known.assessed_sites == 0 || known.median_rank <= 0 || range.begin >= range.end) continue;
    const auto step = std::min<std::size_t>(static_cast<std::size_t>(known.median_rank), kMostClasses) - 1;
    const auto colour = static_cast<std::uint8_t>(kColourFirstClass + step);
    FillGroup& group = groups[{-static_cast<std::int64_t>(areas.depth[c]), colour}];
    group.colour = colour;
    group.first.push_back(static_cast<std::int32_t>(range.begin));
    group.count.push_back(static_cast<std::int32_t>(range.end - range.begin));
  }
  std::vector<FillGroup> fills;
  for (auto& [key, group] : groups) fills.push_back(std::move(group));
  return fills;
}

}  // namespace brookmark::viewer
