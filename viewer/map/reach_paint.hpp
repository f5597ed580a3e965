// Why: how far a class is carried along the channel, and where nothing is known, is seen at once: measured solid in
// the class colour, inferred dashed in it, the rest thin and grey. The worst falls are brought out by a dark edge.
// Use: ReachPaint paint = reach_paint(*model.reaches(choice, date), *model.drops(choice, date), model);
#pragma once

#include <span>
#include <vector>

#include "core/analysis/drops.hpp"
#include "core/analysis/reach_assessment.hpp"
#include "viewer/map/scene.hpp"

namespace brookmark::viewer {

// So many stretches at most are brought out as falling most.
inline constexpr std::size_t kDropsShown = 3;

struct ReachPaint {
  // Segments of one class, with its colour as an index into MarkColours.
  struct ClassRange {
    SegmentRange segments;
    std::uint8_t colour = 0;
  };
  std::vector<Segment> measured, inferred, drops;
  std::vector<ClassRange> measured_classes, inferred_classes;
};

ReachPaint reach_paint(const core::ReachAssessment& reaches, std::span<const core::Drop> drops,
                       const Model& model);

}  // namespace brookmark::viewer
