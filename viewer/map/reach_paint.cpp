#include "viewer/map/reach_paint.hpp"

#include <algorithm>
#include <cmath>

namespace brookmark::viewer {
namespace {

void append_pieces(const core::ReachAssessment& reaches, core::ReachKnowledge knowledge, const Model& model,
                   std::vector<Segment>& segments, std::vector<ReachPaint::ClassRange>& classes) {
  std::vector<const core::ReachPiece*> chosen;
  for (const core::ReachPiece& piece : reaches.pieces)
    if (piece.knowledge == knowledge) chosen.push_back(&piece);
  std::stable_sort(chosen.begin(), chosen.end(),
                   [](const auto* a, const auto* b) { return a->class_rank < b->class_rank; });
  for (std::size_t i = 0; i < chosen.size();) {
    const std::uint8_t rank = chosen[i]->class_rank;
    const auto begin = static_cast<std::uint32_t>(segments.size());
    for (; i < chosen.size() && chosen[i]->class_rank == rank; ++i) {
      core::Line line;
      core::append_part(model.session().channels, chosen[i]->part, line);
      append_line(to_plane(model.frame(), line), segments);
    }
    const std::size_t step = std::min<std::size_t>(rank, kMostClasses);
    classes.push_back({{begin, static_cast<std::uint32_t>(segments.size())},
                       static_cast<std::uint8_t>(rank == 0 ? kColourValue : kColourFirstClass + step - 1)});
  }
}

}  // namespace

ReachPaint reach_paint(const core::ReachAssessment& reaches, std::span<const core::Drop> drops,
                       const Model& model) {
  ReachPaint paint;
  append_pieces(reaches, core::ReachKnowledge::kMeasured, model, paint.measured, paint.measured_classes);
  append_pieces(reaches, core::ReachKnowledge::kInferred, model, paint.inferred, paint.inferred_classes);
  for (std::size_t i = 0; i < drops.size() && i < kDropsShown && drops[i].is_worse(); ++i)
    append_line(to_plane(model.frame(), drops[i].stretch.line), paint.drops);
  return paint;
}

}  // namespace brookmark::viewer
